"""Contingency volumes against the worked examples of VOL-1 to VOL-8, which are computed with g = 9.81."""

from __future__ import annotations

import pytest

from cfglint.physics.contingency import (
    horizontal_contingency_fixed_wing,
    horizontal_contingency_multirotor,
    stopping_distance,
    vertical_contingency,
    vertical_contingency_fixed_wing,
    vertical_contingency_multirotor,
)
from cfglint.physics.descent import ballistic_throw, impact_energy
from cfglint.physics.turn import turn_radius

BAROMETER, SATELLITES = 1.0, 4.0


def test_horizontal_volume_of_the_published_examples() -> None:
    # VOL-1: multirotor 10 m/s, 45 deg 22.1 m; fixed wing 30 m/s, 30 deg 195.9 m
    assert horizontal_contingency_multirotor(10, 45) == pytest.approx(22.1, abs=0.05)
    assert horizontal_contingency_fixed_wing(30, 30) == pytest.approx(195.9, abs=0.1)


@pytest.mark.parametrize(("speed", "tilt", "distance"), [(10, 45, 5.10), (10, 30, 8.83), (15, 45, 11.47), (20, 30, 35.3)])
def test_stopping_distance(speed: float, tilt: float, distance: float) -> None:
    # VOL-2
    assert stopping_distance(speed, tilt) == pytest.approx(distance, abs=0.035)


def test_stop_takes_no_credit_beyond_45_degrees() -> None:
    # VOL-2: tilt at most 45 deg
    assert stopping_distance(15, 70) == stopping_distance(15, 45)


@pytest.mark.parametrize(("speed", "turn"), [(20, 70.6), (25, 110.4)])
def test_turn_back_of_a_fixed_wing(speed: float, turn: float) -> None:
    # VOL-3
    assert turn_radius(speed, 30) == pytest.approx(turn, abs=0.1)
    assert horizontal_contingency_fixed_wing(speed, 30) == pytest.approx(7 + speed + turn, abs=0.1)


@pytest.mark.parametrize(("geography", "top"), [(100, 113.1), (120, 133.1)])
def test_vertical_volume_of_the_published_examples(geography: float, top: float) -> None:
    # VOL-5, VOL-6: 10 m/s by barometer
    assert geography + vertical_contingency_multirotor(10, BAROMETER) == pytest.approx(top, abs=0.05)


def test_levelling_off() -> None:
    # VOL-6: multirotor 10 m/s 5.10 m; fixed wing 20 m/s 12.2 m; reaction 0.7 V is VOL-5
    assert vertical_contingency_multirotor(10, 0) - 7.0 == pytest.approx(5.10, abs=0.005)
    assert vertical_contingency_fixed_wing(20, SATELLITES) - 4.0 - 14.0 == pytest.approx(12.2, abs=0.05)


def test_vertical_speed_of_the_assumed_path() -> None:
    # VOL-5 assumes a climb at 0.7 of the speed: given that speed, the reaction is the same and the rise less
    given = vertical_contingency(7.0, BAROMETER)
    assert given == pytest.approx(1 + 7 + 49 / (2 * 9.80665))
    assert given < vertical_contingency_multirotor(10, BAROMETER)


def test_ground_risk_buffers() -> None:
    # VOL-7: 113.85 m for 1.5 m of size; VOL-8: ballistic 48.77 m at 10 m/s
    top = 100 + vertical_contingency_multirotor(10, BAROMETER)
    assert top + 1.5 / 2 == pytest.approx(113.85, abs=0.05)
    assert ballistic_throw(10, top) + 1.5 / 2 == pytest.approx(48.77, abs=0.02)


@pytest.mark.parametrize(("mass", "height"), [(0.15, 54), (0.65, 12.6), (1.5, 5.4), (8, 1.0)])
def test_height_of_an_80_joule_fall(mass: float, height: float) -> None:
    # CLASS-1: without drag
    assert impact_energy(mass, height) == pytest.approx(80, rel=0.03)
