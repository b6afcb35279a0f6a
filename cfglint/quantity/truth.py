"""Three-valued truth after Kleene: a statement holds for every possible value, for none, or for some."""

from __future__ import annotations

import enum
from collections.abc import Iterable


class Truth(enum.IntEnum):
    """FALSE: for no possible value; TRUE: for every one; UNKNOWN: for some, as far as is known."""

    FALSE = 0
    UNKNOWN = 1
    TRUE = 2


FALSE, UNKNOWN, TRUE = Truth.FALSE, Truth.UNKNOWN, Truth.TRUE

_NEGATION = (TRUE, UNKNOWN, FALSE)


def negation(value: Truth) -> Truth:
    """Not: TRUE and FALSE change places, UNKNOWN stays."""
    return _NEGATION[value]


def conjunction(values: Iterable[Truth]) -> Truth:
    """And: the least of the values; TRUE of none at all."""
    return min(values, default=TRUE)


def disjunction(values: Iterable[Truth]) -> Truth:
    """Or: the greatest of the values; FALSE of none at all."""
    return max(values, default=FALSE)


def implication(condition: Truth, consequence: Truth) -> Truth:
    """If condition then consequence."""
    return max(_NEGATION[condition], consequence)


def truth_of(value: bool) -> Truth:
    """A plain yes or no as a Truth."""
    return TRUE if value else FALSE
