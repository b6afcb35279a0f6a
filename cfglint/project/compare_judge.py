"""One dump with what stands beside it, judged for a comparison."""

from __future__ import annotations

import os
from typing import NamedTuple

from cfglint.judge.judge import Judge
from cfglint.judge.setup_judgement import judge_setup
from cfglint.pack.rule import Pack
from cfglint.project.compare_verdicts import Judged
from cfglint.setup.craft_file import load_facts
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import NameMap, identity_map, load_name_map
from cfglint.setup.setting import NO_FACTS, Facts
from cfglint.setup.toml_document import read_file
from cfglint.text.dump import read
from cfglint.text.problem import Problem, Refused, refuse
from cfglint.text.source import binary_reason

LARGEST_DUMP = 256_000_000


class Case(NamedTuple):
    """One dump to judge: the file, the name it is shown by, the map and craft file ("" for none), and the root of its side.

    Files below `root` are shown relative to it, behind `prefix`, which names the revision.
    """

    path: str
    shown: str
    map: str = ""
    craft: str = ""
    root: str = ""
    prefix: str = ""


class Bench:
    """What all dumps of a comparison are judged with."""

    def __init__(self, pack: Pack, kinds: frozenset[str] = frozenset(), full: bool = False) -> None:
        self.pack, self.kinds, self.full = pack, kinds, full
        self.judge = Judge(pack)
        self.titles = {id: rule.title for id, rule in pack.rules.items()}

    def judged(self, case: Case) -> Judged:
        """A dump judged. Raises Refused, with every file named as it is shown."""
        try:
            return self._judged(case)
        except Refused as refused:
            raise Refused(*(_renamed(problem, case) for problem in refused.problems)) from None
        except RecursionError:
            raise refuse(case.shown, "nested too deeply to be judged") from None

    def _judged(self, case: Case) -> Judged:
        name_map = self._map(case)
        data = read_file(case.path, LARGEST_DUMP)
        if not data.strip():
            raise refuse(case.path, "the file is empty; nothing was compared", "write the dump again")
        dump = read(data, case.shown, given=name_map.layout)
        reason = binary_reason(dump.source)
        if reason:
            raise refuse(case.path, f"this is no text: {reason}", "name a plain-text settings dump")
        beside = Beside(self._facts(case), kinds=self.kinds, full=self.full)
        setup = interpret(dump, name_map, self.pack.catalogue, beside)
        if not setup.coverage.modelled:
            raise refuse(case.path, _not_understood(name_map), "name the controller's map with --map FILE")
        return Judged(setup, judge_setup(self.judge, setup), self.titles)

    def _map(self, case: Case) -> NameMap:
        return load_name_map(case.map, self.pack.catalogue, self.pack.key) if case.map else identity_map()

    def _facts(self, case: Case) -> Facts:
        path = case.craft or os.path.join(os.path.dirname(case.path), "craft.toml")
        if not case.craft and not os.path.exists(path):
            return NO_FACTS
        facts = load_facts(path, self.pack.catalogue, self.pack.key)
        shown = shown_file(path, case)
        settings = {
            id: setting._replace(places=tuple(place._replace(file=shown) for place in setting.places))
            for id, setting in facts.settings.items()
        }
        return facts._replace(settings=settings, file=shown)


def shown_file(path: str, case: Case) -> str:
    """The name by which a file of a side is shown: below its root relative to it, and with the revision."""
    if path == case.path:
        return case.shown
    root = case.root.rstrip(os.sep) + os.sep if case.root else ""
    if root and path.startswith(root):
        return case.prefix + path[len(root) :].replace(os.sep, "/")
    return path


def _renamed(problem: Problem, case: Case) -> Problem:
    return problem._replace(file=shown_file(problem.file, case))


def _not_understood(name_map: NameMap) -> str:
    if name_map.is_identity:
        return "no key of this dump is a catalogue id, so nothing was compared"
    return "no key of this dump is in the map, which seems to be another controller's"
