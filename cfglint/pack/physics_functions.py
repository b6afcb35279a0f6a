"""The physics functions as functions of the rule language: units converted, directions of growth used on ranges."""

from __future__ import annotations

import math
from collections.abc import Callable

from cfglint.formula.vocabulary import Function
from cfglint.physics import DECLARATIONS, Declaration, NoValue, Parameter
from cfglint.quantity.range import Range, intersection
from cfglint.quantity.unit import Unit, parse_unit


def physics_functions() -> dict[str, Function]:
    """Every declared physics function, by name, ready for a vocabulary."""
    return {name: _function(declaration) for name, declaration in DECLARATIONS.items()}


def range_evaluators() -> dict[str, Callable[..., Range]]:
    """How each physics function is evaluated on ranges, by name."""
    return {name: _Lazy(declaration) for name, declaration in DECLARATIONS.items()}


def on_ranges(declaration: Declaration) -> Callable[..., Range]:
    """The evaluation of one physics function on ranges in base units.

    Each argument gives the end that makes the result least, or greatest; one whose slope is bounded its middle and half
    width; one that has neither must be exact, else the result is anything within the function's bounds.
    """
    result = parse_unit(declaration.unit)
    everything = Range(_base(declaration.lowest, result), _base(declaration.highest, result))
    units = [None if _is_base(parse_unit(p.unit)) else parse_unit(p.unit) for p in declaration.parameters]
    parameters = declaration.parameters
    function = _kept(declaration) if declaration.name in COSTLY else declaration.function

    def evaluate(*arguments: Range) -> Range:
        least, greatest, slack, exact = [], [], 0.0, True
        for argument, parameter, unit in zip(arguments, parameters, units, strict=True):
            low, high = (argument.low, argument.high) if unit is None else (_own(argument.low, unit), _own(argument.high, unit))
            if low != high:
                exact = False
                if parameter.growth == "?":
                    return everything
            low, high, more = _ends(low, high, parameter)
            least.append(low)
            greatest.append(high)
            slack += more
        try:
            first = function(*least)
            last = first if exact else function(*greatest)
        except NoValue:
            return everything
        if not exact:
            first, last = math.nextafter(first - slack, -math.inf), math.nextafter(last + slack, math.inf)
        found = Range(_base(first, result), _base(last, result))
        return intersection(found, everything) or everything

    return evaluate


COSTLY = frozenset(("magnetic_declination", "magnetic_horizontal_field", "magnetic_total_field"))
"""Functions that load a model first (tens of milliseconds): their results are kept between runs."""


def _kept(declaration: Declaration) -> Callable[..., float]:
    def function(*values: float) -> float:
        from cfglint.store.remembered import remembered

        def compute() -> float | str:
            try:
                return declaration.function(*values)
            except NoValue as reason:
                return str(reason)

        result = remembered("field", [declaration.name.encode(), repr(values).encode()], compute)
        if isinstance(result, str):
            raise NoValue(result)
        return float(result)

    return function


class _Lazy:
    """An evaluator that is made when it is first asked for: most runs use a few functions only."""

    __slots__ = ("declaration", "evaluate")

    def __init__(self, declaration: Declaration) -> None:
        self.declaration = declaration
        self.evaluate: Callable[..., Range] | None = None

    def __call__(self, *arguments: Range) -> Range:
        if self.evaluate is None:
            self.evaluate = on_ranges(self.declaration)
        return self.evaluate(*arguments)


def _function(declaration: Declaration) -> Function:
    return Function(
        declaration.name,
        tuple(parameter.name for parameter in declaration.parameters),
        tuple(parse_unit(parameter.unit).dimension for parameter in declaration.parameters),
        parse_unit(declaration.unit).dimension,
        on_ranges(declaration),
    )


def _ends(low: float, high: float, parameter: Parameter) -> tuple[float, float, float]:
    """The values that make the result least and greatest, and how much a bounded slope may add on either side."""
    if parameter.growth == "-":
        return high, low, 0.0
    slope = parameter.slope
    if slope is None or low == high:
        return low, high, 0.0
    middle = (low + high) / 2
    return middle, middle, slope * (high - low) / 2


def _is_base(unit: Unit) -> bool:
    return unit.numerator == unit.denominator and unit.offset_numerator == 0


def _own(value: float, unit: Unit) -> float:
    return (value - unit.offset) * unit.denominator / unit.numerator


def _base(value: float, unit: Unit) -> float:
    return value if math.isinf(value) else value * unit.numerator / unit.denominator + unit.offset
