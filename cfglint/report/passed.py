"""Rules that found nothing in a file, one by one, for the formats that list them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, Verdict
from cfglint.report.finding import FileReport


class Passed(NamedTuple):
    """A rule that is clear or does not apply, in every phase and for every member; `rests_on`: the assumptions it needs."""

    rule: str
    outcome: str
    rests_on: tuple[str, ...] = ()


def passed_of(verdicts: Iterable[Verdict]) -> tuple[Passed, ...]:
    """The rules all of whose verdicts are on the safe side, in the order of the verdicts: clear if any of them is."""
    by_rule: dict[str, list[Verdict]] = {}
    for verdict in verdicts:
        by_rule.setdefault(verdict.rule, []).append(verdict)
    return tuple(_together(rule, own) for rule, own in by_rule.items() if _is_safe(own))


def passed_in(file: FileReport) -> tuple[Passed, ...]:
    """The passed rules of a file, as far as its report names them."""
    found: tuple[Passed, ...] = getattr(file, "passed", ())
    return found


def _is_safe(verdicts: list[Verdict]) -> bool:
    return all(v.outcome in (CLEAR, NOT_APPLICABLE) for v in verdicts)


def _together(rule: str, verdicts: list[Verdict]) -> Passed:
    outcome = CLEAR if any(v.outcome == CLEAR for v in verdicts) else NOT_APPLICABLE
    return Passed(rule, outcome, tuple(dict.fromkeys(a for v in verdicts for a in v.rests_on)))
