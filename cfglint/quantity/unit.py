"""Units of measure: their dimensions, their exact factors, and how a unit is read from text.

A dimension is the exponents of seven bases: metre, kilogram, second, ampere, kelvin, degree of angle, microsecond of
stick pulse. The pulse is a base of its own, so that a throttle is never mistaken for a time; the angle is one, so that
degrees never meet a plain number. A quantity is held in these bases: m, kg, s, A, K, deg, us.
"""

from __future__ import annotations

from typing import NamedTuple

from cfglint.quantity.units import AMOUNTS, UNITS

Dimension = tuple[int, int, int, int, int, int, int]
PLAIN: Dimension = (0, 0, 0, 0, 0, 0, 0)
PULSE: Dimension = (0, 0, 0, 0, 0, 0, 1)
ANGLE: Dimension = (0, 0, 0, 0, 0, 1, 0)
TEMPERATURE: Dimension = (0, 0, 0, 0, 1, 0, 0)

_LONGEST_UNIT_TEXT = 40
_LARGEST_EXPONENT = 9


class Unit(NamedTuple):
    """A unit: base quantity = number * numerator / denominator + offset_numerator / offset_denominator."""

    symbol: str
    dimension: Dimension
    numerator: int
    denominator: int
    offset_numerator: int = 0
    offset_denominator: int = 1

    @property
    def factor(self) -> float:
        """What one of this unit is in base units, rounded once."""
        return self.numerator / self.denominator

    @property
    def offset(self) -> float:
        """What zero of this unit is in base units, rounded once."""
        return self.offset_numerator / self.offset_denominator


class UnitError(ValueError):
    """A unit text that can't be read; `unknown` is the symbol at fault, if one is."""

    def __init__(self, message: str, unknown: str = "") -> None:
        super().__init__(message)
        self.unknown = unknown


def parse_unit(text: str) -> Unit:
    """Read a unit: `m/s`, `kg/m^3`, `0.1 V` (tenths of a volt), `% of travel`.

    Raises UnitError, naming the symbol nobody knows.
    """
    known = _PARSED.get(text)
    if known is None:
        known = _parse(text.strip())
        if len(_PARSED) < 1000:
            _PARSED[text] = known
    return known


def multiply_dimensions(a: Dimension, b: Dimension, sign: int = 1) -> Dimension:
    """The dimension of a product, or of a quotient with `sign=-1`."""
    return tuple(x + sign * y for x, y in zip(a, b, strict=True))  # type: ignore[return-value]


def power_dimension(a: Dimension, exponent: int) -> Dimension:
    """The dimension of a whole power."""
    return tuple(x * exponent for x in a)  # type: ignore[return-value]


def root_dimension(a: Dimension) -> Dimension | None:
    """The dimension of a square root; None where an exponent is odd."""
    return None if any(x % 2 for x in a) else tuple(x // 2 for x in a)  # type: ignore[return-value]


def dimension_name(dimension: Dimension) -> str:
    """The word people use for a dimension ("speed"), or its base units where there is none."""
    for name, unit_text in AMOUNTS:
        if parse_unit(unit_text).dimension == dimension:
            return name
    return base_text(dimension)


def shown_unit(dimension: Dimension) -> Unit:
    """The unit in which a computed quantity of this dimension is shown to people."""
    for _, unit_text in AMOUNTS:
        unit = parse_unit(unit_text)
        if unit.dimension == dimension:
            return unit
    return Unit(base_text(dimension), dimension, 1, 1)


def base_text(dimension: Dimension) -> str:
    """A dimension spelled in base units."""
    names = ("m", "kg", "s", "A", "K", "deg", "us")
    above = [n if e == 1 else f"{n}^{e}" for n, e in zip(names, dimension, strict=True) if e > 0]
    below = [n if e == -1 else f"{n}^{-e}" for n, e in zip(names, dimension, strict=True) if e < 0]
    return "*".join(above or ["1"]) + "".join("/" + name for name in below)


def to_base(numerator: int, denominator: int, unit: Unit) -> float:
    """An exact number of `unit` in base units, rounded once."""
    top = numerator * unit.numerator * unit.offset_denominator
    top += unit.offset_numerator * denominator * unit.denominator
    try:
        return top / (denominator * unit.denominator * unit.offset_denominator)
    except OverflowError:
        return float("inf") if top > 0 else float("-inf")


def from_base(value: float, unit: Unit) -> float:
    """A base quantity in `unit`."""
    return (value - unit.offset) * unit.denominator / unit.numerator


def _parse(text: str) -> Unit:
    if len(text) > _LONGEST_UNIT_TEXT:
        raise UnitError(f"a unit has at most {_LONGEST_UNIT_TEXT} characters")
    if text in UNITS:
        return _table_unit(text)
    head, _, rest = text.partition(" ")
    factor = _exact_decimal(head)
    if factor is not None and rest:
        return _scaled(parse_unit(rest), *factor, symbol=text)
    return _compound(text)


def _table_unit(symbol: str) -> Unit:
    base, numerator, denominator, offset_numerator, offset_denominator = UNITS[symbol]
    return Unit(symbol, base, numerator, denominator, offset_numerator, offset_denominator)


def _scaled(unit: Unit, numerator: int, denominator: int, symbol: str) -> Unit:
    if numerator == 0:
        raise UnitError("a unit can't have the factor 0")
    top, bottom = unit.numerator * numerator, unit.denominator * denominator
    return Unit(symbol, unit.dimension, top, bottom, unit.offset_numerator, unit.offset_denominator)


def _compound(text: str) -> Unit:
    dimension, numerator, denominator, sign = PLAIN, 1, 1, 1
    for position, piece in enumerate(text.replace("*", " * ").replace("/", " / ").split(" ")):
        if position % 2:
            if piece not in ("*", "/"):
                raise UnitError(f"'{text}' is no unit")
            sign = 1 if piece == "*" else -1
            continue
        unit, exponent = _piece(piece, text)
        dimension = multiply_dimensions(dimension, power_dimension(unit.dimension, exponent), sign)
        raised = (unit.numerator**exponent, unit.denominator**exponent)
        top, bottom = raised if sign > 0 else raised[::-1]
        numerator, denominator = numerator * top, denominator * bottom
    return Unit(text, dimension, numerator, denominator)


def _piece(piece: str, text: str) -> tuple[Unit, int]:
    symbol, caret, exponent = piece.partition("^")
    if symbol not in UNITS:
        raise UnitError(f"no unit is called '{symbol}'", symbol)
    unit = _table_unit(symbol)
    if unit.offset_numerator and piece != text:
        raise UnitError(f"'{symbol}' has a zero of its own and can't be part of another unit", symbol)
    if not caret:
        return unit, 1
    if not (exponent.isascii() and exponent.isdigit()) or not 1 <= int(exponent[:3]) <= _LARGEST_EXPONENT:
        raise UnitError(f"the exponent in '{piece}' must be 1 to {_LARGEST_EXPONENT}", piece)
    return unit, int(exponent)


def _exact_decimal(text: str) -> tuple[int, int] | None:
    whole, _, fraction = text.partition(".")
    digits = whole + fraction
    if not (digits.isascii() and digits.isdigit()) or len(digits) > 20:
        return None
    return int(digits), 10 ** len(fraction)


_PARSED: dict[str, Unit] = {}
