"""What may be the value of one setting or fact: a range of numbers or a set of words, and whether it is there at all."""

from __future__ import annotations

from typing import NamedTuple

from cfglint.quantity.range import EVERYTHING, Range
from cfglint.quantity.truth import FALSE, TRUE, UNKNOWN, Truth

SET, OFF, UNSET = 1, 2, 4
"""Bits of `Value.presence`: it may have a value; it may be switched off; the craft may have no such value."""

ON_OFF = frozenset(("on", "off"))
UNSET_WORD = "unset"


class Value(NamedTuple):
    """One setting or fact as far as it is known.

    `presence` is the set of states that are possible, as bits. `low..high` holds what the number is if it is set;
    `words` what the choice may be, "unset" among them where it may be unset. `known` is false of what nobody stated.
    """

    presence: int
    low: float
    high: float
    words: frozenset[str]
    known: bool

    @property
    def range(self) -> Range:
        """The number's range, given that it is set."""
        return Range(self.low, self.high)

    @property
    def is_exact(self) -> bool:
        """Whether nothing about the value is open."""
        if self.words:
            return len(self.words) == 1
        return self.presence in (OFF, UNSET) or (self.presence == SET and self.low == self.high)

    def has(self, state: int) -> Truth:
        """Whether the value is in a state (SET, OFF or UNSET)."""
        if not self.presence & state:
            return FALSE
        return TRUE if self.presence == state else UNKNOWN

    def is_among(self, words: frozenset[str]) -> Truth:
        """Whether the choice is one of these words."""
        if self.words <= words:
            return TRUE
        return UNKNOWN if self.words & words else FALSE


NO_WORDS: frozenset[str] = frozenset()


def number_value(numbers: Range, presence: int = SET, known: bool = True) -> Value:
    """A number somewhere in a range."""
    return Value(presence, numbers.low, numbers.high, NO_WORDS, known)


def word_value(words: frozenset[str], known: bool = True) -> Value:
    """A choice among words; the word "unset" says that there may be none."""
    presence = (UNSET if UNSET_WORD in words else 0) | (SET if words - {UNSET_WORD} else 0)
    return Value(presence, EVERYTHING.low, EVERYTHING.high, words, known)


def either(a: Value, b: Value) -> Value:
    """A value that is one of two: a key written twice."""
    if a.words or b.words:
        return word_value(a.words | b.words, a.known and b.known)
    ranges = [v.range for v in (a, b) if v.presence & SET]
    low = min((r.low for r in ranges), default=a.low)
    high = max((r.high for r in ranges), default=a.high)
    return Value(a.presence | b.presence, low, high, NO_WORDS, a.known and b.known)
