"""What is found out: one verdict for each rule, phase and family member, with all that it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from cfglint.setup.setting import Place

RISKY, CLEAR, UNDECIDED, NOT_APPLICABLE = "risky", "clear", "undecided", "not-applicable"
ERROR, WARNING, NOTE = "error", "warning", "note"
SEVERITY = {NOTE: 1, WARNING: 2, ERROR: 3}


class TraceRow(NamedTuple):
    """One number or word that a verdict rests on: its name, its value as shown, where it came from, and its lines.

    `origin` is that of a setting, or "quantity", "threshold" and "computed" for what the rule worked out itself. `decisive`:
    the requirement itself reads it, not only the condition under which it applies.
    """

    name: str
    shown: str
    origin: str
    places: tuple[Place, ...] = ()
    decisive: bool = True


class Change(NamedTuple):
    """One setting with a new value that clears a finding.

    `line`: the line to write, in the dump's own syntax; `place`: the line it replaces, None for a new one. `margin`: how far
    the value moves; `worse`: rules that would get worse all the same.
    """

    setting: str
    shown: str
    line: str
    raw: str
    place: Place | None
    margin: str = ""
    worse: tuple[str, ...] = ()
    steps: int = 0


class RemedyFound(NamedTuple):
    """A change that was judged again before it is shown, or advice, or why no single value helps."""

    change: Change | None = None
    say: str = ""


class Verdict(NamedTuple):
    """One rule on one setup.

    `level` is that of the finding (risky, or undecided where not knowing is a finding), "" otherwise; `at_least`: a worse part
    is undecided. `rests_on`: assumptions and guesses without which the verdict would be undecided. `needs`: the fewest
    facts that would settle an undecided one; `witnesses`: two possible values of opposite verdict, as shown.
    """

    rule: str
    outcome: str
    level: str = ""
    phase: str = ""
    members: tuple[str, ...] = ()
    part: int = -1
    message: str = ""
    at_least: bool = False
    settings: tuple[str, ...] = ()
    trace: tuple[TraceRow, ...] = ()
    remedy: RemedyFound | None = None
    rests_on: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    witnesses: tuple[str, ...] = ()
    basis: tuple[str, ...] = ()
    follows: str = ""

    @property
    def is_finding(self) -> bool:
        """Whether there is something to report: a risk, or not knowing what nobody should fly without."""
        return bool(self.level)

    @property
    def is_provisional(self) -> bool:
        """Whether it rests on an assumption or a guess."""
        return bool(self.rests_on)

    @property
    def place(self) -> Place | None:
        """The first line that the verdict rests on."""
        return next((place for row in self.trace for place in row.places), None)


class Judgement(NamedTuple):
    """All verdicts of one setup, in the order of the rules, and the facts that contradict each other."""

    verdicts: tuple[Verdict, ...]
    contradictions: tuple[str, ...] = ()

    def counts(self) -> Mapping[str, int]:
        """How many verdicts there are of each outcome."""
        found = {RISKY: 0, CLEAR: 0, UNDECIDED: 0, NOT_APPLICABLE: 0}
        for verdict in self.verdicts:
            found[verdict.outcome] += 1
        return found
