"""Wind with height, ground speed and the way home against WIND-1, WIND-3, WIND-5."""

from __future__ import annotations

import math

import pytest

from cfglint.physics.battery import charge_used
from cfglint.physics.wind import ground_speed_against, return_time, wind_at_height


@pytest.mark.parametrize(
    ("airspeed", "wind", "ground_speed"),
    [
        (120, 20, 100),  # WIND-1: the figure against the wind is from memory
        (125, 25, 100),
    ],
)
def test_ground_speed(airspeed: float, wind: float, ground_speed: float) -> None:
    assert ground_speed_against(airspeed, wind) == pytest.approx(ground_speed)


def test_two_hours_for_200_nautical_miles() -> None:
    # WIND-1: 125 kt against 25 kt
    knot = 1852 / 3600
    assert return_time(200 * 1852, ground_speed_against(125 * knot, 25 * knot)) == pytest.approx(7200)


@pytest.mark.parametrize(
    ("distance", "airspeed", "wind", "seconds"),
    [(1000, 12, 5, 142.9), (2000, 18, 6, 166.7), (500, 10, 10, math.inf)],
)
def test_return_time(distance: float, airspeed: float, wind: float, seconds: float) -> None:
    # WIND-3
    assert return_time(distance, ground_speed_against(airspeed, wind)) == pytest.approx(seconds, abs=0.05)


def test_energy_of_a_return() -> None:
    # WIND-3: 200 W for the first of these is 7.94 Wh; the same by current, at 10 V
    seconds = return_time(1000, ground_speed_against(12, 5))
    assert charge_used(20.0, seconds) * 10.0 == pytest.approx(7.94, abs=0.005)


@pytest.mark.parametrize(("height", "factor"), [(30, 1.170), (40, 1.219), (60, 1.292), (80, 1.346), (100, 1.389), (120, 1.426)])
def test_wind_grows_with_height(height: float, factor: float) -> None:
    # WIND-5
    assert wind_at_height(1.0, height) == pytest.approx(factor, abs=0.0006)


@pytest.mark.parametrize("height", [0, 2, 10])
def test_wind_is_kept_below_ten_metres(height: float) -> None:
    assert wind_at_height(7.0, height) == 7.0
