"""Laws 3, 4, 8 and 10 on the shipped pack: what is decided stays decided, remedies clear, nothing known is left open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfglint.formula.errors import CompileError
from cfglint.formula.evaluate import Environment, compile_number
from cfglint.judge.decide import decide, plain_outcome
from cfglint.judge.environment import CERTAIN, Environments
from cfglint.judge.examples import example_setup
from cfglint.judge.judge import Case, Judge, severity_of, shown_environment
from cfglint.judge.remedy import Remedies
from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY, UNDECIDED, Change
from cfglint.pack.rule import CompiledRule, Pack
from cfglint.quantity.value import Value
from cfglint.setup.airframe import KINDS, family_of, phases_of, row_order
from tests.properties.setups import exact_values, narrowed, partial_values

SAFE = (CLEAR, NOT_APPLICABLE)
FEW = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def compiled_rules(pack: Pack) -> list[CompiledRule]:
    """Every rule for one kind of each family, in each phase, with its first binding."""
    rules = []
    for rule in pack.rules.values():
        for kind in ("quadrotor", "tailed", "lift_and_cruise"):
            for phase in phases_of(family_of(kind), rule.airframes, rule.hybrids):
                binding = {v: members[min(i, len(members) - 1)] for i, (v, (_, members)) in enumerate(rule.families.items())}
                rules.append(rule.compiled(row_order(kind, phase), binding))
    return rules


@pytest.fixture(scope="module")
def rules(pack: Pack) -> list[CompiledRule]:
    return compiled_rules(pack)


def values_for(pack: Pack, ids: tuple[str, ...], data: st.DataObject, exact: bool) -> dict[str, Value]:
    values = {}
    for id in ids:
        definition = pack.catalogue[id.removeprefix("measured:")]
        values[id] = data.draw(exact_values(definition) if exact else partial_values(definition))
    return values


@FEW
@given(data=st.data())
def test_filling_in_an_unknown_never_turns_a_verdict(pack: Pack, rules: list[CompiledRule], data: st.DataObject) -> None:
    rule = data.draw(st.sampled_from(rules))
    wide = values_for(pack, rule.inputs, data, exact=False)
    narrow = dict(wide)
    for id in data.draw(st.sets(st.sampled_from(sorted(wide)))) if wide else ():
        kind = pack.catalogue[id.removeprefix("measured:")].kind
        narrow[id] = narrowed(wide[id], data.draw, whole=kind == "count")
    joins = asks_whether_known(pack, rule)
    for part in rule.parts:
        before = plain_outcome(part, Environment(wide, {}, frozenset()))
        after = plain_outcome(part, Environment(narrow, {}, frozenset()))
        if before == RISKY:
            assert after == RISKY or joins
        if before in SAFE and not joins:
            assert after in SAFE


def asks_whether_known(pack: Pack, rule: CompiledRule) -> bool:
    """Whether a part may join once a fact is known: some condition asks `is known`."""

    def within(tree: Any) -> bool:
        if not isinstance(tree, list):
            return False
        return (tree[:1] == ["state"] and tree[2] == "known") or any(within(part) for part in tree)

    stored = pack.rules[rule.id].stored
    trees = [part[key] for part in stored["parts"] for key in ("when", "require")]
    return any(within(tree) for tree in [*trees, *stored["lets"].values(), *pack.conditions.values()])


@FEW
@given(data=st.data())
def test_with_everything_known_nothing_is_undecided(pack: Pack, rules: list[CompiledRule], data: st.DataObject) -> None:
    rule = data.draw(st.sampled_from([r for r in rules if not has_spread(pack, r)]))
    values = values_for(pack, rule.inputs, data, exact=True)
    defaults = {id: pack.catalogue[id].unseen() for id in values if id in pack.catalogue}
    defaults = {id: data.draw(exact_values(pack.catalogue[id])) for id in defaults}
    environment = Environment(values, defaults, frozenset())
    decision = decide(rule, environment, refine=False)
    assert decision.outcome != UNDECIDED or meets_no_value(rule, environment, pack), (rule.id, values)


def has_spread(pack: Pack, rule: CompiledRule) -> bool:
    """Whether a model spread, a range in the rule itself, can leave it open although everything is known."""

    def within(tree: Any, seen: set[tuple[str, str]]) -> bool:
        if not isinstance(tree, list):
            return False
        if tree and tree[0] in ("let", "quantity", "condition", "threshold") and (tree[0], tree[1]) not in seen:
            seen.add((tree[0], tree[1]))
            if within(rule.scope.named.get((tree[0], tree[1])), seen):
                return True
        return (bool(tree) and tree[0] == "spread") or any(within(part, seen) for part in tree)

    stored = pack.rules[rule.id].stored
    return any(within(part[key], set()) for part in stored["parts"] for key in ("when", "require"))


def meets_no_value(rule: CompiledRule, environment: Environment, pack: Pack) -> bool:
    """Whether some operation has no value at these points: its operands are exact, its result is not."""
    stored = pack.rules[rule.id].stored
    roots = [part[key] for part in stored["parts"] for key in ("when", "require") if part[key] is not None]
    return any(_no_value(tree, rule, environment) for tree in [*roots, *rule.scope.named.values()])


def _no_value(tree: Any, rule: CompiledRule, environment: Environment) -> bool:
    if not isinstance(tree, list) or not tree:
        return False
    if tree[0] in ("divide", "power", "call", "add", "subtract", "multiply"):
        operands = [part for part in tree[1:] if isinstance(part, list)]
        try:
            exact = all(compile_number(part, rule.scope)(environment).is_exact for part in operands)
            if exact and not compile_number(tree, rule.scope)(environment).is_exact:
                return True
        except CompileError:
            return False
    return any(_no_value(part, rule, environment) for part in tree if isinstance(part, list))


def risky_examples(pack: Pack, texts: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Of each rule the first risky examples of different levels and families: the others repeat them."""
    for id in pack.rules:
        seen: set[tuple[Any, ...]] = set()
        for example in texts["rules"][id]["example"]:
            key = (example["level"], example["airframe"])
            if example["expect"] == RISKY and key not in seen:
                seen.add(key)
                yield id, example


