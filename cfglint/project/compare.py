"""Two states of a craft, or of many, compared by what they mean."""

from __future__ import annotations

import os
from collections.abc import Iterable

from cfglint import __version__
from cfglint.judge.judge import Judge
from cfglint.project.compare_judge import Case, ReadSetup, judged, read_case
from cfglint.project.compare_pairs import Pair, Side, paired
from cfglint.project.compare_proofs import proof_changes
from cfglint.project.compare_ranges import aligned
from cfglint.project.compare_settings import line_changes, setting_changes
from cfglint.project.compare_verdicts import Judged, new_craft_changes, problem_changes, verdict_changes
from cfglint.project.judging import Bench
from cfglint.report.comparison_data import CHANGED, GONE, NEW, REFUSED, SAME, Comparison, CraftComparison, SettingChange
from cfglint.setup.setting import Setup
from cfglint.text.problem import Problem, Refused, refuse


def compare_setups(old: Setup, new: Setup, judge: Judge) -> CraftComparison:
    """What changed between two setups, judged by one pack. Pure: the same setups give the same comparison."""
    return compare_read(ReadSetup(old, judge), ReadSetup(new, judge))


def compare_read(old: ReadSetup, new: ReadSetup) -> CraftComparison:
    """The same, each setup judged by its own pack, with where their test cards stand."""
    return _compare_judged(judged(old), judged(new._replace(setup=aligned(old.setup, new.setup))))


def _compare_judged(old: Judged, new: Judged) -> CraftComparison:
    verdicts = (*verdict_changes(old, new), *problem_changes(old, new))
    verdicts = tuple(sorted(verdicts, key=lambda change: not change.worse))
    settings = _marked(setting_changes(old.setup, new.setup), {s for v in verdicts if v.worse for s in v.settings})
    lines = tuple(line_changes(old.setup, new.setup))
    proofs = proof_changes(old, new)
    empty = not (verdicts or settings or lines or proofs)
    return CraftComparison(
        _craft(new.setup),
        old.setup.dump.source.name,
        new.setup.dump.source.name,
        SAME if empty else CHANGED,
        settings,
        verdicts,
        lines,
        proofs,
        standing=_standing(new),
    )


def compare_sides(old: Side, new: Side, bench: Bench) -> Comparison:
    """Every craft of two folders or revisions; a craft whose files are the same bytes is not judged again.

    Raises Refused when neither side has a craft. One craft that can't be judged never stops the others.
    """
    pairs = paired(old, new)
    if not pairs:
        remedy = "a craft is a folder with a settings dump, *.dump where cfglint.toml says nothing else"
        raise refuse(f"{old.label}, {new.label}", "there is no settings dump on either side, so nothing was compared", remedy)
    changed = [pair for pair in pairs if not pair.is_same]
    old.fetch(pair.old for pair in changed if pair.old)
    new.fetch(pair.new for pair in changed if pair.new)
    found = [_compared(pair, old, new, bench) for pair in changed]
    crafts = tuple(craft for craft in found if not craft.is_empty)
    return Comparison(old.label, new.label, crafts, len(pairs) - len(crafts), __version__)


def compare_files(old: Case, new: Case, bench: Bench) -> Comparison:
    """Two dumps."""
    craft = _guarded(old, new, bench)
    crafts = () if craft.is_empty else (craft,)
    return Comparison(old.shown, new.shown, crafts, 1 - len(crafts), __version__)


def _compared(pair: Pair, old: Side, new: Side, bench: Bench) -> CraftComparison:
    cases = [side.case(name) if name else None for side, name in ((old, pair.old), (new, pair.new))]
    if cases[0] is not None and cases[1] is not None:
        return _guarded(cases[0], cases[1], bench)
    if cases[1] is not None:
        return _new_craft(cases[1], bench)
    return CraftComparison(_folder_name(pair.old), pair.old, "", GONE)


def _guarded(old: Case, new: Case, bench: Bench) -> CraftComparison:
    read: list[ReadSetup] = []
    problems: list[Problem] = []
    for case in (old, new):
        try:
            read.append(read_case(case, bench))
        except Refused as refused:
            problems += refused.problems
    if problems:
        return CraftComparison(_folder_name(new.shown), old.shown, new.shown, REFUSED, problems=tuple(problems))
    return compare_read(read[0], read[1])


def _new_craft(case: Case, bench: Bench) -> CraftComparison:
    try:
        new = judged(read_case(case, bench))
    except Refused as refused:
        return CraftComparison(_folder_name(case.shown), "", case.shown, REFUSED, problems=refused.problems)
    verdicts = tuple(new_craft_changes(new))
    return CraftComparison(_craft(new.setup), "", case.shown, NEW, verdicts=verdicts, standing=_standing(new))


def _marked(changes: Iterable[SettingChange], matters: set[str]) -> tuple[SettingChange, ...]:
    """Changes that a worse verdict reads first, changes of origin alone last."""
    marked = [change._replace(matters=change.id in matters) for change in changes]
    return tuple(sorted(marked, key=lambda change: (change.same_value, not change.matters)))


def _standing(judged: Judged) -> int:
    return sum(verdict.is_finding for verdict in judged.judgement.verdicts)


def _craft(setup: Setup) -> str:
    return setup.facts.craft_name or _folder_name(setup.dump.source.name)


def _folder_name(file: str) -> str:
    """A craft without a name is called by its folder, or by its dump."""
    folder, name = os.path.split(file)
    return os.path.basename(folder) or name.removesuffix(".dump")
