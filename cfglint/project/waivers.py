"""Waivers applied to reports: what they cover, and what is wrong with themselves. The day is given, never looked up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from cfglint.pack.rule import Pack
from cfglint.project.configuration import Waiver
from cfglint.report.assemble import order
from cfglint.report.finding import FileReport, Finding, WaivedBy
from cfglint.setup.convert import convert
from cfglint.text.nearest import nearest

PROBLEM_RULES = (
    "dump/written-twice",
    "dump/impossible-value",
    "dump/line-not-understood",
    "dump/contradict",
    "dump/too-many-ranges",
    "facts/contradict",
)
"""What can be found out about an input itself, and be waived."""


class Day(NamedTuple):
    """The day of a run, YYYY-MM-DD, and whether waivers count at all in it."""

    today: str
    counting: bool = True


def waived(
    report: FileReport, waivers: Sequence[Waiver], moved: Iterable[tuple[str, str, str]], day: Day, pack: Pack
) -> FileReport:
    """A report with what its craft's waivers cover, and with a finding for each that does not hold.

    `moved`: pinned values that are others now, as (setting, text when granted, text now).
    """
    if report.refused or not waivers or not day.counting:
        return report
    findings, about = list(report.findings), []
    changed = tuple(moved)
    for waiver in waivers:
        fault = _fault(waiver, day, changed, pack)
        if fault is not None:
            about.append(fault)
            continue
        covered = [i for i, finding in enumerate(findings) if finding.rule == waiver.rule and finding.waived_by is None]
        if not covered:
            about.append(_unused(waiver, report))
        for index in covered:
            findings[index] = findings[index]._replace(waived_by=_by(waiver))
    return report._replace(findings=tuple(sorted([*findings, *about], key=order)))


def misspelt_rule(waiver: Waiver, pack: Pack) -> Finding | None:
    """A finding where no rule is called what the waiver names."""
    if waiver.rule in pack.rules or waiver.rule in PROBLEM_RULES:
        return None
    near = nearest(waiver.rule, [*pack.rules, *PROBLEM_RULES])
    advice = f"did you mean '{near}'?" if near else "the rules are listed by: cfglint rules"
    return _finding(waiver, "misspelt", f"no rule is called '{waiver.rule}', so this waiver covers nothing", advice)


def misspelt_value(waiver: Waiver, pack: Pack) -> Finding | None:
    """A finding where a value it was granted for is no setting, or can't be that setting's value."""
    for id, text in waiver.values.items():
        definition = pack.catalogue.get(id)
        if definition is None:
            near = nearest(id, pack.catalogue)
            advice = f"did you mean '{near}'?" if near else "the ids are listed by: cfglint settings"
            return _finding(waiver, "misspelt", f"no setting is called '{id}', so this waiver covers nothing", advice)
        wrong = convert(text, definition).wrong
        if wrong and text not in (definition.off_means, "off", "unset"):
            return _finding(waiver, "misspelt", f"{id}: {wrong}, so this waiver covers nothing", "write the value with its unit")
    return None


def unknown_craft(waiver: Waiver, crafts: Iterable[str]) -> Finding:
    """The finding that nothing that was checked is what the waiver names."""
    near = nearest(waiver.craft, crafts)
    advice = f"did you mean '{near}'?" if near else "name a craft as its craft.toml does, its folder, or its dump"
    return _finding(waiver, "misspelt", f"no craft here is called '{waiver.craft}', so this waiver covers nothing", advice)


def _fault(waiver: Waiver, day: Day, moved: tuple[tuple[str, str, str], ...], pack: Pack) -> Finding | None:
    """What keeps a waiver from holding; None where nothing does."""
    misspelt = misspelt_rule(waiver, pack) or misspelt_value(waiver, pack)
    if misspelt is not None:
        return misspelt
    rule = pack.rules.get(waiver.rule)
    if rule is not None and not rule.waivable:
        message = f"{waiver.rule} can't be waived, by anybody; what it finds still counts"
        return _finding(waiver, "refused", message, "put right what it finds, and delete the waiver")
    if day.today > waiver.until:
        message = f"the waiver of {waiver.rule} ended on {waiver.until}; what it covered counts again"
        return _finding(waiver, "expired", message, f"put it right, or ask {waiver.owner} whether it may be renewed")
    changed = [(id, then, now) for id, then, now in moved if waiver.values.get(id) == then]
    if changed:
        id, then, now = changed[0]
        message = f"the waiver of {waiver.rule} has lapsed: it was granted for {id} = {then}, which is {now} now"
        return _finding(waiver, "lapsed", message, "look at the craft again; grant it anew for what is set now, or delete it")
    return None


def _unused(waiver: Waiver, report: FileReport) -> Finding:
    open_rules = {undecided.rule for undecided in report.undecided}
    if waiver.rule in open_rules:
        why = "which can't be decided here"
    elif any(off.rule == waiver.rule for off in report.switched_off):
        why = "which is switched off here"
    elif any(finding.rule == waiver.rule for finding in report.findings):
        why = "which an earlier waiver covers already"
    else:
        why = "which finds nothing here"
    return _finding(waiver, "unused", f"this waiver of {waiver.rule} is not needed: it covers a rule {why}", "delete the waiver")


def _by(waiver: Waiver) -> WaivedBy:
    return WaivedBy(waiver.reason, waiver.owner, waiver.until, waiver.at.file, waiver.at.line, waiver.at.column)


def _finding(waiver: Waiver, code: str, message: str, advice: str) -> Finding:
    at = waiver.at
    level = "error" if code == "refused" else "warning"
    return Finding(f"waiver/{code}", level, "problem", message, at.file, at.line, at.column, at.shown, advice=advice)
