"""Verdicts of two setups compared: what appears, goes, rises, falls, can't be told any more, or is settled."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY, SEVERITY, UNDECIDED, Judgement, Verdict
from cfglint.report.comparison_data import (
    APPEARS,
    APPLIES,
    APPLIES_NO_MORE,
    FALLS,
    FIRMER,
    GOES,
    MOVES,
    OUT_OF_SIGHT,
    RISES,
    SETTLED,
    UNDECIDED_NOW,
    WEAKER,
    VerdictChange,
)
from cfglint.setup.convert import PLAIN_READING, convert
from cfglint.setup.setting import UNSEEN, Setup
from cfglint.text.problem import Problem

if TYPE_CHECKING:
    from cfglint.flights.proofs import Status

Key = tuple[str, str, tuple[str, ...]]

FAULT_CODE = "line-not-understood"
FURTHER, NEARER = "further from clear", "nearer to clear"


class Judged:
    """A setup with all that was found out about it; `statuses` say where each test card stands, by its id."""

    def __init__(
        self,
        setup: Setup,
        judgement: Judgement,
        titles: Mapping[str, str],
        statuses: Mapping[str, Status] | None = None,
    ) -> None:
        self.setup, self.judgement, self.titles, self.statuses = setup, judgement, titles, statuses or {}
        self.by_key: dict[Key, Verdict] = {(v.rule, v.phase, v.members): v for v in judgement.verdicts}

    def verdict(self, key: Key) -> Verdict | None:
        """The verdict of a rule on a member; where that member is unknown, the doubt about its whole family."""
        return self.by_key.get(key) or self.by_key.get((key[0], key[1], ()))


def verdict_changes(old: Judged, new: Judged) -> list[VerdictChange]:
    """Every verdict that changed in a way worth telling, worst first."""
    changes = []
    for key in dict.fromkeys((*new.by_key, *old.by_key)):
        if _told_by_members(key, old, new) or _told_by_members(key, new, old):
            continue
        before, after = old.verdict(key), new.verdict(key)
        change, worse = change_of(before, after, *_distances(before, after, old, new))
        if change == GOES and after is not None and _outcome(after) == NOT_APPLICABLE and _lost(before, old.setup, new.setup):
            change, worse = OUT_OF_SIGHT, True
        if change:
            changes.append(_told(change, worse, before, after, old, new))
    return sorted(changes, key=_order)


def new_craft_changes(new: Judged) -> list[VerdictChange]:
    """The findings of a craft that was not there before; what is undecided about it was never known, so it is no loss."""
    nothing = Judged(new.setup, Judgement(()), new.titles)
    return [c for c in verdict_changes(nothing, new) if c.change == APPEARS]


def problem_changes(old: Judged, new: Judged) -> list[VerdictChange]:
    """What is wrong with the input itself, before and after, told apart by kind and setting and never by line."""
    before, after = _problems(old), _problems(new)
    changes = []
    for key in sorted(before.keys() | after.keys()):
        was, now = before.get(key, []), after.get(key, [])
        for problem in now[len(was) :]:
            changes.append(_problem_change(problem, APPEARS))
        for problem in was[len(now) :]:
            changes.append(_problem_change(problem, GOES))
    return sorted(changes + _fault_changes(old, new), key=_order)


def change_of(
    old: Verdict | None, new: Verdict | None, old_distance: float | None = None, new_distance: float | None = None
) -> tuple[str, bool]:
    """What became of one verdict, and whether that is worse. "" for nothing worth telling.

    A risk that can't be told any more, a clear verdict that now needs an assumption, and a finding that now stands without
    one, are worse. The distances are how far the remedy moves its setting, None where they can't be compared.
    """
    before, after = _severity(old), _severity(new)
    if after > before:
        return (RISES if before else APPEARS), True
    if _outcome(old) == RISKY and _outcome(new) == UNDECIDED:
        return UNDECIDED_NOW, True
    if after < before:
        if not after:
            return (UNDECIDED_NOW, True) if _outcome(new) == UNDECIDED else (GOES, False)
        return FALLS, False
    if after and old is not None and new is not None:
        return _standing_change(old, new, old_distance, new_distance)
    return _quiet_change(old, new)


def _standing_change(old: Verdict, new: Verdict, old_distance: float | None, new_distance: float | None) -> tuple[str, bool]:
    """A finding before and after, of one level."""
    if old.outcome != new.outcome:
        return APPEARS, True
    if old.is_provisional != new.is_provisional:
        return (WEAKER, False) if new.is_provisional else (FIRMER, True)
    if _says(old) == _says(new):
        return "", False
    return MOVES, _moved(old_distance, new_distance) == FURTHER


def _quiet_change(old: Verdict | None, new: Verdict | None) -> tuple[str, bool]:
    """No finding before, none after: what was known of the rule."""
    before, after = _outcome(old), _outcome(new)
    if before == UNDECIDED and after != UNDECIDED:
        return SETTLED, False
    if after == UNDECIDED and before != UNDECIDED:
        return UNDECIDED_NOW, True
    if before == after == UNDECIDED or old is None or new is None:
        return "", False
    if old.is_provisional != new.is_provisional:
        return (WEAKER, True) if new.is_provisional else (FIRMER, False)
    if before != after:
        return (APPLIES if after == CLEAR else APPLIES_NO_MORE), False
    return "", False


def _told_by_members(key: Key, here: Judged, there: Judged) -> bool:
    """Whether a doubt about a whole family, on one side only, is told already by the members that stand on the other."""
    if key[2] or key not in here.by_key or key in there.by_key:
        return False
    return any(other[:2] == key[:2] and other[2] and other not in here.by_key for other in there.by_key)


def _lost(verdict: Verdict | None, old: Setup, new: Setup) -> bool:
    """Whether something that a finding read was known and is not any more: then it is not the risk that went."""
    settings = verdict.settings if verdict is not None else ()
    return any(id in new.settings and old.settings[id].origin != UNSEEN and new.settings[id].origin == UNSEEN for id in settings)


def _told(change: str, worse: bool, before: Verdict | None, after: Verdict | None, old: Judged, new: Judged) -> VerdictChange:
    shown = after or before
    assert shown is not None
    finding = after if after is not None and after.is_finding else before if before is not None and before.is_finding else shown
    distances = _distances(before, after, old, new)
    remedy = after.remedy.change if after is not None and after.remedy is not None else None
    return VerdictChange(
        shown.rule,
        new.titles.get(shown.rule, shown.rule),
        change,
        worse,
        _state(before),
        _state(after),
        finding.level,
        shown.phase,
        shown.members,
        after.message if after is not None and after.message else finding.message,
        before.message if before is not None else "",
        _moved(*distances) if change == MOVES else "",
        finding.settings or shown.settings,
        after.needs if after is not None else (),
        after.rests_on if after is not None else (),
        finding.place,
        remedy.line if remedy is not None and finding is after else "",
    )


def _severity(verdict: Verdict | None) -> float:
    if verdict is None or not verdict.is_finding:
        return 0
    return SEVERITY[verdict.level] + (0.5 if verdict.at_least else 0)


def _outcome(verdict: Verdict | None) -> str:
    return verdict.outcome if verdict is not None else NOT_APPLICABLE


def _state(verdict: Verdict | None) -> str:
    """A verdict as people read it."""
    if verdict is None:
        return "does not apply"
    assumed = ", on assumptions" if verdict.is_provisional and verdict.outcome != UNDECIDED else ""
    if verdict.is_finding:
        unknown = ", not known" if verdict.outcome == UNDECIDED else ""
        return ("at least " if verdict.at_least else "") + verdict.level + unknown + assumed
    return {NOT_APPLICABLE: "does not apply"}.get(verdict.outcome, verdict.outcome) + assumed


def _says(verdict: Verdict) -> tuple[str, tuple[tuple[str, str], ...]]:
    """What a finding says, and the numbers it stands on; not those that only say whether it applies."""
    return verdict.message, tuple(sorted((row.name, row.shown) for row in verdict.trace if row.decisive))


def _distances(before: Verdict | None, after: Verdict | None, old: Judged, new: Judged) -> tuple[float | None, float | None]:
    """How far the remedy of a finding moves its setting, before and after, where both move the same one."""
    if before is None or after is None:
        return None, None
    changes = [v.remedy.change if v.remedy is not None else None for v in (before, after)]
    if changes[0] is None or changes[1] is None or changes[0].setting != changes[1].setting:
        return None, None
    return _distance(changes[0].setting, changes[0].raw, old.setup), _distance(changes[1].setting, changes[1].raw, new.setup)


def _distance(id: str, raw: str, setup: Setup) -> float | None:
    setting, definition = setup.settings[id], setup.catalogue[id]
    reading = setting.rule.reading if setting.rule else PLAIN_READING
    target = convert(raw, definition, reading).value
    if not definition.is_number or target is None or not (target.is_exact and setting.value.is_exact):
        return None
    if target.presence != setting.value.presence:
        return None
    return abs(target.low - setting.value.low)


def _moved(before: float | None, after: float | None) -> str:
    if before is None or after is None or abs(after - before) <= 1e-9 * max(abs(before), abs(after)):
        return ""
    return FURTHER if after > before else NEARER


def _problems(judged: Judged) -> dict[tuple[str, str], list[Problem]]:
    found: dict[tuple[str, str], list[Problem]] = {}
    contradictions = (
        Problem("warning", "contradict", f"the facts contradict each other: {_name(q)}", judged.setup.facts.file, setting=q)
        for q in judged.judgement.contradictions
    )
    problems: Iterable[Problem] = (*judged.setup.facts.problems, *judged.setup.problems, *contradictions)
    for problem in (p for p in problems if p.code != FAULT_CODE):
        found.setdefault((problem.code, problem.setting), []).append(problem)
    return found


def _fault_changes(old: Judged, new: Judged) -> list[VerdictChange]:
    """Lines that can't be read, by their number: which of them a report names depends on their order."""
    was, now = (judged.setup.coverage.faults for judged in (old, new))
    if was == now:
        return []
    message = f"{now} lines of the dump can't be read, where it was {was}; what they set is taken as not seen"
    problem = Problem("note", FAULT_CODE, message, new.setup.dump.source.name)
    return [_problem_change(problem, APPEARS if now > was else GOES)._replace(was=f"{was} lines", now=f"{now} lines")]


def _problem_change(problem: Problem, change: str) -> VerdictChange:
    room = "facts" if problem.code == "contradict" else "dump"
    was, now = ("clear", problem.level) if change == APPEARS else (problem.level, "clear")
    settings = (problem.setting,) if problem.setting else ()
    rule = f"{room}/{problem.code}"
    worse = change == APPEARS
    return VerdictChange(rule, rule, change, worse, was, now, problem.level, message=problem.message, settings=settings)


def _name(quantity: str) -> str:
    return f"they leave no possible {quantity.replace('_', ' ')}"


def _order(change: VerdictChange) -> tuple[bool, int, str, str, tuple[str, ...], str]:
    return not change.worse, -SEVERITY.get(change.level, 0), change.rule, change.phase, change.members, change.message
