"""Reports with what people have decided: levels, waivers, known findings; and a report on the configuration itself."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

from cfglint.project.adjust import relevelled
from cfglint.project.baseline import KnownFinding, compared
from cfglint.project.configuration import Written
from cfglint.project.discovery import Discovered, discover, relative_path
from cfglint.project.judging import Bench, Judged
from cfglint.project.path_pattern import matches_any
from cfglint.project.plan_entries import known_by_dump, names_of
from cfglint.project.task import Task
from cfglint.project.waivers import Day, unknown_craft, waived
from cfglint.report.assemble import order, problem_finding
from cfglint.report.finding import FileReport, Finding
from cfglint.setup.setting import Coverage
from cfglint.setup.toml_document import decode_toml, line_of, read_file
from cfglint.text.problem import Problem, Refused

if TYPE_CHECKING:
    from cfglint.project.check import Plan, Request

TOLD_GONE = 3


def conclude(request: Request, plan: Plan, judged: Sequence[Judged], bench: Bench) -> tuple[list[FileReport], str]:
    """The reports of a run, that of the configuration last if it needs one; and the day that waivers were judged by."""
    day = Day(request.today or _today(), request.waivers)
    known = known_by_dump(plan.configuration, request.baseline)
    gone: list[KnownFinding] = []
    files = []
    for entry, one in zip(plan.entries, judged, strict=True):
        report = relevelled(one.report, entry.levels)
        if entry.waivers and not report.refused:
            report = waived(report, entry.waivers, one.moved, day, bench.pack(entry.task.rules))
        if plan.configuration.baseline and request.baseline:
            marked = compared(report, known.get(entry.task.relative, []), partial(_is_waivable, bench, entry.task))
            report, gone = marked.report, gone + list(marked.gone)
        files.append(report)
    files = _without_needless_doubt(files)
    judged_dumps = {entry.task.relative for entry in plan.entries}
    gone += [k for dump in sorted(known) if plan.whole and dump not in judged_dumps for k in known[dump]]
    about = _about(plan, files, gone, day)
    has_waivers = bool(plan.configuration.waivers) or any(entry.waivers for entry in plan.entries)
    return files + ([about] if about else []), day.today if has_waivers and day.counting else ""


def _is_waivable(bench: Bench, task: Task, rule: str) -> bool:
    rules = bench.pack(task.rules).rules
    return rule not in rules or rules[rule].waivable


def _today() -> str:
    import time

    return time.strftime("%Y-%m-%d")


def _without_needless_doubt(files: list[FileReport]) -> list[FileReport]:
    """A waiver that covers something of one dump of a craft is not unused because another of its dumps is clear."""
    used = {(f.waived_by.file, f.waived_by.line) for file in files for f in file.findings if f.waived_by is not None}

    def kept(finding: Finding) -> bool:
        return finding.rule != "waiver/unused" or (finding.file, finding.line) not in used

    return [file._replace(findings=tuple(f for f in file.findings if kept(f))) for file in files]


def _about(plan: Plan, files: Sequence[FileReport], gone: Sequence[KnownFinding], day: Day) -> FileReport | None:
    """The report on the configuration; None where nothing is to be said of it. What stops some work in it refuses it."""
    blocking = [problem_finding(p)._replace(rule="configuration/two-craft-of-one-name") for p in _same_names(plan, files)]
    blocking += list(_missing_files(plan))
    findings = [problem_finding(p)._replace(rule=f"configuration/{p.code}") for p in plan.problems]
    findings += list(_matching_nothing(plan)) if plan.whole else []
    findings += list(_unknown_crafts(plan, files)) if plan.whole and day.counting else []
    findings += [_gone(plan, gone)] if gone else []
    if not blocking and not findings:
        return None
    name = plan.configuration.file or os.curdir
    found = tuple(sorted([*blocking, *findings], key=order))
    return FileReport(name, "", "", "", (), found, (), {}, Coverage(), 0, bool(blocking), "configuration")


def _same_names(plan: Plan, files: Sequence[FileReport]) -> Iterator[Problem]:
    """Craft in different folders that bear one name: a waiver could not tell them apart."""
    if not plan.configuration.file:
        return
    first: dict[str, str] = {}
    for entry, file in zip(plan.entries, files, strict=True):
        folder = os.path.dirname(entry.task.dump)
        if file.craft and first.setdefault(file.craft, folder) != folder:
            other = first[file.craft] or os.curdir
            message = f"two craft are called {file.craft}: this one, and the one in {other}"
            yield _named_at(entry.task.facts, message)


def _named_at(facts: Sequence[str], message: str) -> Problem:
    from cfglint.text.toml_place import place

    path = facts[0] if facts else ""
    remedy = "give one of them another name"
    try:
        text = decode_toml(read_file(path), path)
    except Refused:
        return Problem("error", "same-name", message, path, remedy=remedy)
    line, column = place(text, ("craft", "name"))
    return Problem("error", "same-name", message, path, line, column, line_of(text, line), remedy)


def _missing_files(plan: Plan) -> Iterator[Finding]:
    """Maps that the configuration names and nobody finds, at the line that names them."""
    configuration = plan.configuration
    for group in configuration.groups:
        if group.map and not os.path.exists(configuration.path(group.map)):
            at = group.at
            message = f"there is no map at {group.map}"
            yield _at(at, "error", "missing-map", message, "name the map's file, from here")


def _matching_nothing(plan: Plan) -> Iterator[Finding]:
    """Tables whose patterns mean no dump: they say something that nobody hears."""
    dumps = _all_dumps(plan)
    tables = [("setups", group.where, group.at) for group in plan.configuration.groups]
    tables += [("rule", adjustment.where, adjustment.at) for adjustment in plan.configuration.adjustments if adjustment.where]
    for name, where, at in tables:
        for pattern in where:
            if not any(matches_any([pattern], dump) for dump in dumps):
                message = f"[[{name}]]: no dump matches '{pattern}'"
                yield _at(at, "warning", "no-match", message, "correct the pattern, or delete it")


def _all_dumps(plan: Plan) -> list[str]:
    """The dumps of the repository, those that are excluded too."""
    configuration = plan.configuration._replace(exclude=())
    found = discover(configuration.root, configuration) if plan.configuration.exclude else Discovered(())
    return [entry.task.relative for entry in plan.entries] + [relative_path(d, configuration.root) for d in found.dumps]


def _at(at: Written, level: str, code: str, message: str, remedy: str) -> Finding:
    problem = Problem(level, code, message, at.file, at.line, at.column, at.shown, remedy)
    return problem_finding(problem)._replace(rule=f"configuration/{code}")


def _unknown_crafts(plan: Plan, files: Sequence[FileReport]) -> Iterator[Finding]:
    called = [n for entry, file in zip(plan.entries, files, strict=True) for n in names_of(entry.task, file.craft)]
    for waiver in plan.configuration.waivers:
        if waiver.craft not in called and not _is_refused_craft(waiver.craft, plan):
            yield unknown_craft(waiver, called)


def _is_refused_craft(craft: str, plan: Plan) -> bool:
    """Whether a waiver found its craft in the plan, although the craft's report has no name."""
    return any(waiver.craft == craft for entry in plan.entries for waiver in entry.waivers)


def _gone(plan: Plan, gone: Iterable[KnownFinding]) -> Finding:
    listed = list(gone)
    named = "; ".join(f"{k.rule} on {k.dump}" for k in listed[:TOLD_GONE]) + (" and more" if len(listed) > TOLD_GONE else "")
    count = f"{len(listed)} known finding is" if len(listed) == 1 else f"{len(listed)} known findings are"
    path = plan.configuration.path(plan.configuration.baseline)
    message = f"{count} gone, or listed with other values: {named}"
    problem = Problem("note", "gone", message, path, remedy="drop them from the list with: cfglint baseline prune")
    return problem_finding(problem)._replace(rule="baseline/gone")
