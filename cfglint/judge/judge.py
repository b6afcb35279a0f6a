"""All rules of a pack on one Setup."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from cfglint.formula.evaluate import Environment
from cfglint.judge.decide import Decision, decide
from cfglint.judge.environment import ASSUMING, CERTAIN, GUESSING, Environments
from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY, SEVERITY, UNDECIDED
from cfglint.pack.rule import CompiledRule, Pack, Rule
from cfglint.quantity.truth import FALSE
from cfglint.quantity.value import SET, Value
from cfglint.setup.airframe import KINDS, family_of, phases_of, row_order
from cfglint.setup.setting import UNSEEN, Setup

MOST_INSTANCES = 2000


class Case(NamedTuple):
    """One rule decided in one phase for one binding: what a verdict is made of, before it is told in words.

    `degree` is what the verdict needs; `shown` the degree its numbers are shown at: with the assumptions, where they change
    nothing about it but make its ranges ones that a pilot can use.
    """

    rule: Rule
    compiled: CompiledRule
    family: str
    phase: str
    degree: int
    decision: Decision
    shown: int = CERTAIN
    unseen_members: str = ""

    @property
    def outcome(self) -> str:
        """The outcome as it may be reported: a clear verdict that rests on a guess is undecided."""
        if self.degree == GUESSING and self.decision.outcome in (CLEAR, NOT_APPLICABLE):
            return UNDECIDED
        return self.decision.outcome


class Judge:
    """A pack, ready to judge setups. Closures are made once for each row order and binding and kept."""

    def __init__(self, pack: Pack) -> None:
        self.pack = pack
        self._members: tuple[Setup, dict[str, tuple[list[str], bool]]] | None = None
        self._compiled: dict[tuple[str, tuple[str, ...], tuple[str, ...]], CompiledRule] = {}

    def cases(self, setup: Setup, environments: Environments, reading: str = "") -> list[Case]:
        """Every rule that may apply to the setup, decided; rules that speak of another airframe are left out.

        `reading`: only rules that read this setting.
        """
        kinds = sorted(setup.kinds or KINDS)
        readers = self.pack.readers(reading) if reading else self.pack.rules.keys()
        chosen = [rule for rule in self.pack.rules.values() if rule.id in readers]
        return [case for rule in chosen for case in self._rule_cases(rule, kinds, setup, environments)]

    def rule_cases(self, rule: str, setup: Setup, environments: Environments) -> list[Case]:
        """One rule by its id, decided on the setup."""
        return list(self._rule_cases(self.pack.rules[rule], sorted(setup.kinds or KINDS), setup, environments))

    def _rule_cases(self, rule: Rule, kinds: list[str], setup: Setup, environments: Environments) -> Iterator[Case]:
        by_shape: dict[tuple[str, str, tuple[str, ...]], list[Case]] = {}
        for kind in _distinct(kinds, rule):
            family = family_of(kind)
            for phase in phases_of(family, rule.airframes, rule.hybrids):
                for case in self._instances(rule, kind, family, phase, setup, environments):
                    members = tuple(case.compiled.binding.values())
                    by_shape.setdefault((family if len(kinds) == 1 else "", phase, members), []).append(case)
        for cases in by_shape.values():
            yield cases[0] if len(cases) == 1 else agreed(cases)

    def _instances(
        self, rule: Rule, kind: str, family: str, phase: str, setup: Setup, environments: Environments
    ) -> Iterator[Case]:
        rows = row_order(kind, phase)
        bindings, unseen = self._bindings(rule, setup)
        for binding in bindings:
            compiled = self._compile(rule, rows, binding)
            yield self.decided(rule, compiled, family, phase, environments)
        if unseen:
            compiled = self._compile(rule, rows, _first_binding(rule))
            doubt = Decision(UNDECIDED, -1, doubt=0)
            yield Case(rule, compiled, family, phase, CERTAIN, doubt, CERTAIN, unseen)

    def _bindings(self, rule: Rule, setup: Setup) -> tuple[list[dict[str, str]], str]:
        """The bindings of a rule's variables to members that may exist, and the family of those never seen ("" if none).

        Two variables of one family are two different members, each pair once.
        """
        if not rule.families:
            return [{}], ""
        stem, members = next(iter(rule.families.values()))
        if self._members is None or self._members[0] is not setup:
            self._members = (setup, {})
        if stem not in self._members[1]:
            seen = [m for m in members if _seen(stem, m, setup)]
            self._members[1][stem] = (seen, any(_unseen(stem, m, setup) for m in members))
        seen, unseen = self._members[1][stem]
        variables = list(rule.families)
        chosen = itertools.combinations(seen, 2) if len(variables) == 2 else ((m,) for m in seen)
        bindings = [dict(zip(variables, each, strict=True)) for each in itertools.islice(chosen, MOST_INSTANCES)]
        return bindings, f"{stem}.*" if unseen else ""

    def decided(self, rule: Rule, compiled: CompiledRule, family: str, phase: str, environments: Environments) -> Case:
        """Decide with what was stated; only if that is not enough with assumptions, and then with guesses."""
        decision, degree = self._by_degrees(compiled, family, phase, environments, {})
        shown = degree
        if degree == CERTAIN and decision.outcome == RISKY and environments.has(compiled.inputs, ASSUMING):
            same = decide(compiled, environments.environment(family, phase, ASSUMING), refine=False)
            shown = ASSUMING if same.outcome == RISKY else CERTAIN
        return Case(rule, compiled, family, phase, degree, decision, shown)

    def decided_with(self, case: Case, environments: Environments, changed: Mapping[str, Value]) -> Case:
        """The same case with some values changed, judged from the first degree on."""
        decision, degree = self._by_degrees(case.compiled, case.family, case.phase, environments, changed, refine=False)
        if decision.outcome == UNDECIDED and case.decision.outcome != UNDECIDED:
            decision, degree = self._by_degrees(case.compiled, case.family, case.phase, environments, changed)
        return case._replace(decision=decision, degree=degree, shown=degree)

    def _by_degrees(
        self,
        compiled: CompiledRule,
        family: str,
        phase: str,
        environments: Environments,
        changed: Mapping[str, Value],
        refine: bool = True,
    ) -> tuple[Decision, int]:
        degree, decision = CERTAIN, Decision(UNDECIDED, -1)
        for further in (CERTAIN, ASSUMING, GUESSING):
            if decision.outcome == UNDECIDED and (further == CERTAIN or environments.has(compiled.inputs, further)):
                environment = environments.environment(family, phase, further)
                decision = decide(compiled, environment.with_values(changed) if changed else environment, refine)
                degree = further
        return decision, degree

    def _compile(self, rule: Rule, rows: tuple[str, ...], binding: Mapping[str, str]) -> CompiledRule:
        key = (rule.id, rows, tuple(binding.values()))
        known = self._compiled.get(key)
        if known is None:
            known = self._compiled[key] = rule.compiled(rows, binding)
        return known


def agreed(cases: list[Case]) -> Case:
    """One case for a craft that may be of several kinds: decided only if all of them agree."""
    outcomes = {case.decision.outcome for case in cases}
    if outcomes <= {CLEAR, NOT_APPLICABLE} or len(outcomes) == 1:
        return max(cases, key=_weight)
    doubtful = max(cases, key=_weight)
    return doubtful._replace(decision=Decision(UNDECIDED, -1, doubt=max(0, doubtful.decision.part)))


def severity_of(case: Case) -> int:
    """How bad a case is: nothing 0, undecided 1, then the levels of what is risky."""
    if case.decision.outcome == RISKY:
        return 1 + SEVERITY[case.compiled.parts[case.decision.part].level]
    return 1 if case.decision.outcome == UNDECIDED else 0


def shown_environment(case: Case, environments: Environments) -> Environment:
    """The environment whose numbers are shown, and in which remedies are sought."""
    return environments.environment(case.family, case.phase, max(case.shown, case.degree))


def _weight(case: Case) -> int:
    order = {NOT_APPLICABLE: 0, CLEAR: 1, UNDECIDED: 2, RISKY: 3}
    return order[case.decision.outcome] * 10 + severity_of(case)


def _distinct(kinds: list[str], rule: Rule) -> list[str]:
    """One kind for each set of rows that the rule can tell apart; all others would repeat the same judgement."""
    if len(kinds) == 1:
        return kinds
    rows = {row for table in rule.stored["thresholds"].values() for row in table.get("airframe", ())}
    rows |= {row for part in rule.stored["parts"] for row in part["level"]}
    chosen: dict[tuple[str, str], str] = {}
    for kind in kinds:
        chosen.setdefault((family_of(kind), kind if kind in rows else ""), kind)
    return list(chosen.values())


def _seen(stem: str, member: str, setup: Setup) -> bool:
    prefix = f"{stem}.{member}."
    return any(
        s.origin != UNSEEN and s.value.has(SET) is not FALSE for id in _family_ids(prefix, setup) if (s := setup.settings[id])
    )


def _unseen(stem: str, member: str, setup: Setup) -> bool:
    return all(setup.settings[id].origin == UNSEEN for id in _family_ids(f"{stem}.{member}.", setup))


def _family_ids(prefix: str, setup: Setup) -> list[str]:
    return [prefix + rest for rest in _RESTS if prefix + rest in setup.settings]


_RESTS = ("channel", "from", "to", "p", "i", "d", "low", "centre", "high", "reversed")


def _first_binding(rule: Rule) -> dict[str, str]:
    binding = {}
    for index, (variable, (_, members)) in enumerate(rule.families.items()):
        binding[variable] = members[min(index, len(members) - 1)]
    return binding
