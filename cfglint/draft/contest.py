"""Many keys, many settings: who wins which, and how sure that is once all the others have had their say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from cfglint.draft.assign import assign
from cfglint.draft.names import DECOY
from cfglint.draft.score import Candidate

_ROUNDS = 4
_NONE_ODDS = 0.0
_LEAST = 1e-9


class Standing(NamedTuple):
    """A candidate of one key with its probability in the light of all keys; `is_chosen` in the best assignment as a whole."""

    candidate: Candidate
    chance: float
    is_chosen: bool


def contest(table: Sequence[Sequence[Candidate]]) -> list[list[Standing]]:
    """The standing of each key's candidates, the chosen one first, then by probability.

    A setting is at most one key's: keys that are surely something else stop competing for it, and the other way round.
    """
    chances = _settled(table)
    chosen = _chosen(table)
    standings = []
    for row, candidates in enumerate(table):
        own = [
            Standing(candidate, chances[row].get(candidate.setting, 0.0), candidate.setting == chosen[row])
            for candidate in candidates
            if candidate.setting != DECOY
        ]
        standings.append(sorted(own, key=lambda s: (not s.is_chosen, -s.chance, s.candidate.setting)))
    return standings


def _settled(table: Sequence[Sequence[Candidate]]) -> list[dict[str, float]]:
    """Row and column shares in turn, until both agree roughly."""
    weights = [{c.setting: math.exp(min(30.0, c.odds)) for c in candidates if c.setting != DECOY} for candidates in table]
    nothing = [math.exp(_NONE_ODDS) + sum(math.exp(c.odds) for c in candidates if c.setting == DECOY) for candidates in table]
    free = [dict.fromkeys(row, 1.0) for row in weights]
    chances: list[dict[str, float]] = []
    for _ in range(_ROUNDS):
        chances = []
        for row, weight in enumerate(weights):
            total = nothing[row] + sum(w * free[row][s] for s, w in weight.items())
            chances.append({s: w * free[row][s] / total for s, w in weight.items()})
        free = _left_free(chances)
    return chances


def _left_free(chances: Sequence[dict[str, float]]) -> list[dict[str, float]]:
    """For each key and setting, the probability that no other key has it."""
    others: dict[str, list[float]] = {}
    for row in chances:
        for setting, chance in row.items():
            others.setdefault(setting, []).append(chance)
    logs = {s: sum(math.log(max(_LEAST, 1.0 - c)) for c in column) for s, column in others.items()}
    return [{s: math.exp(min(0.0, logs[s] - math.log(max(_LEAST, 1.0 - c)))) for s, c in row.items()} for row in chances]


def _chosen(table: Sequence[Sequence[Candidate]]) -> list[str]:
    settings = sorted({c.setting for candidates in table for c in candidates if c.setting != DECOY})
    number = {setting: index for index, setting in enumerate(settings)}
    worth = []
    for candidates in table:
        against = max((c.odds for c in candidates if c.setting == DECOY), default=_NONE_ODDS)
        against = max(against, _NONE_ODDS) - 2.0
        worth.append({number[c.setting]: c.odds - against for c in candidates if c.setting != DECOY})
    return [settings[column] if column >= 0 else "" for column in assign(worth)]
