"""Line of sight against the table of VLOS-1."""

from __future__ import annotations

import pytest

from cfglint.physics.sight import (
    attitude_line_of_sight_fixed,
    attitude_line_of_sight_rotary,
    detection_line_of_sight,
)

CLEAR_DAY = 10_000.0


@pytest.mark.parametrize(
    ("dimension", "distance"),
    [
        (0.35, 134.45),
        (0.5, 183.5),
        (1, 347),
        (2, 674),
        (3, 1001),  # the printed table has 1000
        (3.5, 1164.5),
        (4, 1328),
        (4.53, 1500),
        (6, 1500),
    ],
)
def test_rotary_wing(dimension: float, distance: float) -> None:
    seen = min(attitude_line_of_sight_rotary(dimension), detection_line_of_sight(CLEAR_DAY))
    assert seen == pytest.approx(distance, abs=0.05 if dimension != 4.53 else 1.5)


@pytest.mark.parametrize(("dimension", "distance"), [(1, 520), (2, 1010), (3, 1500), (4, 1500)])
def test_fixed_wing(dimension: float, distance: float) -> None:
    seen = min(attitude_line_of_sight_fixed(dimension), detection_line_of_sight(CLEAR_DAY))
    assert seen == pytest.approx(distance, abs=0.05)


def test_detection() -> None:
    # 0.3 of the ground visibility, which counts up to 5 km
    assert [detection_line_of_sight(seen) for seen in (1000, 5000, 20_000)] == pytest.approx([300, 1500, 1500])
