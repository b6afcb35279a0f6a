"""Every fault put into every craft it fits, and what became of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from cfglint.judge.judge import Judge
from cfglint.judge.verdict import SEVERITY, Verdict
from tests.setups.craft import Craft, findings
from tests.setups.fault import UNSET, Fault

CAUGHT, NOT_APPLICABLE, MISSED, EXTRA = "caught", "not applicable", "MISSED", "unrelated extra"

Key = tuple[str, str, tuple[str, ...]]


class Cell(NamedTuple):
    """One fault in one craft. `new` are the findings that the clean craft does not have, or has at a lower level."""

    fault: Fault
    craft: Craft
    outcome: str
    changes: Mapping[str, str] = {}
    new: tuple[Verdict, ...] = ()
    unrelated: tuple[Verdict, ...] = ()

    def told(self) -> str:
        """The cell in words, for whoever has to find out what went wrong."""
        changes = ", ".join(f"{id} = {text}" for id, text in self.changes.items())
        shown = "; ".join(f"{v.rule} {v.level}: {v.message}" for v in (self.unrelated or self.new)) or "nothing found"
        return f"{self.outcome}: {self.fault.name} in {self.craft.id} ({changes}): {shown}"


class Baseline(NamedTuple):
    """The levels of the findings that a clean craft has."""

    craft: Craft
    levels: Mapping[Key, int]


def baseline(judge: Judge, craft: Craft) -> Baseline:
    """What the clean craft gets, to tell what a fault adds."""
    return Baseline(craft, _levels(findings(judge, craft)))


def cell(judge: Judge, clean: Baseline, fault: Fault) -> Cell:
    """Put one fault into one craft and judge it."""
    craft = clean.craft
    changes = fault.change(craft.texts) if craft.family in fault.families else None
    if changes is None or not (fault.defaults or _differs(craft, changes)):
        return Cell(fault, craft, NOT_APPLICABLE)
    found = findings(judge, craft.changed(changes, fault.defaults))
    new = tuple(v for v in found if SEVERITY[v.level] > clean.levels.get(_key(v), 0))
    unrelated = tuple(v for v in new if not changes.keys() & set(v.settings))
    if not any(_catches(v, fault, changes) for v in new):
        return Cell(fault, craft, MISSED, changes, new, unrelated)
    return Cell(fault, craft, EXTRA if unrelated else CAUGHT, changes, new, unrelated)


def cells(judge: Judge, crafts: Iterable[Craft], faults: Iterable[Fault]) -> Iterator[Cell]:
    """The whole matrix, fault by fault."""
    clean = [baseline(judge, craft) for craft in crafts]
    return (cell(judge, one, fault) for fault in faults for one in clean)


def _differs(craft: Craft, changes: Mapping[str, str]) -> bool:
    return any(craft.texts.get(id, UNSET) != text for id, text in changes.items())


def _catches(verdict: Verdict, fault: Fault, changes: Mapping[str, str]) -> bool:
    loud = SEVERITY[verdict.level] >= SEVERITY[fault.level]
    return verdict.rule in fault.rules and loud and bool(changes.keys() & set(verdict.settings))


def _levels(found: Iterable[Verdict]) -> Mapping[Key, int]:
    levels: dict[Key, int] = {}
    for verdict in found:
        levels[_key(verdict)] = max(SEVERITY[verdict.level], levels.get(_key(verdict), 0))
    return levels


def _key(verdict: Verdict) -> Key:
    return verdict.rule, verdict.phase, verdict.members