def test_a_shown_remedy_clears_its_finding_and_says_what_gets_worse(pack: Pack, texts: dict[str, Any], judge: Judge) -> None:
    tried = 0
    for id, example in risky_examples(pack, texts):
        setup = example_setup(pack, example)
        environments = Environments(setup)
        risky = [c for c in judge.rule_cases(id, setup, environments) if c.outcome == RISKY]
        for case in risky[:2]:
            offered = case.compiled.parts[case.decision.part].remedy
            cases = judge.cases(setup, environments, offered.change) if offered and offered.change else []
            remedies = Remedies(judge, setup, environments, cases)
            remedy = remedies.remedy(case)
            if remedy is None or remedy.change is None:
                continue
            tried += 1
            _check_change(pack, case, environments, remedy.change.setting, remedy.change.raw)
            _check_others(judge, cases, case, environments, remedy.change)
    assert tried > 20


def _value(pack: Pack, setting: str, raw: str) -> Value:
    from cfglint.setup.convert import convert

    value = convert(raw, pack.catalogue[setting]).value
    assert value is not None, (setting, raw)
    return value


def _check_change(pack: Pack, case: Case, environments: Environments, setting: str, raw: str) -> None:
    environment = shown_environment(case, environments).with_values({setting: _value(pack, setting, raw)})
    assert decide(case.compiled, environment).outcome in SAFE, (case.rule.id, setting, raw)


def _check_others(judge: Judge, cases: list[Case], cleared: Case, environments: Environments, change: Change) -> None:
    setting = change.setting
    for case in cases:
        if setting in case.compiled.inputs and case.rule.id != cleared.rule.id:
            after = judge.decided_with(case, environments, {setting: _value(judge.pack, setting, change.raw)})
            assert severity_of(after) <= severity_of(case) or case.rule.id in change.worse


def test_removing_a_line_never_makes_a_verdict_safe(pack: Pack, texts: dict[str, Any], judge: Judge) -> None:
    """Law 8: with nothing documented about absence, a line that is gone leaves risk or doubt where there was some."""
    for id in pack.rules:
        candidates = [e for e in texts["rules"][id]["example"] if not e["full"] and e["expect"] in (RISKY, UNDECIDED)]
        for example in candidates[::4]:
            for gone in list(example["settings"])[:6]:
                fewer = {**example, "settings": {k: v for k, v in example["settings"].items() if k != gone}}
                setup = example_setup(pack, fewer)
                cases = judge.rule_cases(id, setup, Environments(setup))
                outright = [c for c in cases if c.degree == CERTAIN]
                safe = outright and all(c.outcome in SAFE for c in cases)
                assert pack.rules[id].families or not safe, (id, example["name"], gone)


def test_every_kind_has_rows_in_every_rule(pack: Pack) -> None:
    for rule in pack.rules.values():
        for kind in sorted(KINDS):
            for phase in phases_of(family_of(kind), rule.airframes, rule.hybrids):
                binding = {v: members[min(i, len(members) - 1)] for i, (v, (_, members)) in enumerate(rule.families.items())}
                assert rule.compiled(row_order(kind, phase), binding).parts
