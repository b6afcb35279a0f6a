"""Closed ranges of numbers, and arithmetic on them that encloses every possible result.

The four operations and the square root are evaluated at the ends as the machine rounds them: rounding is monotone,
so a point evaluated the same way can't fall outside. Other functions widen a true range by one unit in the last place.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from cfglint.quantity.truth import FALSE, TRUE, UNKNOWN, Truth

INFINITY = math.inf


class Range(NamedTuple):
    """Every number from `low` to `high`, both included; an exact number has `low == high`."""

    low: float
    high: float

    @property
    def is_exact(self) -> bool:
        """Whether the range is one number."""
        return self.low == self.high


EVERYTHING = Range(-INFINITY, INFINITY)


def exactly(value: float) -> Range:
    """The range that holds one number."""
    return Range(value, value)


def hull(a: Range, b: Range) -> Range:
    """The smallest range that holds both."""
    return Range(min(a.low, b.low), max(a.high, b.high))


def intersection(a: Range, b: Range) -> Range | None:
    """What both allow; None when they exclude each other."""
    low, high = max(a.low, b.low), min(a.high, b.high)
    return Range(low, high) if low <= high else None


def widened(low: float, high: float) -> Range:
    """A range of computed ends, one unit in the last place wider unless it is a single number."""
    if low == high:
        return Range(low, high)
    return _range(math.nextafter(low, -INFINITY), math.nextafter(high, INFINITY))


def add(a: Range, b: Range) -> Range:
    """a + b."""
    return _range(a.low + b.low, a.high + b.high)


def subtract(a: Range, b: Range) -> Range:
    """a - b."""
    return _range(a.low - b.high, a.high - b.low)


def negative(a: Range) -> Range:
    """-a."""
    return Range(-a.high, -a.low)


def multiply(a: Range, b: Range) -> Range:
    """a * b."""
    if a.low >= 0 and b.low >= 0:
        return _range(a.low * b.low, a.high * b.high)
    products = (a.low * b.low, a.low * b.high, a.high * b.low, a.high * b.high)
    return EVERYTHING if any(map(math.isnan, products)) else Range(min(products), max(products))


def divide(a: Range, b: Range) -> Range:
    """a / b; everything when the divisor may be zero."""
    if b.low <= 0 <= b.high:
        return EVERYTHING
    quotients = (a.low / b.low, a.low / b.high, a.high / b.low, a.high / b.high)
    return EVERYTHING if any(map(math.isnan, quotients)) else Range(min(quotients), max(quotients))


def power(a: Range, exponent: float) -> Range:
    """a to a fixed exponent; everything where a negative base meets a broken exponent, or zero a negative one."""
    if exponent < 0 and a.low <= 0 <= a.high:
        return EVERYTHING
    whole = float(exponent).is_integer()
    if a.low < 0 and not whole:
        return EVERYTHING
    ends = (_power(a.low, exponent), _power(a.high, exponent))
    low, high = min(ends), max(ends)
    if whole and exponent > 0 and exponent % 2 == 0 and a.low < 0 < a.high:
        low = 0.0
    return widened(low, high)


def square_root(a: Range) -> Range:
    """The square root; everything where part of the range is negative."""
    return EVERYTHING if a.low < 0 else Range(math.sqrt(a.low), math.sqrt(a.high))


def absolute(a: Range) -> Range:
    """The distance from zero."""
    if a.low >= 0:
        return a
    return negative(a) if a.high <= 0 else Range(0.0, max(-a.low, a.high))


def lowest(a: Range, b: Range) -> Range:
    """The lesser of the two."""
    return Range(min(a.low, b.low), min(a.high, b.high))


def highest(a: Range, b: Range) -> Range:
    """The greater of the two."""
    return Range(max(a.low, b.low), max(a.high, b.high))


def less(a: Range, b: Range) -> Truth:
    """a < b."""
    if a.high < b.low:
        return TRUE
    return FALSE if a.low >= b.high else UNKNOWN


def equal(a: Range, b: Range) -> Truth:
    """a = b: TRUE only for two exact numbers, FALSE when the ranges have nothing in common."""
    if a.low == a.high == b.low == b.high:
        return TRUE
    return UNKNOWN if a.low <= b.high and b.low <= a.high else FALSE


def rising(function: Callable[[float], float], a: Range) -> Range:
    """A function that never falls, over a range."""
    return widened(function(a.low), function(a.high))


def falling(function: Callable[[float], float], a: Range) -> Range:
    """A function that never rises, over a range."""
    return widened(function(a.high), function(a.low))


def _range(low: float, high: float) -> Range:
    return EVERYTHING if low != low or high != high else Range(low, high)


def _power(base: float, exponent: float) -> float:
    try:
        return float(base**exponent)
    except OverflowError:
        return INFINITY if base > 0 or exponent % 2 == 0 else -INFINITY
