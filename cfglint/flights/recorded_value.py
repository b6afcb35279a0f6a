"""Values as the flight record keeps them: text with units, read back and compared in meaning."""

from __future__ import annotations

from cfglint.flights.card import AIR_DENSITY
from cfglint.quantity.unit import Unit, from_base
from cfglint.quantity.value import OFF, SET, UNSET, Value, either
from cfglint.setup.catalogue import Catalogue, Definition
from cfglint.setup.convert import convert

TOLERANCE = {"craft.mass": 0.05, AIR_DENSITY: 0.10}
"""How far a value may move before a proof is stale, as a share; for anything else any change counts."""

ROUNDING = 1e-8
"""Two numbers closer than this share are one number, written with other digits or in another unit."""

DENSITY = Definition(
    AIR_DENSITY, "number", "kg/m^3", 0.4, 1.8, None, "", (), (), True, "", "density of the air at the site", (), None
)  # fmt: skip


def definition_of(id: str, catalogue: Catalogue) -> Definition | None:
    """The definition of a covered id: a setting, a fact, or the air's density."""
    return DENSITY if id == AIR_DENSITY else catalogue.get(id)


def is_stated(value: Value) -> bool:
    """Whether there is a value at all: neither unseen nor unset."""
    return value.known and value.presence != UNSET


def recorded_text(definition: Definition, value: Value) -> str:
    """A value as text that reads back as the same value; empty for what nobody stated, and for what is unset."""
    if not is_stated(value) or definition.kind == "date":
        return ""
    if value.words:
        return " or ".join(sorted(value.words))
    parts = [_numbers(definition, value)] if value.presence & SET else []
    parts += [_with_unit(_digits(definition.off or 0.0, definition.shown_in), definition)] if value.presence & OFF else []
    parts += ["unset"] if value.presence & UNSET else []
    return " or ".join(parts)


def recorded_value(text: str, definition: Definition) -> tuple[Value | None, str]:
    """The value of a recorded text, or what is wrong with it."""
    parts = text.split(" or ") if definition.is_number or definition.words else [text]
    found: Value | None = None
    for part in parts[:64]:
        if part.strip() == "unset" and definition.is_number:
            value: Value | None = definition.unset()
        else:
            converted = convert(part.strip(), definition)
            value = converted.value
            if value is None:
                return None, f"{converted.wrong}; expected {converted.expected}"
        if value is not None:
            found = value if found is None else either(found, value)
    return found, ""


def is_same(id: str, recorded: Value, now: Value) -> bool:
    """Whether two values mean the same for a proof: nothing is nothing, and numbers may move by their tolerance."""
    if not is_stated(recorded) or not is_stated(now):
        return is_stated(recorded) == is_stated(now)
    if recorded.presence != now.presence or recorded.words != now.words:
        return False
    if not recorded.presence & SET or recorded.words:
        return True
    share = TOLERANCE.get(id, ROUNDING)
    return _close(recorded.low, now.low, share) and _close(recorded.high, now.high, share)


def _close(a: float, b: float, share: float) -> bool:
    return abs(a - b) <= share * (abs(a) + (0.0 if share > ROUNDING else abs(b))) * (1 + 1e-12) + 1e-12


def _numbers(definition: Definition, value: Value) -> str:
    unit = definition.shown_in
    low, high = sorted((value.low, value.high))
    if low == high:
        return _with_unit(_digits(low, unit), definition)
    return _with_unit(f"{_digits(low, unit)}..{_digits(high, unit)}", definition)


def _digits(value: float, unit: Unit) -> str:
    return f"{from_base(value, unit):.10g}"


def _with_unit(number: str, definition: Definition) -> str:
    return number if definition.unit in ("1", "") else f"{number} {definition.unit}"
