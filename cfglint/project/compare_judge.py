"""One dump with what stands beside it, read and judged for a comparison."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import NamedTuple

from cfglint.flights.flown import with_flights
from cfglint.flights.proofs import Status
from cfglint.judge.judge import Judge
from cfglint.judge.setup_judgement import judge_setup
from cfglint.project.compare_verdicts import Judged
from cfglint.project.configuration import Configuration, find_configuration, load_configuration
from cfglint.project.craft import Known, fact_files, gathered_facts
from cfglint.project.discovery import relative_path
from cfglint.project.judging import Bench, kinds_named
from cfglint.project.task import Asked, Task, airframe_of, is_full, leads_outside, map_of, packs_of
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import NameMap
from cfglint.setup.setting import CRAFT, RECORD, SITE, Setting, Setup
from cfglint.setup.toml_document import read_file
from cfglint.text.dump import read
from cfglint.text.problem import Problem, Refused, refuse
from cfglint.text.source import binary_reason

LARGEST_DUMP = 256_000_000


class Case(NamedTuple):
    """One dump to judge, and how its files are called: those below `root` relative to it, behind `prefix`, the revision."""

    task: Task
    shown: str
    root: str = ""
    prefix: str = ""


class ReadSetup(NamedTuple):
    """A setup, who judges it, and where each test card stands in its flight record."""

    setup: Setup
    judge: Judge
    statuses: Mapping[str, Status] = {}


def file_case(dump: str, asked: Asked = Asked()) -> Case:
    """One dump named by the caller, with the configuration of the repository it is in. Raises Refused for a wrong one."""
    path = find_configuration(os.path.dirname(dump))
    return Case(task_of(dump, load_configuration(path) if path else None, asked), dump)


def task_of(dump: str, configuration: Configuration | None, asked: Asked) -> Task:
    """What a dump is judged with: what the caller names, else what the configuration says. No rule is switched off."""
    relative = relative_path(dump, configuration.root) if configuration is not None else dump
    if configuration is None or relative.startswith("../"):
        facts = (asked.craft,) if asked.craft else fact_files(dump, None)
        return Task(dump, relative, asked.map, facts, asked.rules, asked.airframe, asked.full)
    return Task(
        dump,
        relative,
        map_of(relative, configuration, asked),
        (asked.craft,) if asked.craft else fact_files(dump, configuration.root),
        packs_of(relative, configuration, asked),
        airframe_of(relative, configuration, asked),
        is_full(relative, configuration, asked),
        outside=leads_outside(dump, configuration),
    )


def read_case(case: Case, bench: Bench) -> ReadSetup:
    """A dump with what stands beside it. Raises Refused, with every file called as it is shown."""
    try:
        return _read(case, bench)
    except Refused as refused:
        raise Refused(*(_renamed(problem, case) for problem in refused.problems)) from None
    except RecursionError:
        raise refuse(case.shown, "nested too deeply to be judged") from None


def judged(read: ReadSetup) -> Judged:
    """A setup with its verdicts."""
    titles = {id: rule.title for id, rule in read.judge.pack.rules.items()}
    return Judged(read.setup, judge_setup(read.judge, read.setup), titles, read.statuses)


def shown_file(path: str, case: Case) -> str:
    """The name by which a file of a side is shown."""
    if path == case.task.dump:
        return case.shown
    root = case.root.rstrip(os.sep) + os.sep if case.root else ""
    if root and path.startswith(root):
        return case.prefix + path[len(root) :].replace(os.sep, "/")
    return path


def _read(case: Case, bench: Bench) -> ReadSetup:
    task = case.task
    if task.outside:
        raise refuse(task.dump, "this link leads out of the repository", "put the dump itself there, or exclude it")
    judge, name_map = bench.judge(task), bench.name_map(task)
    data = read_file(task.dump, LARGEST_DUMP)
    if not data.strip():
        raise refuse(task.dump, "the file is empty; nothing was compared", "write the dump again")
    dump = read(data, case.shown, given=name_map.layout)
    reason = binary_reason(dump.source)
    if reason:
        raise refuse(task.dump, f"this is no text: {reason}", "name a plain-text settings dump")
    facts = gathered_facts(task.facts, Known(judge.pack.catalogue, judge.pack.key))
    setup = interpret(dump, name_map, judge.pack.catalogue, Beside(facts, kinds=kinds_named(task.airframe), full=task.full))
    if not setup.coverage.modelled:
        raise refuse(task.dump, _not_understood(name_map), "name the controller's map with --map FILE")
    setup, flown = with_flights(setup, task.dump, judge.pack)
    return ReadSetup(_shown(setup, case), judge, flown.statuses)


def _shown(setup: Setup, case: Case) -> Setup:
    """A setup whose facts and flight record are called as they are shown."""
    settings = {id: _placed(s, case) if s.origin in (CRAFT, SITE, RECORD) else s for id, s in setup.settings.items()}
    return setup._replace(
        settings=settings,
        facts=setup.facts._replace(file=shown_file(setup.facts.file, case)),
        problems=tuple(_renamed(problem, case) for problem in setup.problems),
    )


def _placed(setting: Setting, case: Case) -> Setting:
    places = tuple(place._replace(file=shown_file(place.file, case)) for place in setting.places)
    return setting._replace(places=places)


def _renamed(problem: Problem, case: Case) -> Problem:
    return problem._replace(file=shown_file(problem.file, case))


def _not_understood(name_map: NameMap) -> str:
    if name_map.is_identity:
        return "no key of this dump is a catalogue id, so nothing was compared"
    return "no key of this dump is in the map, which seems to be another controller's"
