"""The catalogue: every setting and fact the tool understands, with its kind, unit, bounds and meaning."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from cfglint.quantity.range import EVERYTHING, Range
from cfglint.quantity.unit import Unit, parse_unit
from cfglint.quantity.value import NO_WORDS, OFF, ON_OFF, SET, UNSET, UNSET_WORD, Value


class Definition(NamedTuple):
    """One setting or fact. Numbers are in base units; `unit` is the one it is shown in; `off` switches it off."""

    id: str
    kind: str
    unit: str
    low: float
    high: float
    off: float | None
    off_means: str
    words: tuple[str, ...]
    airframes: tuple[str, ...]
    is_fact: bool
    stands_for: str
    meaning: str
    known_as: tuple[str, ...]
    assumed: Mapping[str, Any] | None

    @property
    def is_number(self) -> bool:
        """Whether it is a number: whole, broken, or a date as a decimal year."""
        return self.kind in ("number", "count", "date")

    @property
    def shown_in(self) -> Unit:
        """The unit it is shown in."""
        return parse_unit(self.unit or "1")

    @property
    def bounds(self) -> Range:
        """What it may be at all."""
        return Range(self.low, self.high)

    def unseen(self) -> Value:
        """The value when nobody has stated one: anything within bounds; for a setting, perhaps nothing at all."""
        absent = 0 if self.is_fact else UNSET
        if self.is_number:
            off = 0 if self.off is None else OFF
            return Value(SET | off | absent, self.low, self.high, NO_WORDS, False)
        words = frozenset(self.words) | (frozenset((UNSET_WORD,)) if absent else NO_WORDS)
        return Value(SET | absent, EVERYTHING.low, EVERYTHING.high, words, False)

    def unset(self) -> Value:
        """The value when the craft is known to have none."""
        words = NO_WORDS if self.is_number else frozenset((UNSET_WORD,))
        return Value(UNSET, self.low, self.high, words, True)

    def switched_off(self) -> Value:
        """The value when the number's own off-word was given."""
        return Value(OFF, self.low, self.high, NO_WORDS, True)


Catalogue = Mapping[str, Definition]


def catalogue_of(stored: list[list[Any]]) -> dict[str, Definition]:
    """The catalogue from its stored rows, in their order."""
    return {row[0]: Definition(*row) for row in stored}


def stored_row(definition: Definition) -> list[Any]:
    """One definition as plain JSON."""
    return [list(field) if isinstance(field, tuple) else field for field in definition]


def switch_words(kind: str, words: tuple[str, ...]) -> frozenset[str]:
    """The words that a choice or switch may be."""
    return ON_OFF if kind == "switch" else frozenset(words)
