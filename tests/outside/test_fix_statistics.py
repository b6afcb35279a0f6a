"""Statistics of a position fix against GNSS-4."""

from __future__ import annotations

import random

import pytest

from cfglint.physics.gnss import horizontal_error


def test_published_example() -> None:
    # GNSS-4: HDOP 1, range error 4 m: 8 m
    assert horizontal_error(1, 4) == pytest.approx(8)


def test_about_95_in_100_fixes_are_nearer() -> None:
    """Twice the root mean square of normal errors holds 98.2 % of a round scatter, 95.4 % of a line.

    The root mean square over the ground is HDOP times the range error: here 1.5 x 4 m, shared by two axes.
    """
    draw = random.Random(7)
    limit = horizontal_error(1.5, 4)
    along_one = 6.0 / 2**0.5
    fixes = [(draw.gauss(0, along_one), draw.gauss(0, along_one)) for _ in range(20_000)]
    inside = sum(east * east + north * north <= limit * limit for east, north in fixes) / len(fixes)
    assert inside == pytest.approx(0.982, abs=0.004)
    in_line = sum(abs(draw.gauss(0, 6.0)) <= limit for _ in range(20_000)) / 20_000
    assert in_line == pytest.approx(0.954, abs=0.006)
