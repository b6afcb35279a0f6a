"""The Python interface: judge and compare setups from a notebook, a test, or a cluster that maps over thousands of them.

    from cfglint import judge_dump, load_craft, load_map

    board = load_map("oxlip.map.toml")
    report = judge_dump(open("thimble.dump", "rb").read(), map=board, craft=load_craft("thimble/craft.toml"))
    worst = [finding.message for finding in report.findings if finding.level == "error"]

Thousands of setups, on the processes of one machine or, with Dask, of many (`tests/test_api.py` runs this):

    bag = dask.bag.from_sequence(dumps, npartitions=64)
    reports = bag.map(judge_dump, map=board, craft=craft).compute(scheduler="processes")

What `load_…` reads from disk is a plain value, and so is every result: all of them can be pickled, both ways. Judging is
pure: the same bytes and values give the same report in any process, in any order; nothing is read or written on the way.
What a dump holds is never an exception: a dump that can't be judged gives a report with `refused` set, whose findings say
why. `Refused` is raised only by what loads a file, and for an airframe type that nobody knows.

A pack of one's own is best loaded once in each process, by its initialiser: a `Pack` can be pickled, but what it costs to get
it ready is paid again for every copy.

The whole interface is the names of `__all__` here; they are imported from `cfglint` itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from cfglint import __version__
from cfglint.judge.judge import Judge
from cfglint.judge.setup_judgement import judge_setup
from cfglint.pack.rule import Pack
from cfglint.project.craft import Known
from cfglint.project.craft import load_craft as load_facts
from cfglint.project.judging import Bench, kinds_named
from cfglint.report.assemble import file_report, refused_report
from cfglint.report.finding import FileReport, Finding, RunReport, Undecided
from cfglint.setup.convert import convert
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import NameMap, identity_map, load_name_map
from cfglint.setup.setting import CRAFT, NO_FACTS, SITE, Facts, Place, Setting, Setup
from cfglint.text.dump import read
from cfglint.text.problem import Problem, Refused, refuse
from cfglint.text.source import binary_reason

if TYPE_CHECKING:
    from cfglint.report.comparison_data import Comparison, CraftComparison

__all__ = [
    "Facts",
    "FileReport",
    "Finding",
    "NameMap",
    "Pack",
    "Refused",
    "Undecided",
    "compare_dumps",
    "craft_facts",
    "document",
    "judge_dump",
    "load_craft",
    "load_map",
    "load_pack",
]


def load_pack(*folders: str) -> Pack:
    """The shipped rule pack, with the rules of these folders added.

    Raises Refused for a folder without rules, a rule that is wrong, or one whose id exists already.
    """
    return Bench().pack(folders)


def load_map(path: str) -> NameMap:
    """The name map of a controller. Raises Refused with every problem found, at its place."""
    pack = _shipped().pack
    return load_name_map(path, pack.catalogue, pack.key)


def load_craft(path: str) -> Facts:
    """The facts of craft and site of a craft.toml. Raises Refused with every problem found, at its place."""
    pack = _shipped().pack
    return load_facts(path, Known(pack.catalogue, pack.key))


def craft_facts(facts: Mapping[str, str], name: str = "") -> Facts:
    """Facts of craft and site by id, as texts with units: `craft_facts({"craft.kind": "quadrotor", "craft.mass": "640 g"})`.

    Raises Refused, with a problem for each, for ids that are no facts and texts that can't be read.
    """
    rows = [(id, text, _fact_problem(id, text)) for id, text in facts.items()]
    problems = [problem for _, _, problem in rows if problem is not None]
    if problems:
        raise Refused(*problems)
    return Facts({id: _fact(id, text) for id, text, _ in rows}, name)


def judge_dump(
    dump: bytes | str,
    *,
    map: NameMap | None = None,
    craft: Facts = NO_FACTS,
    airframe: str = "",
    full: bool = False,
    pack: Pack | None = None,
    name: str = "dump",
) -> FileReport:
    """The report on one dump, findings worst first.

    `map`: without one, the keys are catalogue ids. `airframe`: where the facts don't say the kind. `full`: what is absent is
    unset. `pack`: the shipped one if None. `name`: what places in the report are called by.
    Raises Refused for an airframe type that nobody knows, and for nothing that a dump holds.
    """
    judge = _judge_of(pack)
    kinds = kinds_named(airframe)
    try:
        setup = _setup(dump, name, judge.pack, map or identity_map(), Beside(craft, kinds=kinds, full=full))
        return file_report(setup, judge_setup(judge, setup), {id: rule.title for id, rule in judge.pack.rules.items()})
    except Refused as refused:
        return refused_report(name, refused.problems)
    except RecursionError:
        return refused_report(name, refuse(name, "nested too deeply to be judged").problems)


def compare_dumps(
    old: bytes | str,
    new: bytes | str,
    *,
    map: NameMap | None = None,
    craft: Facts = NO_FACTS,
    old_map: NameMap | None = None,
    old_craft: Facts | None = None,
    airframe: str = "",
    full: bool = False,
    pack: Pack | None = None,
    names: tuple[str, str] = ("old", "new"),
) -> CraftComparison:
    """What changed in meaning from one dump to another: settings, findings, doubts.

    `old_map` and `old_craft`: where those of the old dump are others. A dump that can't be judged gives a comparison of status
    "refused", whose problems say why. Raises Refused for an airframe type that nobody knows.
    """
    from cfglint.project.compare import compare_setups
    from cfglint.report.comparison_data import REFUSED, CraftComparison

    judge, kinds = _judge_of(pack), kinds_named(airframe)
    maps = (old_map or map or identity_map(), map or identity_map())
    facts = (craft if old_craft is None else old_craft, craft)
    setups: list[Setup] = []
    problems: list[Problem] = []
    for dump, name, name_map, known in zip((old, new), names, maps, facts, strict=True):
        try:
            setups.append(_setup(dump, name, judge.pack, name_map, Beside(known, kinds=kinds, full=full)))
        except Refused as refused:
            problems += refused.problems
    if problems:
        return CraftComparison(craft.craft_name or names[1], *names, REFUSED, problems=tuple(problems))
    return compare_setups(setups[0], setups[1], judge)


def document(result: FileReport | CraftComparison | Comparison, fail_on: str = "warning", strict: bool = False) -> dict[str, Any]:
    """A report or comparison as the plain JSON values that the command line writes, schema and all.

    `fail_on` and `strict` set the `status` of a report, as on the command line.
    """
    if isinstance(result, FileReport):
        from cfglint.report.json_report import run_document

        return run_document(RunReport((result,), fail_on, strict, __version__))
    from cfglint.report.comparison_data import Comparison
    from cfglint.report.comparison_json import comparison_document

    if isinstance(result, Comparison):
        return comparison_document(result)
    crafts = () if result.is_empty else (result,)
    return comparison_document(Comparison(result.old_file, result.new_file, crafts, 1 - len(crafts), __version__))


def _setup(dump: bytes | str, name: str, pack: Pack, name_map: NameMap, beside: Beside) -> Setup:
    data = dump.encode("utf-8", "surrogatepass") if isinstance(dump, str) else bytes(dump)
    if not data.strip():
        raise refuse(name, "the dump is empty; nothing was checked", "read it again")
    tree = read(data, name, given=name_map.layout)
    reason = binary_reason(tree.source)
    if reason:
        raise refuse(name, f"this is no text: {reason}", "give the bytes of a plain-text settings dump")
    setup = interpret(tree, name_map, pack.catalogue, beside)
    if not setup.coverage.modelled:
        what = "a catalogue id" if name_map.is_identity else "in the name map"
        raise refuse(name, f"no key of this dump is {what}, so nothing was checked", "give the controller's name map")
    return setup


def _fact(id: str, text: str) -> Setting:
    definition = _shipped().pack.catalogue[id]
    converted = convert(text, definition)
    place = Place("facts", 1, 1, f"{id} = {text}")
    assert converted.value is not None, "a fact with a problem is refused before"
    return Setting(id, converted.value, SITE if id.startswith("site.") else CRAFT, (place,), text, converted.step)


def _fact_problem(id: str, text: str) -> Problem | None:
    catalogue = _shipped().pack.catalogue
    definition = catalogue.get(id)
    if definition is None or not definition.is_fact:
        from cfglint.text.nearest import nearest

        near = nearest(id, [known for known, d in catalogue.items() if d.is_fact])
        remedy = f"did you mean '{near}'?" if near else "the facts are listed by: cfglint settings --facts"
        return refuse("facts", f"no fact is called '{id}'", remedy).problems[0]
    if not isinstance(text, str):
        return refuse("facts", f"{id} must be a text with its unit", f'such as "1 {definition.unit}"').problems[0]
    wrong = convert(text, definition)
    return refuse("facts", f"{id}: {wrong.wrong}", f"expected {wrong.expected}").problems[0] if wrong.wrong else None


@lru_cache(maxsize=1)
def _shipped() -> Judge:
    return Judge(load_pack())


_JUDGES: dict[int, Judge] = {}
_MOST_JUDGES = 8


def _judge_of(pack: Pack | None) -> Judge:
    """The judge of a pack, kept for the next dump: its closures cost more than a judgement. Never changes an answer."""
    if pack is None:
        return _shipped()
    known = _JUDGES.get(id(pack))
    if known is None or known.pack is not pack:
        if len(_JUDGES) >= _MOST_JUDGES:
            _JUDGES.clear()
        known = _JUDGES[id(pack)] = Judge(pack)
    return known
