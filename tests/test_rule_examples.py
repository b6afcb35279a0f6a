"""Every example of every rule is a test: verdict, level, text and remedy are compared."""

from __future__ import annotations

from typing import Any

import pytest

from cfglint.judge.examples import difference, example_verdict, run_rule_examples
from cfglint.judge.judge import Judge
from cfglint.pack.load import shipped_texts
from cfglint.pack.rule import Pack

CASES = [(rule, example) for rule, table in shipped_texts()["rules"].items() for example in table["example"]]


@pytest.mark.parametrize(("rule", "example"), CASES, ids=[f"{rule}::{example['name']}" for rule, example in CASES])
def test_example(rule: str, example: dict[str, Any], judge: Judge) -> None:
    assert not difference(example_verdict(judge, rule, example), example)


def test_every_part_has_its_witnesses(judge: Judge, texts: dict[str, Any]) -> None:
    failures = [f for rule in judge.pack.rules for f in run_rule_examples(judge, rule, texts["rules"][rule]["example"])]
    assert not failures


def test_example_names_are_unique_within_a_rule(pack: Pack, texts: dict[str, Any]) -> None:
    for rule in pack.rules:
        names = [example["name"] for example in texts["rules"][rule]["example"]]
        assert len(names) == len(set(names)), rule
