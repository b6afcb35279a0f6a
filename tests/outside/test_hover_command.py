"""Hover throttle and thrust to weight against HOV-2, HOV-3 and the measured propeller of PROP-2."""

from __future__ import annotations

import math

import pytest

from cfglint.physics.hover import (
    hover_throttle_high,
    hover_throttle_low,
    hover_thrust_high,
    hover_thrust_low,
    thrust_share_high,
    thrust_share_low,
)
from cfglint.physics.propeller import propeller_thrust

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
    ("thrust_to_weight", "of_turns", "of_thrust"),
    [(1.5, 0.816, 0.667), (2, 0.707, 0.500), (3, 0.577, 0.333), (4, 0.500, 0.250), (5, 0.447, 0.200)],
)
def test_derived_hover_shares(thrust_to_weight: float, of_turns: float, of_thrust: float) -> None:
    # HOV-2: the linear command is the low end; the command by turns lies between the two ends
    low, high = hover_throttle_low(thrust_to_weight), hover_throttle_high(thrust_to_weight)
    assert low == pytest.approx(1000 + 1000 * of_thrust, abs=0.6)
    assert low <= 1000 + 1000 * of_turns <= high


@pytest.mark.parametrize(("thrust_to_weight", "share"), [(2, 0.731), (3, 0.612), (4, 0.539), (6, 0.448)])
def test_measured_hover_shares(thrust_to_weight: float, share: float) -> None:
    # HOV-3: shares of top turns of two measured propellers, exponents 2.20 and 2.22; within 7 us of travel
    assert hover_throttle_high(thrust_to_weight) == pytest.approx(1000 + 1000 * share, abs=7)


@pytest.mark.parametrize(("turns", "coefficient"), MEASURED[:-1])
def test_throttle_by_turns_predicts_the_measured_thrust(turns: float, coefficient: float) -> None:
    """Hovering at each measured speed, top speed being full throttle: the surplus as a power of the throttle.

    The high end takes 2.2, a figure of one decimal: the measured power, which drifts with speed, rounds to
    it or is less. So a surplus may pass the high end by what rounding is worth, 2.2 % in one of these rows.
    """
    top_turns, top_coefficient = MEASURED[-1]
    surplus = _thrust(top_turns, top_coefficient) / _thrust(turns, coefficient)
    hover = 1000 + 1000 * turns / top_turns
    share = top_turns / turns
    assert hover_thrust_low(hover) <= surplus
    assert math.log(surplus, share) < math.log(hover_thrust_high(hover), share) + 0.05


def test_measured_exponent() -> None:
    # HOV-3: the thrust of the 10 in propeller grows with the power 2.22 of its turns, by least squares
    points = [(math.log(turns), math.log(_thrust(turns, coefficient))) for turns, coefficient in MEASURED]
    mean_x = sum(x for x, _ in points) / len(points)
    mean_y = sum(y for _, y in points) / len(points)
    rise = sum((x - mean_x) * (y - mean_y) for x, y in points)
    exponent = rise / sum((x - mean_x) ** 2 for x, _ in points)
    assert exponent == pytest.approx(2.22, abs=0.01)
    assert math.log(hover_thrust_high(1500)) / math.log(2) == pytest.approx(exponent, abs=0.03)


def test_share_below_and_above_hover() -> None:
    # below hover the measured power is the lesser answer, above it the greater
    assert thrust_share_low(1300, 1500) == pytest.approx(0.6**2.2)
    assert thrust_share_high(1300, 1500) == pytest.approx(0.6)
    assert thrust_share_low(1900, 1500) == pytest.approx(1.8)
    assert thrust_share_high(1900, 1500) == pytest.approx(1.8**2.2)


def _thrust(turns: float, coefficient: float) -> float:
    return propeller_thrust(coefficient, 1.225, turns / 60, 0.254)
