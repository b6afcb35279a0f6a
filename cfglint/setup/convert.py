"""A value as written to a Value in base units: exactly, and with everything that was wrong about it said."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from cfglint.quantity.range import Range
from cfglint.quantity.show import show_range
from cfglint.quantity.unit import PULSE, Unit, UnitError, dimension_name, parse_unit, to_base
from cfglint.quantity.value import NO_WORDS, OFF, SET, Value, word_value
from cfglint.setup.catalogue import Definition
from cfglint.text.value import Between, Listing, Number, Quoted, Unreadable, Word, parse_value

_YES = {"on": "on", "yes": "on", "true": "on", "off": "off", "no": "off", "false": "off"}


class Reading(NamedTuple):
    """How a controller writes one setting; the defaults suit a text that carries its own unit.

    `unit`: what one raw 1 means, None where the text or the catalogue says it. `codes`: raw text to a word, or to a quantity
    text. `off`: raw texts that switch the function off. `add`: exact number added to the raw one first, as a fraction.
    """

    unit: str | None = None
    codes: Mapping[str, str] = {}
    off: tuple[str, ...] = ()
    add: tuple[int, int] = (0, 1)
    step: str = ""


class Converted(NamedTuple):
    """A value, the smallest step of the way it is written (base units, 0 if unknown), or what is wrong with it."""

    value: Value | None
    step: float = 0.0
    wrong: str = ""
    expected: str = ""


PLAIN_READING = Reading()


def convert(text: str, definition: Definition, reading: Reading = PLAIN_READING) -> Converted:
    """What a written value means for a definition. Never raises: `wrong` says what is the matter."""
    if definition.kind == "date":
        return _date(text.strip().strip("\"'"), definition)
    parsed = parse_value(text)
    raw = parsed.text if isinstance(parsed, (Quoted, Word)) else text.strip()
    if raw in reading.off:
        return Converted(definition.switched_off())
    if raw in reading.codes:
        return convert(reading.codes[raw], definition)
    if definition.is_number:
        return _number(parsed, raw, definition, reading)
    if definition.kind in ("choice", "switch"):
        return _word(raw, definition, reading)
    return Converted(word_value(frozenset((raw[:200],)))) if raw else _empty(definition)


def exact_quantity(text: str, unit: Unit) -> float:
    """A quantity text such as `120 m` in base units. Raises ValueError: no number, or a unit of another kind than `unit`."""
    parsed = parse_value(text)
    if not isinstance(parsed, Number):
        raise ValueError(f"'{text}' is no quantity")
    own = parse_unit(parsed.unit) if parsed.unit else unit
    if own.dimension != unit.dimension:
        raise ValueError(f"'{text}' is no {dimension_name(unit.dimension)}")
    return to_base(parsed.numerator, parsed.denominator, own)


def exact_fraction(text: str) -> tuple[int, int] | None:
    """A plain number text as an exact fraction; None when it is none."""
    if text == "0":
        return 0, 1
    parsed = parse_value(text)
    if isinstance(parsed, Number) and not parsed.unit:
        return parsed.numerator, parsed.denominator
    return None


def stick_unit(text: str, dimension: object) -> str:
    """A percentage of a stick setting means travel: 0 % is 1000 us and 100 % is 2000 us."""
    return text + " of travel" if dimension == PULSE and text.endswith("%") else text


def expected_of(definition: Definition) -> str:
    """What a value of this definition looks like, for people."""
    if definition.kind == "date":
        return "a day as YYYY-MM-DD"
    if definition.is_number:
        return show_range(definition.bounds, definition.shown_in)
    return ", ".join(definition.words) if definition.words else "a text"


def decimal_year(year: int, month: int, day: int) -> float | None:
    """A day as a decimal year, its start; None for a day that no calendar has."""
    if not 1 <= month <= 12 or day < 1:
        return None
    leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    lengths = (31, 29 if leap else 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    if day > lengths[month - 1]:
        return None
    return year + (sum(lengths[: month - 1]) + day - 1) / (366 if leap else 365)


def _date(raw: str, definition: Definition) -> Converted:
    parts = raw.split("-")
    whole = len(parts) == 3 and all(p.isascii() and p.isdigit() and len(p) <= 4 for p in parts)
    year = decimal_year(int(parts[0]), int(parts[1]), int(parts[2])) if whole else None
    if year is None or not definition.low <= year <= definition.high:
        return Converted(None, wrong=f"'{_short(raw)}' is no day", expected=expected_of(definition))
    return Converted(Value(SET, year, year, NO_WORDS, True))


def _number(parsed: object, raw: str, definition: Definition, reading: Reading) -> Converted:
    if isinstance(parsed, Quoted):
        parsed = parse_value(parsed.text)
    if isinstance(parsed, Number):
        return _between(parsed, parsed, definition, reading)
    if isinstance(parsed, Between):
        return _between(parsed.low, parsed.high, definition, reading)
    if not raw:
        return _empty(definition)
    what = "is a list" if isinstance(parsed, Listing) else "is no number"
    reason = parsed.reason if isinstance(parsed, Unreadable) else ""
    return Converted(None, wrong=f"'{_short(raw)}' {what}" + (f" ({reason})" if reason else ""), expected=expected_of(definition))


def _between(low: Number, high: Number, definition: Definition, reading: Reading) -> Converted:
    try:
        unit = _unit_of(low, definition, reading)
    except UnitError as error:
        return Converted(None, wrong=str(error), expected=expected_of(definition))
    if unit.dimension != definition.shown_in.dimension:
        wrong = f"'{low.unit or reading.unit}' is {_article(dimension_name(unit.dimension))}"
        return Converted(None, wrong=wrong, expected=_article(dimension_name(definition.shown_in.dimension)))
    ends = [_base(number, unit, reading) for number in (low, high)]
    step = _step(low, unit, reading)
    return _bounded(Range(min(ends), max(ends)), step, definition)


def _bounded(numbers: Range, step: float, definition: Definition) -> Converted:
    if definition.kind == "count" and not (numbers.low.is_integer() and numbers.high.is_integer()):
        return Converted(None, wrong=f"{numbers.low:g} is not a whole number", expected=expected_of(definition))
    if definition.off is not None and numbers.low == numbers.high == definition.off:
        return Converted(definition.switched_off(), step)
    if numbers.low < definition.low or numbers.high > definition.high:
        shown = show_range(numbers, definition.shown_in)
        return Converted(None, wrong=f"{shown} is outside what is possible", expected=expected_of(definition))
    off = OFF if definition.off is not None and numbers.low <= definition.off <= numbers.high else 0
    return Converted(Value(SET | off, numbers.low, numbers.high, NO_WORDS, True), step)


def _base(number: Number, unit: Unit, reading: Reading) -> float:
    top, bottom = reading.add
    return to_base(number.numerator * bottom + top * number.denominator, number.denominator * bottom, unit)


def _step(number: Number, unit: Unit, reading: Reading) -> float:
    fraction = exact_fraction(reading.step) if reading.step else None
    top, bottom = fraction or (number.step_numerator, number.step_denominator)
    return abs(top * unit.numerator / (bottom * unit.denominator)) if bottom else 0.0


def _unit_of(number: Number, definition: Definition, reading: Reading) -> Unit:
    if number.unit:
        return parse_unit(stick_unit(number.unit, definition.shown_in.dimension))
    if reading.unit:
        return parse_unit(stick_unit(reading.unit, definition.shown_in.dimension))
    return definition.shown_in


def _word(raw: str, definition: Definition, reading: Reading) -> Converted:
    if not raw:
        return _empty(definition)
    word = raw.lower().replace("-", "_").replace(" ", "_")
    if definition.kind == "switch":
        word = _YES.get(word, word)
    if word in definition.words:
        return Converted(word_value(frozenset((word,))))
    if word == "unset":
        return Converted(definition.unset())
    known = f"; codes: {', '.join(sorted(reading.codes)[:12])}" if reading.codes else ""
    return Converted(None, wrong=f"'{_short(raw)}' is no word for it", expected=expected_of(definition) + known)


def _empty(definition: Definition) -> Converted:
    return Converted(None, wrong="there is no value", expected=expected_of(definition))


def _short(raw: str) -> str:
    return raw if len(raw) <= 40 else raw[:37] + "..."


def _article(name: str) -> str:
    return ("an " if name[0] in "aeiou" else "a ") + name
