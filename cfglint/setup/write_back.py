"""A value back into the dump's own syntax: the inverse of converting, in the steps that the controller can write."""

from __future__ import annotations

from typing import NamedTuple

from cfglint.quantity.show import show_number
from cfglint.quantity.unit import Unit, parse_unit, to_base
from cfglint.quantity.value import SET, Value
from cfglint.setup.catalogue import Definition
from cfglint.setup.convert import PLAIN_READING, Reading, convert, exact_fraction, stick_unit
from cfglint.setup.setting import Setting
from cfglint.text.value import Number, parse_value


class Grid(NamedTuple):
    """The values a controller can write for a number: whole multiples of a raw step, between the bounds.

    Position n is the raw number n * step_numerator / step_denominator.
    """

    unit: Unit
    add: tuple[int, int]
    step_numerator: int
    step_denominator: int
    lowest: int
    highest: int
    with_unit: str

    def base(self, position: int) -> float:
        """The value at a position, in base units, rounded once as reading it would."""
        top, bottom = self.add
        numerator = position * self.step_numerator * bottom + top * self.step_denominator
        return to_base(numerator, self.step_denominator * bottom, self.unit)

    def raw(self, position: int) -> str:
        """The text to write for a position."""
        decimals = len(str(self.step_denominator)) - 1
        number = position * self.step_numerator / self.step_denominator
        text = f"{number:.{decimals}f}" if decimals else str(position * self.step_numerator // self.step_denominator)
        return text + self.with_unit

    def nearest(self, value: float) -> int:
        """The position next to a value in base units, within the bounds."""
        low, high = self.lowest, self.highest
        while low < high:
            middle = (low + high) // 2
            if self.base(middle) < value:
                low = middle + 1
            else:
                high = middle
        if low > self.lowest and abs(self.base(low - 1) - value) <= abs(self.base(low) - value):
            return low - 1
        return low


def grid_of(definition: Definition, setting: Setting) -> Grid | None:
    """The grid for a setting; None for what is no number, or is written in codes."""
    if not definition.is_number or definition.kind == "date":
        return None
    reading = setting.rule.reading if setting.rule else PLAIN_READING
    written = parse_value(setting.raw)
    own = written if isinstance(written, Number) else None
    if reading.codes and (own is None or setting.raw.strip() in reading.codes):
        return None
    unit_text = own.unit if own is not None and own.unit else reading.unit or definition.unit
    unit = parse_unit(stick_unit(unit_text or "1", definition.shown_in.dimension))
    step = _step(definition, unit, reading, own)
    if unit.numerator < 0 or step[0] <= 0:
        return None
    with_unit = _between(setting.raw, own) if own is not None and own.unit else ""
    return _bounded(Grid(unit, reading.add, *step, 0, 0, with_unit), definition)


def word_raw(definition: Definition, setting: Setting, word: str) -> str | None:
    """The text to write for a word of a choice or switch; None where the map knows no code for it."""
    reading = setting.rule.reading if setting.rule else PLAIN_READING
    for code, meaning in reading.codes.items():
        value = convert(meaning, definition).value
        if value is not None and value.words == frozenset((word,)):
            return code
    return None if reading.codes else word


def line_with(setting: Setting, raw: str, layout_line: str) -> str:
    """The setting's line with another value; a new line in the layout's form where it has none."""
    if not setting.places or setting.places[0].span is None:
        return layout_line.format(key=setting.rule.key.rpartition("/")[2] if setting.rule else setting.id, value=raw)
    place = setting.places[-1]
    start = place.column - 1
    length = len(setting.raw)
    return (place.shown[:start] + raw + place.shown[start + length :]).strip()


def is_written(setting: Setting) -> bool:
    """Whether a value stands in the dump."""
    return bool(setting.places) and setting.places[0].span is not None


def exact_value(number: float) -> Value:
    """An exact number as a Value."""
    return Value(SET, number, number, frozenset(), True)


def _between(raw: str, own: Number) -> str:
    """The unit as it was written, with the blanks before it."""
    at = raw.rfind(own.unit)
    blanks = len(raw[:at]) - len(raw[:at].rstrip()) if at > 0 else 0
    return raw[at - blanks : at + len(own.unit)] if at > 0 else own.unit


def _step(definition: Definition, unit: Unit, reading: Reading, own: Number | None) -> tuple[int, int]:
    if reading.step:
        fraction = exact_fraction(reading.step)
        if fraction:
            return fraction
    if definition.kind == "count" or (own is None and reading.unit):
        return 1, 1
    sensible = (definition.high - definition.low) / unit.factor / 30
    if own is not None and (not own.unit or own.step_numerator <= sensible * own.step_denominator):
        return own.step_numerator, own.step_denominator
    return _power_of_ten_below(sensible)


def _power_of_ten_below(value: float) -> tuple[int, int]:
    """The largest power of ten not above a value, as a fraction; at most one."""
    denominator = 1
    while denominator < 10**6 and value * denominator < 1:
        denominator *= 10
    return 1, denominator


def _bounded(grid: Grid, definition: Definition) -> Grid:
    reach = 2**40
    low = _first(grid, definition.low, reach)
    high = _first(grid, definition.high, reach)
    if grid.base(high) > definition.high:
        high -= 1
    return grid._replace(lowest=low, highest=high)


def _first(grid: Grid, value: float, reach: int) -> int:
    """The first position whose value is not below one."""
    low, high = -reach, reach
    while low < high:
        middle = (low + high) // 2
        if grid.base(middle) < value:
            low = middle + 1
        else:
            high = middle
    return low


def shown_step(definition: Definition, distance: float) -> str:
    """How far a value moves, in the unit it is shown in."""
    unit = definition.shown_in
    symbol = {"us": " \u00b5s", "uT": " \u00b5T", "deg": "\u00b0", "1": "", "degC": " K"}.get(unit.symbol, f" {unit.symbol}")
    return show_number(distance * unit.denominator / unit.numerator, 4) + symbol
