"""The Setup: every setting and fact with its value, where it came from, and what is wrong with how it was written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from cfglint.quantity.value import Value
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.name_map import KeyRule, NameMap
from cfglint.text.dump import Dump
from cfglint.text.problem import Problem
from cfglint.text.source import Span

DUMP, DEFAULT, CRAFT, SITE, RECORD = "dump", "default", "craft", "site", "flight record"
ASSUMED, GUESS, UNSET_ORIGIN, UNSEEN = "assumed", "guess", "unset", "unseen"


class Place(NamedTuple):
    """Where a value is written: the file, the line and column (from 1), the line itself, the value's span in a dump."""

    file: str
    line: int
    column: int
    shown: str
    span: Span | None = None


class Setting(NamedTuple):
    """One setting or fact of a craft.

    `origin` says where the value came from; `places` are all lines it rests on; `raw` is the text as written; `step` the
    smallest step of the way it is written, in base units (0 if unknown); `rule` is the map's entry, None without one.
    """

    id: str
    value: Value
    origin: str
    places: tuple[Place, ...] = ()
    raw: str = ""
    step: float = 0.0
    rule: KeyRule | None = None


class Coverage(NamedTuple):
    """How many lines of a dump are in which state; `unrecognised_lines` are the first of them, by number."""

    modelled: int = 0
    known_unmodelled: int = 0
    irrelevant: int = 0
    unrecognised: int = 0
    faults: int = 0
    other: int = 0
    unrecognised_lines: tuple[int, ...] = ()

    @property
    def lines(self) -> int:
        """All lines of the dump."""
        return self.modelled + self.known_unmodelled + self.irrelevant + self.unrecognised + self.faults + self.other


class Facts(NamedTuple):
    """What is known beside the dump: craft and site facts by id, and the craft's name."""

    settings: Mapping[str, Setting]
    craft_name: str = ""
    site_name: str = ""
    file: str = ""
    problems: tuple[Problem, ...] = ()


NO_FACTS = Facts({})


class Record(NamedTuple):
    """What flights have proven and measured."""

    proven: frozenset[str] = frozenset()
    measured: Mapping[str, Value] = {}
    file: str = ""


class Setup(NamedTuple):
    """Everything that is understood of one craft. `kinds` are the airframe kinds that it may be."""

    dump: Dump
    name_map: NameMap
    catalogue: Catalogue
    settings: Mapping[str, Setting]
    defaults: Mapping[str, Value]
    kinds: frozenset[str]
    facts: Facts
    record: Record
    coverage: Coverage
    problems: tuple[Problem, ...]
