"""The ladder of a craft: what is flown, what is stale, what comes next, and what is locked and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from cfglint.flights.card import Card
from cfglint.flights.proofs import FLOWN, Status
from cfglint.judge.environment import Environments
from cfglint.judge.judge import Case, Judge
from cfglint.judge.tell import Teller
from cfglint.judge.verdict import ERROR, NOTE, RISKY, UNDECIDED, Verdict
from cfglint.setup.setting import Setup


class Obstacle(NamedTuple):
    """What stands before a card: a card that is not flown, or a rule that is not clear, with what it says."""

    name: str
    why: str
    is_rule: bool = False


class Rung(NamedTuple):
    """One card of the ladder: where it stands, and what stands before it. `is_next`: the first one that may be flown.

    A card that is flown has no obstacles; `obstacles_now` says what would stand before flying it again.
    """

    card: Card
    status: Status
    obstacles: tuple[Obstacle, ...]
    is_next: bool = False
    obstacles_now: tuple[Obstacle, ...] = ()

    @property
    def is_locked(self) -> bool:
        """Whether something stands before it."""
        return bool(self.obstacles)


def ladder(cards: Mapping[str, Card], statuses: Mapping[str, Status], setup: Setup, judge: Judge) -> tuple[Rung, ...]:
    """Every card for this craft with its obstacles. `setup` has the flight record taken in."""
    judging = Judging(judge, setup)
    rungs = []
    found_next = False
    for id, card in cards.items():
        obstacles = obstacles_of(card, statuses, judging)
        is_next = not found_next and not obstacles and statuses[id].state != FLOWN
        found_next = found_next or is_next
        rungs.append(Rung(card, statuses[id], () if statuses[id].state == FLOWN else obstacles, is_next, obstacles))
    return tuple(rungs)


def obstacles_of(card: Card, statuses: Mapping[str, Status], judging: Judging) -> tuple[Obstacle, ...]:
    """The cards to be flown right before a card, and the rules that keep it on the ground."""
    waiting = [id for id in card.after if statuses[id].state != FLOWN]
    below = {under for id in waiting for under in _under(id, statuses)}
    found = [Obstacle(id, _STATES[statuses[id].state]) for id in waiting if id not in below]
    for rule in dict.fromkeys((*card.clear, *card.free_of_errors)):
        why = judging.objection(rule, rule not in card.clear)
        if why:
            found.append(Obstacle(rule, why, True))
    return tuple(found)


class Judging:
    """Rules judged on one setup, each once and only when a card asks for it."""

    def __init__(self, judge: Judge, setup: Setup) -> None:
        self.judge, self.setup = judge, setup
        self.environments = Environments(setup)
        self.teller = Teller(setup, self.environments)
        self._verdicts: dict[str, list[Verdict]] = {}

    def objection(self, rule: str, errors_only: bool) -> str:
        """What a rule says against flying; empty where it has nothing to say."""
        objections = [text for verdict in self._judged(rule) if (text := _objection(verdict, errors_only))]
        return objections[0] if objections else ""

    def _judged(self, rule: str) -> Sequence[Verdict]:
        if rule not in self._verdicts:
            cases: list[Case] = self.judge.rule_cases(rule, self.setup, self.environments)
            self._verdicts[rule] = [self.teller.verdict(case) for case in cases if case.outcome in (RISKY, UNDECIDED)]
        return self._verdicts[rule]


def _under(id: str, statuses: Mapping[str, Status]) -> set[str]:
    """Every card that a card rests on, at any depth."""
    found: set[str] = set()
    waiting = list(statuses[id].card.after)
    while waiting:
        under = waiting.pop()
        if under not in found:
            found.add(under)
            waiting += statuses[under].card.after
    return found


def _objection(verdict: Verdict, errors_only: bool) -> str:
    if errors_only:
        return verdict.message if verdict.level == ERROR else ""
    if verdict.outcome == RISKY:
        return verdict.message if verdict.level != NOTE else ""
    needs = f"; needs {', '.join(verdict.needs)}" if verdict.needs else ""
    return f"not decided: {verdict.message}{needs}"


_STATES = {
    "stale": "its proof is stale",
    "failed": "it failed",
    "begun": "not passed often enough yet",
    "open": "not flown yet",
}
