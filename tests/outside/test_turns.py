"""Level turns against printed and computed values of TURN-1 to TURN-5."""

from __future__ import annotations

import math

import pytest

from cfglint.physics.turn import turn_anticipation, turn_radius, turn_radius_in_wind

KNOT = 1852.0 / 3600.0
FOOT = 0.3048
KILOMETRES_AN_HOUR = 1.0 / 3.6


@pytest.mark.parametrize(
    ("speed", "bank", "radius"),
    [
        (20, 30, 70.6),
        (20, 45, 40.8),
        (20, 60, 23.5),
        (15, 30, 39.7),
        (15, 45, 22.9),
        (10, 30, 17.7),
        (25, 30, 110.4),
        (25, 45, 63.7),
    ],
)
def test_radius(speed: float, bank: float, radius: float) -> None:
    # TURN-1, computed with g = 9.80665
    assert turn_radius(speed, bank) == pytest.approx(radius, abs=0.05)


def test_radius_of_an_examination_question() -> None:
    # TURN-1: EASA question bank, principles of flight: 120 kt at 60 deg, with g = 10, is 220 m
    assert turn_radius(120 * KNOT, 60) * 9.80665 / 10.0 == pytest.approx(220, abs=0.5)


@pytest.mark.parametrize(
    ("knots", "bank", "feet", "slack"),
    [
        (120, 30, 2208, 1),  # TURN-2: the exact figure, printed
        (120, 30, 2215, 8),  # TURN-2: by the handbook's rule of thumb, 0.3 % large
        (240, 30, 8860, 30),
        (240, 45, 5116, 18),
    ],
)
def test_radius_in_the_units_of_a_handbook(knots: float, bank: float, feet: float, slack: float) -> None:
    assert turn_radius(knots * KNOT, bank) / FOOT == pytest.approx(feet, abs=slack)


@pytest.mark.parametrize(
    ("knots", "bank", "degrees_a_second", "slack"),
    [(120, 30, 5.25, 0.01), (240, 30, 2.62, 0.01), (240, 45, 4.55, 0.005), (100, 15.4, 3.0, 0.01)],
)
def test_rate_of_turn(knots: float, bank: float, degrees_a_second: float, slack: float) -> None:
    # TURN-3: rate = V / R
    rate = math.degrees(knots * KNOT / turn_radius(knots * KNOT, bank))
    assert rate == pytest.approx(degrees_a_second, abs=slack)


@pytest.mark.parametrize(
    ("speed", "wind", "bank", "kilometres"), [(72, 0, 30, 0.0706), (72, 36, 30, 0.159), (54, 18, 25, 0.0875)]
)
def test_radius_in_wind(speed: float, wind: float, bank: float, kilometres: float) -> None:
    # TURN-4: speeds in km/h, constant 127094
    radius = turn_radius_in_wind(speed * KILOMETRES_AN_HOUR, wind * KILOMETRES_AN_HOUR, bank)
    assert radius / 1000.0 == pytest.approx(kilometres, abs=0.0005)
    assert radius / 1000.0 == pytest.approx((speed + wind) ** 2 / (127094 * math.tan(math.radians(bank))), rel=1e-5)


@pytest.mark.parametrize(("radius", "track_change", "distance"), [(70.6, 90, 70.6), (70.6, 45, 29.2), (40, 120, 69.3)])
def test_anticipation(radius: float, track_change: float, distance: float) -> None:
    # TURN-5
    assert turn_anticipation(radius, track_change) == pytest.approx(distance, abs=0.05)
