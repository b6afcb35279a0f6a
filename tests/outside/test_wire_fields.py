"""Fields of power wires and their heading error against MAGI-1, MAGI-2, MAGI-4."""

from __future__ import annotations

import math

import pytest

from cfglint.physics.magnetics import heading_error, wire_field, wire_pair_field


@pytest.mark.parametrize(
    ("current", "distance", "field"),
    [(10, 0.05, 40), (10, 0.10, 20), (20, 0.10, 40), (30, 0.10, 60), (1, 0.02, 10)],
)
def test_single_wire(current: float, distance: float, field: float) -> None:
    # MAGI-1
    assert wire_field(current, distance) == pytest.approx(field)


@pytest.mark.parametrize(("current", "distance", "field"), [(10, 0.05, 8.0), (10, 0.10, 2.0), (20, 0.10, 4.0)])
def test_pair_of_wires(current: float, distance: float, field: float) -> None:
    # MAGI-2: 1 cm apart
    assert wire_pair_field(current, 0.01, distance) == pytest.approx(field)


@pytest.mark.parametrize("gap", [0.001, 0.005, 0.01, 0.02])
def test_pair_against_the_sum_of_its_two_wires(gap: float) -> None:
    """In the plane of the leads the two fields differ by 0.2 I s / (d^2 - s^2 / 4), so little more."""
    distance, current = 0.05, 12.0
    exact = wire_field(current, distance - gap / 2) - wire_field(current, distance + gap / 2)
    pair = wire_pair_field(current, gap, distance)
    assert pair == pytest.approx(exact * (1 - (gap / 2 / distance) ** 2))


def test_leads_that_run_apart_count_as_one_wire() -> None:
    assert wire_pair_field(10, 0.03, 0.05) == pytest.approx(wire_field(10, 0.05))


def test_worst_heading_error() -> None:
    # MAGI-4: 10 uT on 20 uT is 30.0 degrees at worst, 26.6 at a right angle
    assert heading_error(10, 20) == pytest.approx(30.0)
    at_right_angle = math.degrees(math.atan2(10, 20))
    assert at_right_angle == pytest.approx(26.6, abs=0.05)
    worst = max(math.degrees(math.atan2(10 * math.sin(angle / 100), 20 + 10 * math.cos(angle / 100))) for angle in range(315))
    assert heading_error(10, 20) == pytest.approx(worst, abs=0.01)
    assert heading_error(25, 20) == pytest.approx(90.0)
