"""One dump from its file to its report, before anybody has waived anything. The same task gives the same report anywhere."""

from __future__ import annotations

import os
import sys
from typing import NamedTuple

from cfglint.formula.errors import CompileError
from cfglint.judge.judge import Judge
from cfglint.judge.setup_judgement import judge_setup
from cfglint.judge.tell import setting_value
from cfglint.judge.verdict import Judgement, Verdict
from cfglint.pack.load import folder_pack, shipped_pack
from cfglint.pack.rule import Pack
from cfglint.project.craft import Known, gathered_facts
from cfglint.project.task import Task
from cfglint.report.assemble import file_report, refused_report
from cfglint.report.finding import FileReport
from cfglint.setup.airframe import airframe_types, kinds_of
from cfglint.setup.convert import convert
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import NameMap, identity_map, load_name_map
from cfglint.setup.setting import Setup
from cfglint.store.remembered import store_folder
from cfglint.text.dump import read
from cfglint.text.problem import Problem, Refused, refuse
from cfglint.text.source import binary_reason

LARGEST_DUMP = 256_000_000
FLIGHTS = "flights.toml"


class Judged(NamedTuple):
    """The report of a task, and the pinned values that are others now: (setting, text when granted, text now)."""

    report: FileReport
    moved: tuple[tuple[str, str, str], ...] = ()


class Bench:
    """Packs, judges and name maps, made once and used for many dumps."""

    def __init__(self) -> None:
        self._packs: dict[tuple[str, ...], Pack] = {}
        self._judges: dict[tuple[tuple[str, ...], frozenset[str]], Judge] = {}
        self._maps: dict[tuple[str, tuple[str, ...]], NameMap] = {}

    def pack(self, folders: tuple[str, ...]) -> Pack:
        """The shipped pack and those of some folders as one. Raises Refused: no pack, a wrong one, or a rule named twice."""
        pack = self._packs.get(folders)
        if pack is None:
            pack = self._packs[folders] = _joined(folders)
        return pack

    def judge(self, task: Task) -> Judge:
        """The judge of a task: its packs without the rules that are switched off."""
        off = frozenset(rule.rule for rule in task.off)
        judge = self._judges.get((task.rules, off))
        if judge is None:
            judge = self._judges[task.rules, off] = Judge(_without(self.pack(task.rules), off))
        return judge

    def name_map(self, task: Task) -> NameMap:
        """The name map of a task. Raises Refused."""
        if not task.map:
            return identity_map()
        known = self._maps.get((task.map, task.rules))
        if known is None:
            pack = self.pack(task.rules)
            known = self._maps[task.map, task.rules] = load_name_map(task.map, pack.catalogue, pack.key)
        return known

    def judged(self, task: Task, data: bytes | None = None) -> Judged:
        """Judge one dump, or other bytes in its place; what stops the work on it is its finding."""
        try:
            return self._judged(task, data)
        except Refused as refused:
            return Judged(refused_report(task.dump, refused.problems))
        except CompileError as error:
            problems = refuse(task.dump, f"the stored rules are damaged: {error}", f"delete {store_folder()}").problems
            return Judged(refused_report(task.dump, problems))
        except RecursionError:
            return Judged(refused_report(task.dump, refuse(task.dump, "nested too deeply to be judged").problems))

    def setup(self, task: Task, data: bytes | None = None) -> Setup:
        """The setup that a dump, or other bytes in its place, means, with all that stands beside it. Raises Refused."""
        if task.outside:
            raise refuse(task.dump, "this link leads out of the repository", "put the dump itself there, or exclude it")
        pack = self.pack(task.rules)
        name_map = self.name_map(task)
        data = _read_dump(task.dump) if data is None else data
        dump = read(data, task.dump, given=name_map.layout)
        reason = binary_reason(dump.source)
        if reason:
            raise refuse(task.dump, f"this is no text: {reason}", "name a plain-text settings dump")
        facts = gathered_facts(task.facts, Known(pack.catalogue, pack.key))
        beside = Beside(facts, kinds=kinds_named(task.airframe), full=task.full)
        setup = interpret(dump, name_map, pack.catalogue, beside)
        if name_map.is_identity and not setup.coverage.modelled:
            from cfglint.project.guessing import guessed_setup

            setup = guessed_setup(data, task.dump, pack, beside)
        _check_understood(setup.coverage.modelled, task.dump, name_map)
        return _with_flights(_with_fit(setup), task.dump, pack)

    def _judged(self, task: Task, data: bytes | None) -> Judged:
        judge = self.judge(task)
        setup = self.setup(task, data)
        judgement = judge_setup(judge, setup)
        titles = {id: rule.title for id, rule in judge.pack.rules.items()}
        report = file_report(setup, unfolded(judgement, judge.pack, task.alone), titles)
        passed: tuple[object, ...] = ()
        if task.passed:
            from cfglint.report.passed import passed_of

            passed = passed_of(judgement.verdicts)
        return Judged(report._replace(switched_off=task.off, passed=passed), _moved(task, setup))


