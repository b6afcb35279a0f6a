"""What a formula may speak of: names with their kinds, functions with their signatures."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from cfglint.quantity.range import Range
from cfglint.quantity.unit import PLAIN, Dimension


class Typed(NamedTuple):
    """A checked formula, or a part of one.

    `tree` is the stored form. `needs` are the settings whose number is read while they may be unset, with the column;
    `if_true` and `if_false` are those that are certainly set when the condition is true, or false.
    """

    kind: str
    tree: object
    dimension: Dimension = PLAIN
    needs: Mapping[str, int] = {}
    if_true: frozenset[str] = frozenset()
    if_false: frozenset[str] = frozenset()


class Name(NamedTuple):
    """One name of the vocabulary.

    `role`: "setting" (may be unset), "fact" (never unset), "word" (a family's member as a word), or "let", "quantity",
    "condition" and "threshold" (`typed` says what stands behind it). `kind`: "number", "choice", "text" or "truth".
    """

    role: str
    kind: str
    dimension: Dimension = PLAIN
    words: frozenset[str] = frozenset()
    can_be_off: bool = False
    typed: Typed | None = None
    id: str = ""


class Function(NamedTuple):
    """A function: the dimensions it takes and gives, and how it is evaluated on ranges."""

    name: str
    parameters: tuple[str, ...]
    takes: tuple[Dimension, ...]
    gives: Dimension
    evaluate: Callable[..., Range]


class Vocabulary(NamedTuple):
    """Everything a formula may speak of. `find` answers None for a name nobody knows; `names` lists the valid ones."""

    find: Callable[[str], Name | None]
    names: Callable[[], list[str]]
    functions: Mapping[str, Function]
