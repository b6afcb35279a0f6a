"""Figures of eight invented, ordinarily set craft: induced velocity, rotor frequency, stall speed, turn."""

from __future__ import annotations

import pytest

from cfglint.physics.propeller import rotor_frequency
from cfglint.physics.rotor import disc_area, induced_velocity
from cfglint.physics.stall import stall_speed
from cfglint.physics.turn import turn_radius

INCH = 0.0254
SEA_LEVEL = 1.225
TWO_BLADES, THREE_BLADES = (0.07, 0.13), (0.10, 0.19)


@pytest.mark.parametrize(
    ("mass", "rotors", "inches", "coefficients", "velocity", "frequencies"),
    [
        pytest.param(0.15, 4, 3, THREE_BLADES, 5.7, (216, 298), id="micro"),
        pytest.param(0.65, 4, 5, THREE_BLADES, 7.2, (162, 224), id="five-inch"),
        pytest.param(1.5, 4, 10, TWO_BLADES, 5.4, (74, 102), id="ten-inch"),
        pytest.param(8, 8, 15, TWO_BLADES, 5.9, (54, 74), id="octorotor"),
        pytest.param(4, 4, 15, TWO_BLADES, 5.9, (54, 74), id="hybrid on its rotors"),
    ],
)
def test_rotors(
    mass: float,
    rotors: float,
    inches: float,
    coefficients: tuple[float, float],
    velocity: float,
    frequencies: tuple[float, float],
) -> None:
    diameter = inches * INCH
    assert induced_velocity(mass, SEA_LEVEL, disc_area(rotors, diameter, 0)) == pytest.approx(velocity, abs=0.06)
    low, high = coefficients
    slowest = rotor_frequency(mass, rotors, high, SEA_LEVEL, diameter)
    fastest = rotor_frequency(mass, rotors, low, SEA_LEVEL, diameter)
    assert (round(slowest), round(fastest)) == frequencies


@pytest.mark.parametrize(
    ("mass", "area", "lift", "stall", "cruise", "bank", "radius"),
    [
        pytest.param(0.8, 0.24, 0.9, 7.7, 15, 40, 27, id="flying wing"),
        pytest.param(2.5, 0.48, 1.3, 8.0, 15, 35, 33, id="trainer"),
        pytest.param(6, 0.75, 1.3, 9.9, 17, 30, 51, id="survey plane"),
        pytest.param(4, 0.55, 1.3, 9.5, 17, 30, 51, id="hybrid on its wing"),
    ],
)
def test_wings(mass: float, area: float, lift: float, stall: float, cruise: float, bank: float, radius: float) -> None:
    assert stall_speed(mass, area, lift) == pytest.approx(stall, abs=0.06)
    assert round(turn_radius(cruise, bank)) == radius