def kinds_named(airframe: str) -> frozenset[str]:
    """The kinds that an airframe type stands for; none for "". Raises Refused for a type nobody knows."""
    if not airframe:
        return frozenset()
    kinds = kinds_of(airframe)
    if kinds is None:
        from cfglint.text.nearest import nearest

        near = nearest(airframe, airframe_types())
        types = ", ".join(airframe_types())
        raise refuse("--airframe", f"no airframe type is called '{airframe}'", f"did you mean '{near}'?" if near else types)
    return kinds


def unfolded(judgement: Judgement, pack: Pack, alone: tuple[str, ...]) -> Judgement:
    """A judgement in which no finding is folded under one of the rules `alone`: what is waived or known hides nothing else."""
    if not alone:
        return judgement
    present = {v.rule for v in judgement.verdicts if v.is_finding} - set(alone)
    return judgement._replace(verdicts=tuple(_led(verdict, pack, alone, present) for verdict in judgement.verdicts))


def _led(verdict: Verdict, pack: Pack, alone: tuple[str, ...], present: set[str]) -> Verdict:
    if not verdict.follows or (verdict.follows not in alone and "*" not in alone):
        return verdict
    leaders = () if "*" in alone else pack.rules[verdict.rule].follows_from
    return verdict._replace(follows=next((rule for rule in leaders if rule in present), ""))


def _moved(task: Task, setup: Setup) -> tuple[tuple[str, str, str], ...]:
    moved = []
    for id, text in task.pinned:
        definition = setup.catalogue.get(id)
        if definition is None:
            continue
        setting = setup.settings[id]
        now, then = setting_value(setup, setting), convert(text, definition).value
        same = then is not None and setting.value.known and then._replace(known=True) == setting.value
        if not same and text.strip() != now:
            moved.append((id, text, now if setting.value.known else "not known"))
    return tuple(moved)


def _with_fit(setup: Setup) -> Setup:
    """The setup, with a warning where the map seems to be another controller's: looked into only where something is odd."""
    name_map = setup.name_map
    impossible = sum(problem.code == "impossible-value" for problem in setup.problems)
    if not name_map.file or (impossible < 2 and 4 * setup.coverage.modelled >= len(name_map.keys)):
        return setup
    from cfglint.draft.fit import fit

    found = fit(name_map, setup.dump, setup.catalogue)
    if not found.is_bad:
        return setup
    message = f"{name_map.file} fits this dump badly: {'; '.join(found.reasons())}"
    remedy = "it may be another controller's map; name the right one with --map"
    problem = Problem("warning", "map-fits-badly", message, setup.dump.source.name, 0, 0, "", remedy)
    return setup._replace(problems=(problem, *setup.problems))


def _with_flights(setup: Setup, dump: str, pack: Pack) -> Setup:
    if dump == "-" or not os.path.lexists(os.path.join(os.path.dirname(dump), FLIGHTS)):
        return setup
    from cfglint.flights.flown import with_flights

    return with_flights(setup, dump, pack)[0]


def _joined(folders: tuple[str, ...]) -> Pack:
    pack = shipped_pack()
    for folder in folders:
        extra, _ = folder_pack(folder)
        for id, rule in extra.rules.items():
            if id in pack.rules:
                raise refuse(folder, f"the rule {id} exists already", "give it another name")
            pack.rules[id] = rule
    return pack


def _without(pack: Pack, off: frozenset[str]) -> Pack:
    if not off:
        return pack
    from copy import copy

    left = copy(pack)
    left.rules = {id: rule for id, rule in pack.rules.items() if id not in off}
    return left


def _read_dump(name: str) -> bytes:
    from cfglint.setup.toml_document import read_file

    data = sys.stdin.buffer.read(LARGEST_DUMP + 1) if name == "-" else read_file(name, LARGEST_DUMP)
    if len(data) > LARGEST_DUMP:
        raise refuse(name, f"larger than {LARGEST_DUMP // 1_000_000} MB", "name the settings dump itself")
    if not data.strip():
        raise refuse(name, "the file is empty; nothing was checked", "write the dump again")
    return data


def _check_understood(modelled: int, name: str, name_map: NameMap) -> None:
    if modelled:
        return
    if name_map.is_identity:
        message = "no key of this dump is a catalogue id, so nothing was checked"
        raise refuse(name, message, "name the controller's map with --map FILE; the ids are listed by: cfglint settings")
    message = f"no key of this dump is in {name_map.file}, so nothing was checked"
    raise refuse(name, message, "the map seems to be another controller's; name the right one with --map")
