"""The general functions of the language: minimum, maximum, root, magnitude, and the angle functions in degrees."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from cfglint.formula.errors import FormulaError
from cfglint.quantity import range as ranges
from cfglint.quantity.range import EVERYTHING, Range
from cfglint.quantity.unit import ANGLE, PLAIN, Dimension, dimension_name, root_dimension


class General(NamedTuple):
    """A general function: `check` gives the result's dimension for those of the arguments, or raises FormulaError."""

    check: Callable[[list[Dimension], int], Dimension]
    evaluate: Callable[..., Range]


def _same(count: int) -> Callable[[list[Dimension], int], Dimension]:
    def check(given: list[Dimension], column: int) -> Dimension:
        if len(given) != count:
            raise FormulaError(f"this function takes {count} value{'s' * (count > 1)}, {len(given)} are given", column)
        if any(dimension != given[0] for dimension in given):
            names = " and ".join(dimension_name(d) for d in given)
            raise FormulaError(f"these are not the same kind of quantity: {names}", column)
        return given[0]

    return check


def _root(given: list[Dimension], column: int) -> Dimension:
    dimension = root_dimension(_same(1)(given, column))
    if dimension is None:
        raise FormulaError(f"a {dimension_name(given[0])} has no square root", column)
    return dimension


def _from_to(takes: Dimension, gives: Dimension) -> Callable[[list[Dimension], int], Dimension]:
    def check(given: list[Dimension], column: int) -> Dimension:
        if _same(1)(given, column) != takes:
            wanted, got = dimension_name(takes), dimension_name(given[0])
            raise FormulaError(f"this function takes one {wanted}, not a {got}", column)
        return gives

    return check


def _sine(a: Range) -> Range:
    if a.low < -90 or a.high > 90:
        return Range(-1.0, 1.0)
    return ranges.rising(lambda x: math.sin(math.radians(x)), a)


def _cosine(a: Range) -> Range:
    distance = ranges.absolute(a)
    if distance.high > 180:
        return Range(-1.0, 1.0)
    return ranges.falling(lambda x: math.sin(math.radians(90 - x)), distance)


def _tangent(a: Range) -> Range:
    if a.low <= -90 or a.high >= 90:
        return EVERYTHING
    return ranges.rising(lambda x: math.tan(math.radians(x)), a)


def _arc_sine(a: Range) -> Range:
    if a.low < -1 or a.high > 1:
        return Range(-90.0, 90.0)
    return ranges.rising(lambda x: math.degrees(math.asin(x)), a)


def _arc_cosine(a: Range) -> Range:
    if a.low < -1 or a.high > 1:
        return Range(0.0, 180.0)
    return ranges.falling(lambda x: math.degrees(math.acos(x)), a)


def _arc_tangent(a: Range) -> Range:
    return ranges.rising(lambda x: math.degrees(math.atan(x)), a)


GENERAL: dict[str, General] = {
    "min": General(_same(2), ranges.lowest),
    "max": General(_same(2), ranges.highest),
    "abs": General(_same(1), ranges.absolute),
    "sqrt": General(_root, ranges.square_root),
    "sin": General(_from_to(ANGLE, PLAIN), _sine),
    "cos": General(_from_to(ANGLE, PLAIN), _cosine),
    "tan": General(_from_to(ANGLE, PLAIN), _tangent),
    "asin": General(_from_to(PLAIN, ANGLE), _arc_sine),
    "acos": General(_from_to(PLAIN, ANGLE), _arc_cosine),
    "atan": General(_from_to(PLAIN, ANGLE), _arc_tangent),
}
