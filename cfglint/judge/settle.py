"""What would settle an undecided verdict: the fewest facts, found by trying points."""

from __future__ import annotations

import itertools
from collections.abc import Callable

from cfglint.formula.evaluate import Environment
from cfglint.judge.decide import open_inputs, plain_outcome, points_of
from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY, UNDECIDED
from cfglint.pack.rule import CompiledPart
from cfglint.quantity.value import Value

MOST_TRIALS = 150
MOST_TOGETHER = 3


def settling_facts(part: CompiledPart, environment: Environment, exists: Callable[[str], bool]) -> tuple[str, ...]:
    """The fewest open inputs which, once known, decide the part at every point tried; else those that can; else all.

    `exists`: whether the craft can have an input at all. Empty where nothing is open: then a function has no value here, or
    the rule's own spread leaves it open.
    """
    unsure = [id for id in open_inputs(part.inputs, environment) if exists(id)]
    if len(unsure) <= 1:
        return tuple(unsure)
    possible: tuple[str, ...] = ()
    trials = MOST_TRIALS
    for size in range(1, min(MOST_TOGETHER, len(unsure)) + 1):
        for chosen in itertools.combinations(unsure, size):
            outcomes = _outcomes(part, environment, chosen, min(27, trials))
            trials -= len(outcomes)
            if outcomes and UNDECIDED not in outcomes:
                return chosen
            if not possible and any(outcome != UNDECIDED for outcome in outcomes):
                possible = chosen
            if trials <= 0:
                return possible or tuple(unsure)
    return possible or tuple(unsure)


def witnesses_of(
    part: CompiledPart, environment: Environment, ids: tuple[str, ...], show: Callable[[str, Value], str]
) -> tuple[str, ...]:
    """A possible value that makes it risky and one that makes it clear, in words; empty where no such pair was found."""
    chosen = [id for id in ids if id in environment.values][:MOST_TOGETHER]
    found: dict[str, str] = {}
    choices = [list(points_of(environment.values[id])) for id in chosen]
    for values in itertools.islice(itertools.product(*choices), 27):
        outcome = plain_outcome(part, environment.with_values(dict(zip(chosen, values, strict=True))))
        word = {RISKY: "risky", CLEAR: "clear", NOT_APPLICABLE: "clear"}.get(outcome)
        if word and word not in found:
            found[word] = f"{word} if " + ", ".join(f"{id} is {show(id, v)}" for id, v in zip(chosen, values, strict=True))
    return (found["risky"], found["clear"]) if len(found) == 2 else ()


def _outcomes(part: CompiledPart, environment: Environment, ids: tuple[str, ...], most: int) -> list[str]:
    choices = [list(points_of(environment.values[id])) for id in ids]
    outcomes = []
    for values in itertools.islice(itertools.product(*choices), most):
        outcomes.append(plain_outcome(part, environment.with_values(dict(zip(ids, values, strict=True)))))
    return outcomes
