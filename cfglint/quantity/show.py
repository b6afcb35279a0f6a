"""Quantities as people read them: few digits, a unit, never more certainty than there is."""

from __future__ import annotations

import math

from cfglint.quantity.range import Range
from cfglint.quantity.unit import Unit, from_base

_SYMBOLS = {"us": "\u00b5s", "uT": "\u00b5T", "deg": "\u00b0", "degC": "\u00b0C", "1": "", "m/s^2": "m/s\u00b2"}
_SYMBOLS |= {"m^2": "m\u00b2", "kg/m^3": "kg/m\u00b3"}


def show_range(numbers: Range, unit: Unit, digits: int = 4) -> str:
    """A number or range with its unit: `27.3 m`, `216..299 Hz`, `at least 3 m`, `any`."""
    low, high = from_base(numbers.low, unit), from_base(numbers.high, unit)
    if low > high:
        low, high = high, low
    if low == high:
        return _with_unit(show_number(low, digits), unit)
    if math.isinf(low) and math.isinf(high):
        return "any"
    if math.isinf(high):
        return "at least " + _with_unit(show_number(low, digits), unit)
    if math.isinf(low):
        return "at most " + _with_unit(show_number(high, digits), unit)
    return _with_unit("..".join(_outward(low, high)), unit)


def show_number(value: float, digits: int = 4) -> str:
    """A plain number with so many significant digits, never in exponent form and without idle zeros."""
    if math.isinf(value):
        return "endless" if value > 0 else "-endless"
    if value == 0:
        return "0"
    magnitude = math.floor(math.log10(abs(value)))
    decimals = max(0, min(12, digits - 1 - magnitude))
    return _trimmed(f"{value:.{decimals}f}")


def unit_symbol(unit: Unit) -> str:
    """A unit as people write it."""
    return _SYMBOLS.get(unit.symbol, unit.symbol)


def _outward(low: float, high: float) -> tuple[str, str]:
    """Both ends rounded away from each other, to the digits that their distance makes worth showing."""
    width = high - low
    decimals = 1 - math.floor(math.log10(width)) if width > 0 else 6
    scale = 10.0 ** max(0, min(decimals, 9))
    if not math.isfinite(high * scale) or not math.isfinite(low * scale):
        return show_number(low), show_number(high)
    places = max(0, min(decimals, 9))
    return _trimmed(f"{_floor(low * scale) / scale:.{places}f}"), _trimmed(f"{_ceil(high * scale) / scale:.{places}f}")


def _floor(value: float) -> float:
    return float(round(value)) if abs(value - round(value)) < 1e-6 else float(math.floor(value))


def _ceil(value: float) -> float:
    return float(round(value)) if abs(value - round(value)) < 1e-6 else float(math.ceil(value))


def _trimmed(text: str) -> str:
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _with_unit(number: str, unit: Unit) -> str:
    symbol = unit_symbol(unit)
    if not symbol:
        return number
    return number + symbol if symbol == "\u00b0" else f"{number} {symbol}"
