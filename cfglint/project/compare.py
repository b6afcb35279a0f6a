"""Two states of a craft, or of many, compared by what they mean."""

from __future__ import annotations

import os
from collections.abc import Iterable

from cfglint import __version__
from cfglint.judge.judge import Judge
from cfglint.judge.setup_judgement import judge_setup
from cfglint.project.compare_judge import Bench, Case
from cfglint.project.compare_pairs import Pair, Side, paired
from cfglint.project.compare_proofs import proof_changes
from cfglint.project.compare_settings import line_changes, setting_changes
from cfglint.project.compare_verdicts import Judged, new_craft_changes, problem_changes, verdict_changes
from cfglint.report.comparison_data import CHANGED, GONE, NEW, REFUSED, SAME, Comparison, CraftComparison, SettingChange
from cfglint.setup.setting import Setup
from cfglint.text.problem import Problem, Refused, refuse


def compare_setups(old: Setup, new: Setup, judge: Judge) -> CraftComparison:
    """What changed between two setups, judged by one pack. Pure: the same setups give the same comparison."""
    titles = {id: rule.title for id, rule in judge.pack.rules.items()}
    return compare_judged(*(Judged(setup, judge_setup(judge, setup), titles) for setup in (old, new)))


def compare_judged(old: Judged, new: Judged) -> CraftComparison:
    """What changed between two setups that are judged already."""
    verdicts = (*verdict_changes(old, new), *problem_changes(old, new))
    verdicts = tuple(sorted(verdicts, key=lambda change: not change.worse))
    settings = _marked(setting_changes(old.setup, new.setup), {s for v in verdicts if v.worse for s in v.settings})
    lines = tuple(line_changes(old.setup, new.setup))
    proofs = proof_changes(old.setup, new.setup)
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
        remedy = "a craft is a folder with a settings dump, named *.dump"
        raise refuse(f"{old.label}, {new.label}", "there is no settings dump on either side, so nothing was compared", remedy)
    changed = [pair for pair in pairs if not pair.is_same]
    for side in (old, new):
        side.fetch(changed)
    found = [_compared(pair, old, new, bench) for pair in changed]
    crafts = tuple(craft for craft in found if not craft.is_empty)
    return Comparison(old.label, new.label, crafts, len(pairs) - len(crafts), __version__)


def compare_files(old: Case, new: Case, bench: Bench) -> Comparison:
    """Two dumps."""
    craft = _guarded(old, new, bench)
    crafts = () if craft.is_empty else (craft,)
    return Comparison(old.shown, new.shown, crafts, 1 - len(crafts), __version__)


def _compared(pair: Pair, old: Side, new: Side, bench: Bench) -> CraftComparison:
    cases = [side.case(name, newer=side is new) if name else None for side, name in ((old, pair.old), (new, pair.new))]
    if cases[0] is not None and cases[1] is not None:
        return _guarded(cases[0], cases[1], bench)
    if cases[1] is not None:
        return _new_craft(cases[1], bench)
    return CraftComparison(_folder_name(pair.old), pair.old, "", GONE)


def _guarded(old: Case, new: Case, bench: Bench) -> CraftComparison:
    judged: list[Judged] = []
    problems: list[Problem] = []
    for case in (old, new):
        try:
            judged.append(bench.judged(case))
        except Refused as refused:
            problems += refused.problems
    if problems:
        return CraftComparison(_folder_name(new.shown), old.shown, new.shown, REFUSED, problems=tuple(problems))
    return compare_judged(*judged)


def _new_craft(case: Case, bench: Bench) -> CraftComparison:
    try:
        judged = bench.judged(case)
    except Refused as refused:
        return CraftComparison(_folder_name(case.shown), "", case.shown, REFUSED, problems=refused.problems)
    return CraftComparison(
        _craft(judged.setup), "", case.shown, NEW, verdicts=tuple(new_craft_changes(judged)), standing=_standing(judged)
    )


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


