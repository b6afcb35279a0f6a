"""Remedies: one setting's nearest value that clears a finding, searched in the dump's own steps and judged again."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from cfglint.judge.decide import plain_outcome
from cfglint.judge.environment import Environments
from cfglint.judge.judge import Case, Judge, severity_of, shown_environment
from cfglint.judge.tell import shown_value
from cfglint.judge.verdict import CLEAR, ERROR, NOT_APPLICABLE, SEVERITY, Change, RemedyFound
from cfglint.quantity.value import SET, Value, word_value
from cfglint.setup.setting import Setting, Setup
from cfglint.setup.write_back import Grid, exact_value, grid_of, is_written, line_with, shown_step, word_raw

SAFE = (CLEAR, NOT_APPLICABLE)
MOST_TRIED = 400
MOST_OFFERED = 20
NEAR_ONES = 8
_NOTHING_CLEARS = 99
_WORST = 1 + SEVERITY[ERROR]


class _Candidate(NamedTuple):
    value: Value
    raw: str
    steps: int


class Remedies:
    """Finds remedies for one setup; all cases that were decided are at hand to see which of them would get worse."""

    def __init__(self, judge: Judge, setup: Setup, environments: Environments, cases: Iterable[Case]) -> None:
        self.judge, self.setup, self.environments = judge, setup, environments
        self.cases = list(cases)
        self._readers: dict[str, list[Case]] = {}

    def remedy(self, case: Case) -> RemedyFound | None:
        """The remedy of a risky case; None where the rule offers none."""
        part = case.compiled.parts[case.decision.part]
        if part.remedy is None:
            return None
        if part.remedy.say:
            return RemedyFound(say=part.remedy.say)
        id = part.remedy.change
        best: _Candidate | None = None
        worse: tuple[str, ...] = ()
        least = _NOTHING_CLEARS
        for candidate in self._candidates(case, id, part.remedy.prefer):
            found, harm = self._worse(case, id, candidate.value)
            if harm < least:
                best, worse, least = candidate, found, harm
            if not harm:
                break
        if best is None:
            return RemedyFound(say=f"no value of {self._name(id)} alone clears it")
        return RemedyFound(self._change(id, best, worse))

    def _candidates(self, case: Case, id: str, prefer: tuple[str, ...]) -> Iterable[_Candidate]:
        definition, setting = self.setup.catalogue[id], self.setup.settings[id]
        if not definition.is_number:
            return self._words(case, id, list(prefer or definition.words))
        grid = grid_of(definition, setting)
        return self._numbers(case, id, grid) if grid is not None else ()

    def _words(self, case: Case, id: str, words: list[str]) -> Iterable[_Candidate]:
        setting, definition = self.setup.settings[id], self.setup.catalogue[id]
        for word in words:
            raw = word_raw(definition, setting, word)
            value = word_value(frozenset((word,)))
            if raw is not None and self._clears(case, id, value):
                yield _Candidate(value, raw, 1)

    def _numbers(self, case: Case, id: str, grid: Grid) -> Iterable[_Candidate]:
        """Positions that clear the case, the nearest first: up and down, then farther out in growing strides."""
        current = shown_environment(case, self.environments).values[id]
        start = grid.nearest(current.low if current.presence == SET else grid.base(grid.lowest))
        ways = [self._nearest(case, id, grid, start, direction) for direction in (1, -1)]
        found = sorted((abs(p - start), p, d) for p, d in zip(ways, (1, -1), strict=True) if p is not None)
        for _, position, direction in found:
            stride = 1
            for offered in range(MOST_OFFERED):
                if not grid.lowest <= position <= grid.highest:
                    break
                value = exact_value(grid.base(position))
                if self._clears(case, id, value):
                    yield _Candidate(value, grid.raw(position), abs(position - start))
                position += direction * stride
                stride *= 1 if offered < NEAR_ONES else 2

    def _nearest(self, case: Case, id: str, grid: Grid, start: int, direction: int) -> int | None:
        """The nearest position in a direction that clears the case.

        Sound by inclusion: the nearest from which everything to the end of the bounds clears it; if its neighbour clears it
        too, or there is no such position, the first that does, found in growing strides and then by halving.
        """
        end = grid.highest if direction > 0 else grid.lowest
        if (end - start) * direction <= 0:
            return None

        def whole_rest(position: int) -> bool:
            ends = sorted((grid.base(position), grid.base(end)))
            return self._clears(case, id, Value(SET, ends[0], ends[1], frozenset(), True))

        def alone(position: int) -> bool:
            return self._clears(case, id, exact_value(grid.base(position)))

        if whole_rest(end):
            position = _bisected(start, end, whole_rest)
            neighbour = position - direction
            if neighbour == start or not alone(neighbour):
                return position
        return _first_found(start, end, direction, alone)

    def _clears(self, case: Case, id: str, value: Value) -> bool:
        """Whether the rule as a whole is certainly safe with a value, in the environment it was decided in."""
        environment = shown_environment(case, self.environments).with_values({id: value})
        outcomes = [plain_outcome(part, environment) for part in case.compiled.parts]
        return all(outcome in SAFE for outcome in outcomes)

    def _worse(self, case: Case, id: str, value: Value) -> tuple[tuple[str, ...], int]:
        """Rules that read the setting and would be judged worse with the new value, and how bad the worst of them gets."""
        worse: list[str] = []
        harm = 0
        for other in self._reading(id):
            before = severity_of(other)
            if other.rule.id == case.rule.id or before == _WORST:
                continue
            after = self.judge.decided_with(other, self.environments, {id: value})
            if severity_of(after) > before:
                worse.append(other.rule.id)
                harm = max(harm, severity_of(after))
        return tuple(dict.fromkeys(worse)), harm

    def _reading(self, id: str) -> list[Case]:
        """The cases of rules that read a setting."""
        if id not in self._readers:
            rules = self.judge.pack.readers(id)
            self._readers[id] = [case for case in self.cases if case.rule.id in rules and id in case.compiled.inputs]
        return self._readers[id]

    def _change(self, id: str, candidate: _Candidate, worse: tuple[str, ...]) -> Change:
        definition, setting = self.setup.catalogue[id], self.setup.settings[id]
        shown = shown_value(definition, candidate.value)
        margin = ""
        if definition.is_number and setting.value.presence == SET and setting.value.low == setting.value.high:
            margin = shown_step(definition, abs(candidate.value.low - setting.value.low))
        line = line_with(setting, candidate.raw, layout_line(self.setup))
        place = setting.places[-1] if is_written(setting) else None
        return Change(id, shown, line, candidate.raw, place, margin, worse, candidate.steps)

    def _name(self, id: str) -> str:
        return key_of(self.setup.settings[id])


def key_of(setting: Setting) -> str:
    """The name of a setting as its dump has it."""
    return setting.rule.key.rpartition("/")[2] if setting.rule else setting.id


def layout_line(setup: Setup) -> str:
    """How a new line of this dump is written."""
    layout = setup.dump.layout
    separator = {"=": " = ", ":": ": ", ":=": " := ", ",": ",", "tab": "\t", "blank": " "}[layout.separator]
    lead = layout.lead_words[0] + " " if layout.lead_words else ""
    return (lead + "{key}" + separator + "{value}").replace("\t", " ")


def _bisected(start: int, end: int, holds: Callable[[int], bool]) -> int:
    """The position nearest to the start that holds, given that the end does and that what holds stays so towards the end."""
    outside, inside = start, end
    while abs(inside - outside) > 1:
        middle = (inside + outside) // 2
        if holds(middle):
            inside = middle
        else:
            outside = middle
    return inside


def _first_found(start: int, end: int, direction: int, holds: Callable[[int], bool]) -> int | None:
    stride, before, position = 1, start, start + direction
    for _ in range(MOST_TRIED):
        if (end - position) * direction < 0:
            position = end
        if holds(position):
            return _bisected(before, position, holds)
        if position == end:
            return None
        before, position = position, position + direction * stride
        stride *= 2
    return None
