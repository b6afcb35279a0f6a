"""What every report shows: findings of files, worst first, and what was not judged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from cfglint.judge.verdict import RemedyFound, TraceRow
from cfglint.setup.setting import Coverage

LEVELS = ("error", "warning", "note")


NEW, KNOWN, WORSE = "new", "known", "worse"
"""How a finding stands to the list of known findings."""


class WaivedBy(NamedTuple):
    """Who accepts a finding, why, until which day (included, YYYY-MM-DD), and where that is written."""

    reason: str
    owner: str
    until: str
    file: str
    line: int = 0
    column: int = 0


class Finding(NamedTuple):
    """One thing to report about a file. `rule` is a rule's id, or `dump/…`, `facts/…` for what is wrong with the input itself.

    `verdict`: risky, undecided, or problem. `followers`: rules folded under this one, of the same cause. `provisional`: it
    rests on assumptions or guesses, and does not fail a run unless asked to. Lines and columns count from 1; 0: no place.
    `baseline`: NEW, KNOWN or WORSE where there is a list of known findings, "" without one; `baseline_was`: what that list says
    of one that is worse. `relevelled`: why its level is not the rule's own.
    """

    rule: str
    level: str
    verdict: str
    message: str
    file: str
    line: int = 0
    column: int = 0
    shown: str = ""
    phase: str = ""
    members: tuple[str, ...] = ()
    at_least: bool = False
    settings: tuple[str, ...] = ()
    trace: tuple[TraceRow, ...] = ()
    remedy: RemedyFound | None = None
    rests_on: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    witnesses: tuple[str, ...] = ()
    basis: tuple[str, ...] = ()
    followers: tuple[str, ...] = ()
    advice: str = ""
    waived_by: WaivedBy | None = None
    baseline: str = ""
    baseline_was: str = ""
    relevelled: str = ""

    @property
    def accepted(self) -> bool:
        """Whether somebody has taken it on: by a waiver that holds, or in the list of known findings."""
        return self.waived_by is not None or self.baseline == KNOWN

    @property
    def provisional(self) -> bool:
        """Whether it rests on an assumption or a guess."""
        return bool(self.rests_on)


class Undecided(NamedTuple):
    """A rule that could not be decided, and what would settle it."""

    rule: str
    title: str
    needs: tuple[str, ...]
    phase: str = ""
    witnesses: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()


class SwitchedOff(NamedTuple):
    """A rule that the configuration switches off for a craft, and why."""

    rule: str
    reason: str


class FileReport(NamedTuple):
    """All that is reported of one file. `refused`: the work could not be done; the findings then say why.

    `about`: "setup", or "configuration" for what is wrong with the files that say what is checked and what is waived.
    `passed`: the rules that found nothing (`passed.Passed`), where a format asks for them.
    """

    file: str
    craft: str
    airframe: str
    map: str
    layout: tuple[str, ...]
    findings: tuple[Finding, ...]
    undecided: tuple[Undecided, ...]
    counts: Mapping[str, int]
    coverage: Coverage
    provisional_clear: int = 0
    refused: bool = False
    about: str = "setup"
    switched_off: tuple[SwitchedOff, ...] = ()
    passed: tuple[Any, ...] = ()

    def count(self, level: str) -> int:
        """How many findings there are of a level that nobody has accepted."""
        return sum(finding.level == level and not finding.accepted for finding in self.findings)

    @property
    def waived(self) -> tuple[Finding, ...]:
        """The findings that a waiver covers."""
        return tuple(finding for finding in self.findings if finding.waived_by is not None)

    @property
    def known(self) -> tuple[Finding, ...]:
        """The findings that are in the list of known ones, and no worse than there."""
        return tuple(finding for finding in self.findings if finding.waived_by is None and finding.baseline == KNOWN)


class RunReport(NamedTuple):
    """One run over some files. `fail_on`: the level from which a finding fails the run; `strict`: not knowing fails it too.

    `today`: the day by which waivers were judged, "" where there was none to judge.
    """

    files: tuple[FileReport, ...]
    fail_on: str
    strict: bool
    version: str
    today: str = ""

    @property
    def status(self) -> int:
        """0 nothing at or above the failing level, 1 something, 2 nothing could be judged, or some file could not."""
        if not self.files or any(file.refused for file in self.files):
            return 2
        return 1 if any(_fails(file, self) for file in self.files) else 0


def _fails(file: FileReport, run: RunReport) -> bool:
    failing = LEVELS[: LEVELS.index(run.fail_on) + 1]
    if any(f.level in failing and not f.accepted and (run.strict or not f.provisional) for f in file.findings):
        return True
    return run.strict and bool(file.undecided)
