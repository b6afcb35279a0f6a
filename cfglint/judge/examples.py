"""The examples that rules carry, run as tests: verdict, level and text are compared, and each part must be witnessed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from cfglint.judge.environment import Environments
from cfglint.judge.judge import Case, Judge
from cfglint.judge.remedy import Remedies
from cfglint.judge.tell import Teller
from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY, SEVERITY, UNDECIDED, Verdict
from cfglint.pack.rule import Pack
from cfglint.quantity.value import Value
from cfglint.setup.airframe import kinds_of
from cfglint.setup.catalogue import Definition
from cfglint.setup.convert import convert
from cfglint.setup.name_map import identity_map
from cfglint.setup.setting import (
    CRAFT,
    DUMP,
    NO_FACTS,
    SITE,
    UNSEEN,
    UNSET_ORIGIN,
    Coverage,
    Place,
    Record,
    Setting,
    Setup,
)
from cfglint.text.dump import read
from cfglint.text.nearest import nearest
from cfglint.text.source import Span


class Failure(NamedTuple):
    """An example that does not come out as it says, or a witness that is missing."""

    rule: str
    example: str
    message: str


class ExampleError(ValueError):
    """An example that can't be set up: an unknown name, an impossible value."""


def run_examples(pack: Pack, texts: Mapping[str, Any]) -> Iterator[Failure]:
    """Run the examples of every rule of a pack; yields what fails."""
    judge = Judge(pack)
    for id in pack.rules:
        yield from run_rule_examples(judge, id, texts["rules"][id]["example"])


def run_rule_examples(judge: Judge, rule: str, examples: list[Mapping[str, Any]]) -> Iterator[Failure]:
    """Run the examples of one rule, and look for the witnesses: each part risky once, the rule clear once."""
    risky_parts: set[int] = set()
    outcomes: set[str] = set()
    for example in examples:
        try:
            verdict = example_verdict(judge, rule, example)
        except ExampleError as error:
            yield Failure(rule, example["name"], str(error))
            continue
        outcomes.add(verdict.outcome)
        if verdict.outcome == RISKY:
            risky_parts.add(verdict.part)
        message = difference(verdict, example)
        if message:
            yield Failure(rule, example["name"], message)
    for index in range(len(judge.pack.rules[rule].stored["parts"])):
        if index not in risky_parts:
            yield Failure(rule, "", f"no example is risky by part {index + 1}")
    if CLEAR not in outcomes:
        yield Failure(rule, "", "no example is clear")


def example_verdict(judge: Judge, rule: str, example: Mapping[str, Any]) -> Verdict:
    """The worst verdict of one rule on the setup of an example. Raises ExampleError when it can't be set up."""
    setup = example_setup(judge.pack, example)
    environments = Environments(setup)
    cases = judge.rule_cases(rule, setup, environments)
    if not cases:
        return Verdict(rule, NOT_APPLICABLE)
    worst = max(cases, key=_badness)
    verdict = Teller(setup, environments).verdict(worst)
    if verdict.outcome == RISKY and example.get("remedy") is not None:
        part = worst.compiled.parts[worst.decision.part]
        readers = judge.cases(setup, environments, part.remedy.change) if part.remedy and part.remedy.change else []
        verdict = verdict._replace(remedy=Remedies(judge, setup, environments, readers).remedy(worst))
    return verdict


def difference(verdict: Verdict, example: Mapping[str, Any]) -> str:
    """How a verdict differs from what the example expects; empty where it doesn't."""
    expected = example["expect"]
    if verdict.outcome != expected:
        needs = f" (needs {', '.join(verdict.needs)})" if verdict.needs else ""
        return f"expected {expected}, got {verdict.outcome}{needs}{': ' + verdict.message if verdict.message else ''}"
    if example.get("level") and verdict.level != example["level"]:
        return f"expected level {example['level']}, got {verdict.level or 'none'}: {verdict.message}"
    if example.get("says") and example["says"] not in verdict.message:
        return f"expected the words '{example['says']}', got '{verdict.message}'"
    wanted = example.get("remedy")
    if wanted is not None:
        change = verdict.remedy.change if verdict.remedy else None
        got = change.shown if change else (verdict.remedy.say if verdict.remedy else "nothing")
        if got != wanted:
            return f"expected the remedy '{wanted}', got '{got}'"
    return ""


