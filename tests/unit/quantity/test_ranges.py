"""Ranges against an independent interval-arithmetic library (mpmath), and against points inside them."""

from __future__ import annotations

import math

import mpmath
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cfglint.quantity import range as ranges
from cfglint.quantity.range import EVERYTHING, Range
from cfglint.quantity.truth import FALSE, TRUE, UNKNOWN, conjunction, disjunction, implication, negation

FINITE = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)
RANGES = st.tuples(FINITE, FINITE).map(lambda ends: Range(min(ends), max(ends)))
OPERATIONS = {
    "add": (ranges.add, lambda a, b: a + b),
    "subtract": (ranges.subtract, lambda a, b: a - b),
    "multiply": (ranges.multiply, lambda a, b: a * b),
    "divide": (ranges.divide, lambda a, b: a / b),
}


def theirs(a: Range) -> mpmath.iv.mpf:
    return mpmath.iv.mpf([a.low, a.high])


@pytest.mark.parametrize("name", sorted(OPERATIONS))
@given(a=RANGES, b=RANGES)
def test_operations_agree_with_the_interval_library(name: str, a: Range, b: Range) -> None:
    ours, other = OPERATIONS[name]
    assume(name != "divide" or b.low > 1e-6 or b.high < -1e-6)
    expected = other(theirs(a), theirs(b))
    result = ours(a, b)
    scale = max(1.0, abs(float(expected.a)), abs(float(expected.b)))
    assert abs(result.low - float(expected.a)) <= 1e-15 * 4 * scale
    assert abs(result.high - float(expected.b)) <= 1e-15 * 4 * scale


@given(a=RANGES)
def test_root_and_power_agree_with_the_interval_library(a: Range) -> None:
    positive = Range(abs(a.low) + 1e-3, abs(a.low) + 1e-3 + abs(a.high))
    root, power = ranges.square_root(positive), ranges.power(positive, 2.2)
    expected_root, expected_power = mpmath.iv.sqrt(theirs(positive)), theirs(positive) ** mpmath.iv.mpf("2.2")
    assert root.low == pytest.approx(float(expected_root.a)) and root.high == pytest.approx(float(expected_root.b))
    assert power.low == pytest.approx(float(expected_power.a)) and power.high == pytest.approx(float(expected_power.b))


@pytest.mark.parametrize("name", sorted(OPERATIONS))
@given(a=RANGES, b=RANGES, x=st.floats(0, 1), y=st.floats(0, 1))
def test_a_point_inside_stays_inside(name: str, a: Range, b: Range, x: float, y: float) -> None:
    ours, plain = OPERATIONS[name]
    p = min(a.high, max(a.low, a.low + x * (a.high - a.low)))
    q = min(b.high, max(b.low, b.low + y * (b.high - b.low)))
    assume(name != "divide" or q != 0)
    result = ours(a, b)
    assert result.low <= plain(p, q) <= result.high


@given(a=RANGES, x=st.floats(0, 1), exponent=st.sampled_from([2.0, 3.0, -1.0, -2.0, 0.0]))
def test_a_power_holds_its_points(a: Range, x: float, exponent: float) -> None:
    p = min(a.high, max(a.low, a.low + x * (a.high - a.low)))
    assume(abs(p) > 1e-9 or exponent >= 0)
    result = ranges.power(a, exponent)
    assert result.low <= p**exponent <= result.high


def test_what_has_no_single_answer_is_everything() -> None:
    assert ranges.divide(Range(1, 1), Range(-1, 1)) == EVERYTHING
    assert ranges.divide(Range(1, 1), Range(0, 0)) == EVERYTHING
    assert ranges.square_root(Range(-1, 4)) == EVERYTHING
    assert ranges.add(Range(math.inf, math.inf), Range(-math.inf, -math.inf)) == EVERYTHING
    assert ranges.multiply(Range(-1, 0), Range(0, math.inf)) == EVERYTHING


def test_comparisons_have_three_answers() -> None:
    assert ranges.less(Range(1, 2), Range(3, 4)) is TRUE
    assert ranges.less(Range(3, 4), Range(1, 3)) is FALSE
    assert ranges.less(Range(1, 3), Range(2, 4)) is UNKNOWN
    assert ranges.equal(Range(2, 2), Range(2, 2)) is TRUE
    assert ranges.equal(Range(1, 2), Range(2, 3)) is UNKNOWN
    assert ranges.equal(Range(1, 2), Range(3, 4)) is FALSE


def test_kleene() -> None:
    assert conjunction([FALSE, UNKNOWN]) is FALSE and conjunction([TRUE, UNKNOWN]) is UNKNOWN and conjunction([]) is TRUE
    assert disjunction([TRUE, UNKNOWN]) is TRUE and disjunction([FALSE, UNKNOWN]) is UNKNOWN and disjunction([]) is FALSE
    assert negation(UNKNOWN) is UNKNOWN and negation(TRUE) is FALSE
    assert implication(FALSE, UNKNOWN) is TRUE and implication(UNKNOWN, FALSE) is UNKNOWN and implication(TRUE, FALSE) is FALSE
