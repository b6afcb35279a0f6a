"""One compiled rule in one environment: clear, risky, undecided or not applicable."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from cfglint.formula.evaluate import Environment
from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY, SEVERITY, UNDECIDED
from cfglint.pack.rule import CompiledPart, CompiledRule
from cfglint.quantity.truth import FALSE, TRUE
from cfglint.quantity.value import OFF, SET, UNSET, Value, word_value

MOST_BOXES = 32
FIRST_BOXES = 6
SAMPLES = 8
SAFE_SIDE = "safe"


class Decision(NamedTuple):
    """The outcome of a rule: its worst part, and whether a still worse one is undecided.

    `doubt` is the undecided part of the highest level, -1 if none.
    """

    outcome: str
    part: int
    at_least: bool = False
    doubt: int = -1


def decide(rule: CompiledRule, environment: Environment, refine: bool = True) -> Decision:
    """Judge all parts and take the worst, at the level that is certain."""
    outcomes = [decide_part(part, environment, refine) for part in rule.parts]
    risky = _worst(rule, outcomes, RISKY)
    doubt = _worst(rule, outcomes, UNDECIDED)
    if risky >= 0:
        worse_open = doubt >= 0 and SEVERITY[rule.parts[doubt].level] > SEVERITY[rule.parts[risky].level]
        return Decision(RISKY, risky, worse_open, doubt if worse_open else -1)
    if doubt >= 0:
        return Decision(UNDECIDED, doubt, doubt=doubt)
    if CLEAR in outcomes:
        return Decision(CLEAR, outcomes.index(CLEAR))
    return Decision(NOT_APPLICABLE, -1)


def decide_part(part: CompiledPart, environment: Environment, refine: bool = True) -> str:
    """Judge one part; an undecided one whose inputs stand in two places is split into boxes before it is given up."""
    outcome = plain_outcome(part, environment)
    if outcome != UNDECIDED or not refine or not part.repeated:
        return outcome
    unsure = open_inputs(part.repeated, environment)
    return _by_boxes(part, environment, unsure) if unsure else outcome


def plain_outcome(part: CompiledPart, environment: Environment) -> str:
    """One part as ranges tell at once: `require` true is clear even where `when` is unknown."""
    when = part.when(environment)
    if when is FALSE:
        return NOT_APPLICABLE
    require = part.require(environment)
    if require is TRUE:
        return CLEAR
    return RISKY if when is TRUE and require is FALSE else UNDECIDED


def open_inputs(part_inputs: tuple[str, ...], environment: Environment) -> list[str]:
    """The inputs about which something is open."""
    return [id for id in part_inputs if (value := environment.values.get(id)) is not None and not value.is_exact]


def points_of(value: Value) -> Iterator[Value]:
    """Exact values that a value may be: both ends and the middle, each word, each state."""
    if value.words:
        for word in sorted(value.words):
            yield value._replace(words=frozenset((word,)), presence=UNSET if word == "unset" else SET, known=True)
        return
    if value.presence & SET:
        for number in dict.fromkeys((value.low, value.high, (value.low + value.high) / 2)):
            yield value._replace(presence=SET, low=number, high=number, known=True)
    for state in (OFF, UNSET):
        if value.presence & state:
            yield value._replace(presence=state, known=True)


def _by_boxes(part: CompiledPart, environment: Environment, unsure: list[str]) -> str:
    """Two points of opposite verdict prove that it is open; else what stands in two places is halved, 32 boxes in all.

    Where the first few boxes decide nothing, more of them seldom do, and it is left open.
    """
    if _is_open(part, environment, open_inputs(part.inputs, environment)):
        return UNDECIDED
    boxes = [environment]
    outcomes: set[str] = set()
    for made in range(MOST_BOXES):
        if not boxes:
            break
        box = boxes.pop(0)
        outcome = plain_outcome(part, box)
        if outcome != UNDECIDED:
            outcomes.add(SAFE_SIDE if outcome in (CLEAR, NOT_APPLICABLE) else outcome)
            continue
        halves = _halves(box, unsure)
        if halves is None or len(outcomes) > 1 or (made >= FIRST_BOXES and not outcomes):
            return UNDECIDED
        boxes += halves
    if boxes or len(outcomes) != 1:
        return UNDECIDED
    return RISKY if outcomes == {RISKY} else CLEAR


def _is_open(part: CompiledPart, environment: Environment, unsure: list[str]) -> bool:
    safe = risky = False
    for outcome in sample_outcomes(lambda e: plain_outcome(part, e), environment, unsure):
        risky |= outcome == RISKY
        safe |= outcome in (CLEAR, NOT_APPLICABLE)
        if risky and safe:
            return True
    return False


def sample_outcomes(judge: Callable[[Environment], str], environment: Environment, ids: list[str]) -> Iterator[str]:
    """Outcomes at a handful of points of some inputs: all low, all high, and mixed ones."""
    choices = [list(points_of(environment.values[id])) for id in ids]
    for stride in range(SAMPLES):
        chosen = {
            id: values[(stride * (index + 1)) % len(values)] for index, (id, values) in enumerate(zip(ids, choices, strict=True))
        }
        yield judge(environment.with_values(chosen))


def _halves(box: Environment, ids: list[str]) -> list[Environment] | None:
    """The box cut in two along an open input: states, then words, then the widest number; None where nothing can be cut."""
    widest, width = "", 0.0
    for id in ids:
        value = box.values[id]
        states = [state for state in (SET, OFF, UNSET) if value.presence & state]
        if not value.words and len(states) > 1:
            return [box.with_values({id: value._replace(presence=state)}) for state in states]
        if len(value.words) > 1:
            words = sorted(value.words)
            parts = (words[: len(words) // 2], words[len(words) // 2 :])
            return [box.with_values({id: word_value(frozenset(part), value.known)}) for part in parts]
        if not value.words and value.low < value.high:
            span = (value.high - value.low) / (1 + abs(value.low) + abs(value.high))
            if span > width:
                widest, width = id, span
    return _halved(box, widest) if widest else None


def _halved(box: Environment, id: str) -> list[Environment] | None:
    value = box.values[id]
    middle = (value.low + value.high) / 2
    if not value.low < middle < value.high:
        return None
    return [box.with_values({id: value._replace(high=middle)}), box.with_values({id: value._replace(low=middle)})]


def _worst(rule: CompiledRule, outcomes: list[str], wanted: str) -> int:
    worst = -1
    for index, outcome in enumerate(outcomes):
        if outcome == wanted and (worst < 0 or SEVERITY[rule.parts[index].level] > SEVERITY[rule.parts[worst].level]):
            worst = index
    return worst
