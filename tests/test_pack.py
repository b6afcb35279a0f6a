"""The pack as a whole: citations, conventions of messages, examples for every family, sources that are used."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from cfglint.pack.rule import Pack
from cfglint.report.rule_texts import cited_ids
from cfglint.setup.airframe import family_of, kinds_of
from tests.conftest import ROOT

FAMILY_NAMES = ("multirotor", "fixed-wing", "hybrid")


def families_judged(rule: dict[str, Any]) -> set[str]:
    """The families on which a rule has a say, hybrids in their phases included."""
    families = set(rule["airframes"])
    if rule["hybrids"] and families & {"multirotor", "fixed-wing"}:
        families.add("hybrid")
    return families


def family_of_example(example: dict[str, Any]) -> set[str]:
    return {family_of(kind) for kind in kinds_of(example["airframe"]) or ()}


def test_every_rule_cites_a_known_authority(texts: dict[str, Any]) -> None:
    for id, rule in texts["rules"].items():
        cited = cited_ids(rule)
        assert cited and all(source in texts["sources"] for source in cited), id


def test_every_source_is_cited_by_somebody(texts: dict[str, Any], pack: Pack) -> None:
    used = {source for rule in texts["rules"].values() for source in cited_ids(rule)}
    used |= {source for quantity in texts["quantities"].values() for way in quantity["way"] for source in way["basis"]}
    used |= {source for d in pack.catalogue.values() if d.assumed for source in d.assumed["basis"]}
    from cfglint.physics import DECLARATIONS

    used |= {source for declaration in DECLARATIONS.values() for source in declaration.source}
    tested = "".join(path.read_text(encoding="utf-8") for path in sorted((ROOT / "tests" / "outside").glob("*.py")))
    used |= set(re.findall(r"\b[A-Z]+-[0-9]+\b", tested))
    assert {id for id in texts["sources"] if id not in used} == set()


def test_every_rule_has_examples_for_every_family_it_judges(texts: dict[str, Any]) -> None:
    lacking = []
    for id, rule in texts["rules"].items():
        for family in families_judged(rule):
            outcomes = {e["expect"] for e in rule["example"] if family in family_of_example(e)}
            lacking += [f"{id}: no {o} example for {family}" for o in ("risky", "clear") if o not in outcomes]
        if "undecided" not in {e["expect"] for e in rule["example"]}:
            lacking.append(f"{id}: no undecided example")
    assert not lacking


def test_messages_follow_the_convention(texts: dict[str, Any]) -> None:
    for id, rule in texts["rules"].items():
        for text in [rule["title"], *(part["message"] for part in rule["part"])]:
            assert not text.endswith("."), (id, text)
            assert not re.match(r"[A-Z][a-z]", text), (id, text)
            assert len(text) <= 300, (id, text)


def test_every_rule_says_why_and_how_to_find_out(texts: dict[str, Any]) -> None:
    for id, rule in texts["rules"].items():
        assert len(rule["why"].split()) >= 20, id
        assert rule["find_out"], id


def test_every_part_offers_a_remedy(texts: dict[str, Any]) -> None:
    lacking = [f"{id}, part {n}" for id, r in texts["rules"].items() for n, part in enumerate(r["part"], 1) if not part["remedy"]]
    assert not lacking


def test_the_pack_is_plain_data(pack: Pack, texts: dict[str, Any]) -> None:
    stored = [rule.stored for rule in pack.rules.values()]
    assert json.loads(json.dumps(stored)) == stored
    assert json.loads(json.dumps(texts)) == texts


def test_rules_that_lead_are_not_led_in_a_circle(pack: Pack) -> None:
    for rule in pack.rules.values():
        seen, current = {rule.id}, rule.follows_from
        while current:
            assert current[0] not in seen, rule.id
            seen.add(current[0])
            current = pack.rules[current[0]].follows_from


@pytest.mark.parametrize("name", FAMILY_NAMES)
def test_each_family_has_rules_on_each_of_its_topics(name: str, pack: Pack) -> None:
    topics = {rule.id.split("/")[0] for rule in pack.rules.values() if name in families_judged(rule.stored)}
    assert {"link-loss", "return", "fence", "battery", "arming", "sensors", "switches"} <= topics
