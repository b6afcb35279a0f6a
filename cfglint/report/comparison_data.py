"""What a comparison shows: settings, findings and proofs of two states of some craft, and what became of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfglint.setup.setting import Place
from cfglint.text.problem import Problem

CHANGED, SAME, NEW, GONE, REFUSED = "changed", "same", "new", "gone", "refused"

APPEARS, RISES, MOVES, WEAKER = "appears", "rises", "moves", "weaker"
UNDECIDED_NOW, OUT_OF_SIGHT = "undecided now", "out of sight"
GOES, FALLS, SETTLED, FIRMER, APPLIES, APPLIES_NO_MORE = (
    "goes",
    "falls",
    "settled",
    "firmer",
    "applies",
    "applies no more",
)


class SettingChange(NamedTuple):
    """One setting or fact before and after, as shown.

    `relative`: how far a number moved, measured by what it was; "" where that says nothing. The places are the lines the
    values are written in; None where none is. `matters`: a verdict that got worse reads it. `same_value`: only the origin
    changed, such as a line that went where the default says the same.
    """

    id: str
    old: str
    new: str
    relative: str = ""
    old_origin: str = ""
    new_origin: str = ""
    old_place: Place | None = None
    new_place: Place | None = None
    matters: bool = False
    same_value: bool = False


class VerdictChange(NamedTuple):
    """One verdict before and after.

    `change` is one of the words above; `worse` says whether it fails the comparison. `was` and `now` are states as people
    read them: a level, "clear", "undecided", "does not apply". `message` is that of the finding, the old one where it goes.
    `moved`: for a finding that stays, "further from clear", "nearer to clear", or "" where that can't be said.
    """

    rule: str
    title: str
    change: str
    worse: bool
    was: str
    now: str
    level: str = ""
    phase: str = ""
    members: tuple[str, ...] = ()
    message: str = ""
    old_message: str = ""
    moved: str = ""
    settings: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()
    place: Place | None = None
    remedy: str = ""


class LineChange(NamedTuple):
    """Lines of a key that no rule reads, before and after; "" where there was, or is, none."""

    key: str
    old: str
    new: str


class ProofChange(NamedTuple):
    """A test card before and after, and the edits that made its proof stale."""

    card: str
    was: str
    now: str
    because: tuple[str, ...] = ()
    worse: bool = False


class CraftComparison(NamedTuple):
    """All that changed for one craft.

    `old_file` and `new_file` are "" for a craft that is new or gone. `status`: changed, same, new, gone, or refused, where
    `problems` say what could not be judged. `standing`: how many findings there are now.
    """

    craft: str
    old_file: str
    new_file: str
    status: str
    settings: tuple[SettingChange, ...] = ()
    verdicts: tuple[VerdictChange, ...] = ()
    lines: tuple[LineChange, ...] = ()
    proofs: tuple[ProofChange, ...] = ()
    problems: tuple[Problem, ...] = ()
    standing: int = 0

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all changed in meaning."""
        return self.status in (CHANGED, SAME) and not (self.settings or self.verdicts or self.lines or self.proofs)

    @property
    def worse(self) -> int:
        """How many things got worse."""
        return sum(v.worse for v in self.verdicts) + sum(p.worse for p in self.proofs)

    @property
    def better(self) -> int:
        """How many findings went or fell, and how many rules were settled."""
        return sum(v.change in (GOES, FALLS, SETTLED) and not v.worse for v in self.verdicts)

    @property
    def changed_values(self) -> int:
        """How many settings have another value."""
        return sum(not s.same_value for s in self.settings)


class Comparison(NamedTuple):
    """Two states of one or many craft. `unchanged`: how many craft have the same files, or mean the same."""

    old: str
    new: str
    crafts: tuple[CraftComparison, ...]
    unchanged: int
    version: str

    @property
    def status(self) -> int:
        """0 nothing got worse, 1 something did, 2 some craft could not be compared, or there was none."""
        if any(craft.status == REFUSED for craft in self.crafts) or not (self.crafts or self.unchanged):
            return 2
        return 1 if self.worse else 0

    @property
    def worse(self) -> int:
        """How many things got worse, over all craft."""
        return sum(craft.worse for craft in self.crafts)


def worst_first(comparison: Comparison) -> Iterator[CraftComparison]:
    """The craft in the order they are shown: not comparable, most worse, most better, by name."""
    return iter(sorted(comparison.crafts, key=_order))


def summary(craft: CraftComparison) -> str:
    """What happened to a craft in one line."""
    if craft.status == GONE:
        return "the craft is gone"
    if craft.status == REFUSED:
        return "could not be compared"
    parts = [_counted(craft.worse, "worse"), _counted(craft.better, "better")]
    parts.append(f"{craft.changed_values} setting{'' if craft.changed_values == 1 else 's'} changed")
    return ("a new craft: " if craft.status == NEW else "") + ", ".join(part for part in parts if part)


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count else ""


def _order(craft: CraftComparison) -> tuple[bool, int, int, str, str]:
    return craft.status != REFUSED, -craft.worse, -craft.better, craft.craft, craft.new_file or craft.old_file
