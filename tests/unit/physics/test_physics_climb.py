"""Climb, dive, launch and transition, against figures worked by hand or the balance each stands for."""

from __future__ import annotations

import math

import pytest

from cfglint.physics.climb import (
    climb_angle,
    climb_angle_from_thrust,
    dive_speed,
    launch_height,
    transition_time,
)

GRAVITY = 9.80665


def test_climb_angle_from_its_triangle() -> None:
    assert climb_angle(3, 6) == pytest.approx(30)
    angle = climb_angle(3.5, 17)
    assert 17 * math.sin(math.radians(angle)) == pytest.approx(3.5)


@pytest.mark.parametrize(("thrust_to_weight", "lift_to_drag"), [(0.45, 8), (0.7, 8), (0.9, 10), (1.4, 12)])
def test_climb_angle_balances_thrust_drag_and_weight(thrust_to_weight: float, lift_to_drag: float) -> None:
    angle = climb_angle_from_thrust(thrust_to_weight, lift_to_drag)
    assert math.sin(math.radians(angle)) + 1 / lift_to_drag == pytest.approx(0.6 * thrust_to_weight)


def test_climb_angle_stops_at_upright() -> None:
    assert climb_angle_from_thrust(3, 8) == 90


@pytest.mark.parametrize("pitch", [5.0, 15.0, 30.0, 60.0])
def test_dive_speed_balances_drag_and_weight(pitch: float) -> None:
    cruise, lift_to_drag, weight = 15.0, 8.0, 20.0
    drag = weight / lift_to_drag * (dive_speed(cruise, lift_to_drag, pitch) / cruise) ** 2
    assert drag == pytest.approx(weight * math.sin(math.radians(pitch)))


def test_dive_speed_by_hand() -> None:
    assert dive_speed(15, 8, 30) == pytest.approx(30)


def test_launch_height_by_hand() -> None:
    assert launch_height(5, 12, 30) == pytest.approx(30)


def test_transition_time_by_hand() -> None:
    # 20 N, of which 12 stay, push 4 kg by 3 m/s^2: 5 s to 15 m/s; the same from thrust over weight
    assert transition_time(15, 20, 4) == pytest.approx(5)
    thrust_to_weight = 20 / (4 * GRAVITY)
    assert transition_time(15, 20, 4) == pytest.approx(15 / (0.6 * GRAVITY * thrust_to_weight))
