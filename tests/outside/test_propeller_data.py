"""Propellers against measured static data (PROP-2) and PROP-1, PROP-3, PROP-5."""

from __future__ import annotations

import pytest

from cfglint.physics.propeller import propeller_thrust, rotor_frequency, tip_speed

SEA_LEVEL = 1.225
INCH = 0.0254
TEN_INCH = 10 * INCH
GRAVITY = 9.80665

MEASURED = [
    (2377, 0.1059),
    (3234, 0.1104),
    (4029, 0.1158),
    (4590, 0.1200),
    (5147, 0.1237),
    (5960, 0.1278),
    (6528, 0.1299),
]
"""PROP-2: turns a minute and thrust coefficient of a 10 x 4.7 in propeller at rest."""


@pytest.mark.parametrize(
    ("turns", "coefficient", "newtons"),
    [(2377, 0.1059, 0.847), (4029, 0.1158, 2.662), (5147, 0.1237, 4.641), (6528, 0.1299, 7.840)],
)
def test_thrust(turns: float, coefficient: float, newtons: float) -> None:
    # PROP-3
    thrust = propeller_thrust(coefficient, SEA_LEVEL, turns / 60, TEN_INCH)
    assert thrust == pytest.approx(newtons, abs=0.006)


@pytest.mark.parametrize(("turns", "coefficient"), MEASURED)
def test_hover_frequency_gives_back_the_measured_turns(turns: float, coefficient: float) -> None:
    # PROP-2: four such propellers carry four times the thrust at those turns
    mass = 4 * propeller_thrust(coefficient, SEA_LEVEL, turns / 60, TEN_INCH) / GRAVITY
    assert rotor_frequency(mass, 4, coefficient, SEA_LEVEL, TEN_INCH) == pytest.approx(turns / 60, rel=1e-9)


@pytest.mark.parametrize(("turns", "coefficient"), MEASURED)
def test_measured_turns_lie_in_the_band_of_two_bladed_propellers(turns: float, coefficient: float) -> None:
    # The band of 0.07 to 0.13 that the vibration rules take for two blades holds every row of PROP-2
    mass = 4 * propeller_thrust(coefficient, SEA_LEVEL, turns / 60, TEN_INCH) / GRAVITY
    slowest = rotor_frequency(mass, 4, 0.13, SEA_LEVEL, TEN_INCH)
    fastest = rotor_frequency(mass, 4, 0.07, SEA_LEVEL, TEN_INCH)
    assert slowest <= turns / 60 <= fastest


@pytest.mark.parametrize(
    ("inches", "turns", "metres_a_second"),
    [
        (10, 6528, 86.8),
        (5, 22557, 150),
        (7, 16112, 150),
        (10, 11278, 150),
        (15, 7519, 150),
        (18, 6265, 150),
    ],
)
def test_tip_speed(inches: float, turns: float, metres_a_second: float) -> None:
    # PROP-5; once per turn (PROP-1) is turns / 60
    assert tip_speed(turns / 60, inches * INCH) == pytest.approx(metres_a_second, abs=0.05)