def example_setup(pack: Pack, example: Mapping[str, Any]) -> Setup:
    """The Setup that an example describes. Raises ExampleError."""
    lines = "\n".join(f"{id} = {text}" for id, text in example.get("settings", {}).items())
    dump = read(lines.encode("utf-8", errors="surrogateescape"), "example", given={"separator": "="})
    settings = dict(_nothing_stated(pack, example.get("full", False)))
    _place_settings(pack, example, settings)
    for table, origin in (("craft", CRAFT), ("site", SITE)):
        for name, text in example.get(table, {}).items():
            id = f"{table}.{name}"
            settings[id] = Setting(
                id, _converted(pack, id, text), origin, (Place("craft.toml", 1, 1, f'{name} = "{text}"'),), text
            )
            stands_for = pack.catalogue[id].stands_for
            if stands_for:
                settings[stands_for] = settings[id]._replace(id=stands_for)
    for id in example.get("unset", ()):
        _known(pack, id)
        settings[id] = Setting(id, pack.catalogue[id].unset(), UNSET_ORIGIN)
    kinds = kinds_of(example["airframe"])
    if kinds is None:
        raise ExampleError(f"no airframe type is called '{example['airframe']}'")
    if len(kinds) == 1:
        settings["craft.kind"] = Setting("craft.kind", _converted(pack, "craft.kind", next(iter(kinds))), CRAFT)
    defaults = {id: _converted(pack, id, text) for id, text in example.get("defaults", {}).items()}
    measured = {id: _converted(pack, id, text) for id, text in example.get("measured", {}).items()}
    record = Record(frozenset(example.get("proven", ())), measured)
    return Setup(dump, identity_map(), pack.catalogue, settings, defaults, kinds, NO_FACTS, record, Coverage(), ())


_NOTHING: dict[tuple[bytes, int, bool], dict[str, Setting]] = {}


def _nothing_stated(pack: Pack, full: bool) -> dict[str, Setting]:
    """Every setting unseen, or unset where the example says that it is full; made once for a pack."""
    key = (pack.key, id(pack.catalogue), full)
    if key not in _NOTHING:
        _NOTHING.clear()
        for whole in (False, True):
            _NOTHING[*key[:2], whole] = {d.id: _unstated(d, whole) for d in pack.catalogue.values()}
    return _NOTHING[key]


def _unstated(definition: Definition, full: bool) -> Setting:
    if not definition.is_fact and (full or "@" in definition.id):
        return Setting(definition.id, definition.unset(), UNSET_ORIGIN)
    return Setting(definition.id, definition.unseen(), UNSEEN)


def _place_settings(pack: Pack, example: Mapping[str, Any], settings: dict[str, Setting]) -> None:
    offset = 0
    for number, (id, text) in enumerate(example.get("settings", {}).items(), 1):
        line = f"{id} = {text}"
        column = len(id) + 4
        place = Place("example", number, column, line, Span(offset + column - 1, offset + len(line)))
        value = pack.catalogue[_known(pack, id)].unset() if text == "unset" else _converted(pack, id, text)
        origin = UNSET_ORIGIN if text == "unset" else DUMP
        settings[id] = Setting(id, value, origin, () if text == "unset" else (place,), text, _step(pack, id, text))
        offset += len(line) + 1


def _converted(pack: Pack, id: str, text: str) -> Value:
    converted = convert(text, pack.catalogue[_known(pack, id)])
    if converted.value is None:
        raise ExampleError(f"{id} = {text}: {converted.wrong}; expected {converted.expected}")
    return converted.value


def _step(pack: Pack, id: str, text: str) -> float:
    return convert(text, pack.catalogue[id]).step


def _known(pack: Pack, id: str) -> str:
    if id not in pack.catalogue:
        near = nearest(id, pack.catalogue)
        raise ExampleError(f"no setting or fact is called '{id}'" + (f"; did you mean '{near}'?" if near else ""))
    return id


def _badness(case: Case) -> tuple[int, int]:
    order = {NOT_APPLICABLE: 0, CLEAR: 1, UNDECIDED: 2, RISKY: 3}
    level = SEVERITY[case.compiled.parts[case.decision.part].level] if case.outcome == RISKY else 0
    return order[case.outcome], level
