"""`cfglint check`: dumps in, cited findings out."""

from __future__ import annotations

import os
import sys
from typing import Any

from cfglint import __version__
from cfglint.cli.problems import say_problems
from cfglint.judge.judge import Judge
from cfglint.judge.setup_judgement import judge_setup
from cfglint.pack.load import shipped_pack
from cfglint.pack.rule import Pack
from cfglint.report.assemble import file_report, refused_report
from cfglint.report.finding import FileReport, RunReport
from cfglint.setup.airframe import airframe_types, kinds_of
from cfglint.setup.craft_file import load_facts
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import NameMap, identity_map, load_name_map
from cfglint.setup.setting import NO_FACTS, Facts
from cfglint.text.dump import read
from cfglint.text.problem import Refused, refuse
from cfglint.text.source import binary_reason

LARGEST_DUMP = 256_000_000


def check(parsed: Any) -> int:
    """Judge every dump; a bad one never stops the rest."""
    try:
        checking = Checking(parsed)
    except Refused as refused:
        say_problems(refused.problems)
        return 2
    run = RunReport(tuple(checking.report(name) for name in parsed.dumps), parsed.fail_on, parsed.strict, __version__)
    _write(run, parsed)
    return run.status


class Checking:
    """What all dumps of a run share: the pack, the name map, the craft named by the caller."""

    def __init__(self, parsed: Any) -> None:
        self.parsed = parsed
        self.kinds = _kinds(parsed.airframe)
        self.pack: Pack = shipped_pack()
        for folder in parsed.rules:
            self.pack = _joined(self.pack, folder)
        self.judge = Judge(self.pack)
        self.titles = {id: rule.title for id, rule in self.pack.rules.items()}
        self.map: NameMap = identity_map()
        if parsed.map:
            self.map = load_name_map(parsed.map, self.pack.catalogue, self.pack.key)
        self.craft = load_facts(parsed.craft, self.pack.catalogue, self.pack.key) if parsed.craft else None

    def report(self, name: str) -> FileReport:
        """The report of one dump; what stops the work on it is its finding."""
        try:
            return self._judged(name)
        except Refused as refused:
            return refused_report(name, refused.problems)
        except RecursionError:
            return refused_report(name, refuse(name, "nested too deeply to be judged").problems)

    def _judged(self, name: str) -> FileReport:
        data = _read_dump(name)
        dump = read(data, name, given=self.map.layout)
        reason = binary_reason(dump.source)
        if reason:
            raise refuse(name, f"this is no text: {reason}", "name a plain-text settings dump")
        beside = Beside(self.craft or self._facts_beside(name), kinds=self.kinds, full=self.parsed.full)
        setup = interpret(dump, self.map, self.pack.catalogue, beside)
        _check_understood(setup.coverage.modelled, name, self.map)
        return file_report(setup, judge_setup(self.judge, setup), self.titles)

    def _facts_beside(self, name: str) -> Facts:
        path = os.path.join(os.path.dirname(name), "craft.toml")
        if name == "-" or not os.path.exists(path):
            return NO_FACTS
        return load_facts(path, self.pack.catalogue, self.pack.key)


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


def _kinds(airframe: str | None) -> frozenset[str]:
    if airframe is None:
        return frozenset()
    kinds = kinds_of(airframe)
    if kinds is None:
        from cfglint.text.nearest import nearest

        near = nearest(airframe, airframe_types())
        types = ", ".join(airframe_types())
        raise refuse("--airframe", f"no airframe type is called '{airframe}'", f"did you mean '{near}'?" if near else types)
    return kinds


def _joined(pack: Pack, folder: str) -> Pack:
    from cfglint.pack.load import folder_pack

    extra, _ = folder_pack(folder)
    for id, rule in extra.rules.items():
        if id in pack.rules:
            raise refuse(folder, f"the rule {id} exists already", "give it another name")
        pack.rules[id] = rule
    return pack


def _write(run: RunReport, parsed: Any) -> None:
    if parsed.format == "json":
        from cfglint.report.json_report import render_json

        sys.stdout.write(render_json(run))
        return
    from cfglint.report.styled import terminal_width, wants_colour, write_lines
    from cfglint.report.terminal import View, render_run

    view = View(max(30, min(400, parsed.width or terminal_width(sys.stdout))), parsed.verbose)
    write_lines(render_run(run, view), sys.stdout, wants_colour(sys.stdout, parsed.color))
