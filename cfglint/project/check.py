"""A whole check: which dumps, with what, judged, and then what has been waived, is known, or is wrong with the configuration."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from cfglint import __version__
from cfglint.project.configuration import (
    NO_CONFIGURATION,
    Adjustment,
    Configuration,
    Waiver,
    find_configuration,
    load_configuration,
)
from cfglint.project.craft import fact_files
from cfglint.project.judging import Bench, Judged
from cfglint.project.task import (
    Asked,
    Task,
    airframe_of,
    is_full,
    leads_outside,
    map_of,
    packs_of,
)
from cfglint.report.finding import FileReport, RunReport
from cfglint.text.problem import Problem, Refused


class Request(NamedTuple):
    """What a run is asked for. `names`: dumps and folders, none for the folder of the run.

    `fail_on` and `strict`: None where the configuration decides. `configuration`: its file, "" to find it, None for none.
    `today`: YYYY-MM-DD. `unfolded`: no finding is folded under another. `passed`: reports list the rules that found
    nothing.
    """

    names: tuple[str, ...]
    asked: Asked = Asked()
    fail_on: str | None = None
    strict: bool | None = None
    configuration: str | None = ""
    today: str = ""
    waivers: bool = True
    baseline: bool = True
    jobs: int = 0
    unfolded: bool = False
    passed: bool = False


class Entry(NamedTuple):
    """A task and what is done with its report afterwards."""

    task: Task
    waivers: tuple[Waiver, ...] = ()
    levels: Mapping[str, Adjustment] = {}


class Plan(NamedTuple):
    """A run before anything is judged. `whole`: it covers all that the configuration speaks of."""

    configuration: Configuration
    entries: tuple[Entry, ...]
    whole: bool
    problems: tuple[Problem, ...] = ()


Progress = Callable[[int, int], None]
"""Told how many dumps are done, and of how many."""


class Done(NamedTuple):
    """A run that is over, and what it was made with."""

    run: RunReport
    plan: Plan
    bench: Bench


def checked(request: Request, progress: Progress = lambda done, all: None) -> Done:
    """Run a check. Raises Refused where nothing can be judged at all; a bad dump is a report of its own."""
    bench = Bench()
    plan = planned(request, bench)
    judged = _judged([entry.task for entry in plan.entries], bench, request.jobs, progress)
    return Done(concluded(request, plan, judged, bench), plan, bench)


def planned(request: Request, bench: Bench) -> Plan:
    """The plan of a run. Raises Refused: a configuration, pack or map named by the caller that is wrong, or no dump."""
    configuration = _configuration(request)
    names, problems, whole = _names(request, configuration)
    tasks = [_task(name, configuration, request) for name in names]
    _check_named_by_caller(tasks, request, bench)
    if not configuration.file and not any(_may_be_waived(task) for task in tasks):
        return Plan(configuration, tuple(Entry(task) for task in _alone(tasks, request)), whole, problems)
    from cfglint.project.plan_entries import entries_of

    entries = entries_of(tasks, configuration, request, bench)
    return Plan(configuration, tuple(entries), whole, problems)


def concluded(request: Request, plan: Plan, judged: Sequence[Judged], bench: Bench) -> RunReport:
    """The run's report: levels, waivers and known findings applied to what was judged."""
    configuration = plan.configuration
    fail_on = request.fail_on or configuration.fail_on
    strict = configuration.strict if request.strict is None else request.strict
    files: list[FileReport] = [one.report for one in judged]
    today = ""
    if configuration.file or plan.problems or any(entry.waivers for entry in plan.entries):
        from cfglint.project.conclude import conclude

        files, today = conclude(request, plan, judged, bench)
    return RunReport(tuple(files), fail_on, strict, __version__, today)


def _judged(tasks: list[Task], bench: Bench, jobs: int, progress: Progress) -> list[Judged]:
    """One dump is judged at once: to look it up would cost as much."""
    if len(tasks) == 1:
        return [bench.judged(tasks[0])]
    from cfglint.project.fleet import judged_all

    return judged_all(tasks, bench, jobs, progress)


def _configuration(request: Request) -> Configuration:
    if request.configuration is None:
        return NO_CONFIGURATION
    path = request.configuration or find_configuration(_start(request))
    return load_configuration(path) if path else NO_CONFIGURATION


def _start(request: Request) -> str:
    """The folder from which the configuration is looked for: of the first thing that is named."""
    name = request.names[0] if request.names else ""
    if name == "-" or not name or os.path.isdir(name):
        return "" if name == "-" else name
    return os.path.dirname(name)


def _names(request: Request, configuration: Configuration) -> tuple[list[str], tuple[Problem, ...], bool]:
    """The dumps of the run, each once, in the order named; what was left out; whether all of the repository is covered."""
    if request.names and not any(os.path.isdir(name) for name in request.names):
        from cfglint.project.discovery import expanded

        return list(dict.fromkeys(path for name in request.names for path in expanded(name))), (), False
    from cfglint.project.discovery import discover, expanded

    names: list[str] = []
    problems: list[Problem] = []
    root = os.path.abspath(configuration.root or os.curdir)
    for name in request.names or ("",):
        if name == "" or os.path.isdir(name):
            found = discover(name, configuration)
            names += found.dumps
            problems += found.problems
        else:
            names += expanded(name)
    whole = bool(configuration.file) and any(os.path.abspath(name or os.curdir) == root for name in request.names or ("",))
    return list(dict.fromkeys(names)), tuple(problems), whole


def _task(dump: str, configuration: Configuration, request: Request) -> Task:
    relative = "-"
    root: str | None = None
    if configuration.file and dump != "-":
        from cfglint.project.discovery import relative_path

        relative = relative_path(dump, configuration.root)
        root = configuration.root
    if not configuration.file or relative == "-" or relative.startswith("../"):
        configuration, root = NO_CONFIGURATION, None
    asked = request.asked
    return Task(
        dump,
        relative,
        map_of(relative, configuration, asked),
        (asked.craft,) if asked.craft else fact_files(dump, root),
        packs_of(relative, configuration, asked),
        airframe_of(relative, configuration, asked),
        is_full(relative, configuration, asked),
        outside=leads_outside(dump, configuration),
        passed=request.passed,
    )


def _check_named_by_caller(tasks: list[Task], request: Request, bench: Bench) -> None:
    """What the caller names for all dumps must be right before any is judged."""
    from cfglint.project.judging import kinds_named

    asked = request.asked
    kinds_named(asked.airframe)
    bench.pack(asked.rules)
    if asked.map:
        bench.name_map(Task("", "", map=asked.map, rules=asked.rules))
    if asked.craft:
        from cfglint.project.craft import Known, load_craft

        pack = bench.pack(asked.rules)
        load_craft(asked.craft, Known(pack.catalogue, pack.key))


def _may_be_waived(task: Task) -> bool:
    from cfglint.project.craft import may_hold_waivers

    try:
        return any(may_hold_waivers(path) for path in task.facts)
    except Refused:
        return False


def _alone(tasks: list[Task], request: Request) -> list[Task]:
    return [task._replace(alone=("*",)) for task in tasks] if request.unfolded else tasks
