"""The shipped cards as a whole, and what is said about a wrong card."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from cfglint.flights.card import Card, Cards
from cfglint.flights.card_file import asks_for_proof
from cfglint.flights.filled_card import fill_card
from cfglint.flights.load_cards import folder_cards, shipped_cards
from cfglint.flights.proofs import applicable_cards
from cfglint.judge.examples import example_setup
from cfglint.pack.rule import Pack
from cfglint.text.problem import Refused
from tests.flights.craft import example

GOOD = """\
title = "a card"
airframes = ["multirotor"]
place = "field"
step = 20
purpose = "to see."
procedure = ["Climb to {height}."]
expect = ["It climbs."]
cautions = ["It may fall."]
proves = ["hover.throttle"]
[limit.height]
formula = "2 * craft.largest_dimension"
words = "height"
basis = ["common practice"]
"""


@pytest.fixture(scope="module")
def cards(pack: Pack) -> Cards:
    return shipped_cards(pack)


def proofs_asked(tree: Any) -> set[str]:
    if isinstance(tree, dict):
        return set().union(*(proofs_asked(part) for part in tree.values()))
    if not isinstance(tree, list):
        return set()
    own = {tree[1]} if tree[:1] == ["state"] and tree[2:] == ["flight-proven"] else set()
    return own.union(*(proofs_asked(part) for part in tree))


def test_every_proof_that_a_rule_asks_for_is_given_by_a_card(pack: Pack, cards: Cards) -> None:
    proven = {id for card in cards.values() for id in card.proves}
    asked: set[str] = set()
    for rule in pack.rules.values():
        for id in proofs_asked(rule.stored):
            members = [m for stem, ms in rule.families.values() for m in ms if "{" in id]
            asked |= {re.sub(r"\{\w+\}", member, id) for member in members} or {id}
    assert len(asked) > 25
    assert not {id for id in asked if id in pack.catalogue} - proven


@pytest.mark.parametrize("airframe", ["quadrotor", "flying_wing", "lift_and_cruise"])
def test_no_card_waits_for_a_rule_that_only_later_cards_clear(pack: Pack, cards: Cards, airframe: str) -> None:
    setup = example_setup(pack, {"airframe": airframe})
    given: set[str] = set()
    for card in applicable_cards(cards, setup, pack).values():
        for rule in card.clear:
            if asks_for_proof(pack.rules[rule].stored):
                assert proofs_asked(pack.rules[rule].stored) <= given, (card.id, rule)
        given |= set(card.proves)


def ladder_of(pack: Pack, cards: Cards, airframe: str) -> dict[str, Card]:
    return applicable_cards(cards, example_setup(pack, {"airframe": airframe}), pack)


def test_a_hybrid_hovers_before_it_is_on_its_wing(pack: Pack, cards: Cards) -> None:
    order = list(ladder_of(pack, cards, "lift_and_cruise"))
    wanted = [
        "bench-surfaces",
        "range-check",
        "first-hover",
        "transition",
        "slow-flight",
        "altitude-hold",
        "position-hold",
    ]
    wanted += [
        "return-first",
        "return-moving",
        "link-loss-overhead",
        "link-loss-out",
        "low-battery",
        "repetition",
        "fence",
    ]
    assert [id for id in order if id in wanted] == wanted


@pytest.mark.parametrize("airframe", ["quadrotor", "tailed", "tilt_rotor"])
def test_every_card_rests_on_cards_of_its_own_craft_that_come_first(pack: Pack, cards: Cards, airframe: str) -> None:
    ladder = ladder_of(pack, cards, airframe)
    order = list(ladder)
    for id, card in ladder.items():
        assert all(under in ladder and order.index(under) < order.index(id) for under in card.after)
        if card.place == "field" and id != "range-check":
            assert card.after


def test_a_craft_without_positioning_has_no_return_to_fly(pack: Pack, cards: Cards) -> None:
    setup = example_setup(pack, {"airframe": "quadrotor", "settings": {"gnss.enabled": "off"}, "full": True})
    chosen = applicable_cards(cards, setup, pack)
    assert "first-hover" in chosen
    assert not {"position-hold", "return-first", "return-moving"} & chosen.keys()
    assert "first-hover" in chosen["link-loss-overhead"].after


@pytest.mark.parametrize(
    ("name", "map_name"),
    [("thimble", "oxlip"), ("cartwheel", "pennywort"), ("sickle", "pennywort"), ("washboard", "oxlip")],
)
def test_on_a_craft_that_is_known_every_figure_is_worked_out(name: str, map_name: str) -> None:
    work = example(name, map_name)
    for card in work.cards.values():
        filled = fill_card(card, work.setup, work.pack)
        assert all(limit.shown for limit in filled.limits), (card.id, [li for li in filled.limits if not li.shown])
        texts = (filled.purpose, *filled.conditions, *filled.procedure, *filled.expect, *filled.note, *filled.cautions)
        assert not [text for text in texts if "{" in text]


def test_figures_are_the_arithmetic_of_the_craft() -> None:
    work = example("cartwheel", "pennywort")
    shown = {li.text.split(":")[0]: li.shown for li in fill_card(work.cards["position-hold"], work.setup, work.pack).limits}
    assert shown["height of the first hold"] == "3.5 m"  # twice 1.7 m, upwards to half a metre
    assert shown["free all round"] == "34 m"  # twenty times 1.7 m
    assert shown["farther from the spot than this, or a second circle"] == "6 m"  # twice the tolerance of 3 m
    assert shown["time you have to react if it leaves as fast as it may"] == "0.6 s"  # 6 m at 10 m/s


def test_what_is_not_known_is_said_and_never_guessed(pack: Pack, cards: Cards) -> None:
    setup = example_setup(pack, {"airframe": "quadrotor"})
    filled = fill_card(cards["first-hover"], setup, pack)
    by_words = {limit.text: limit for limit in filled.limits}
    hover = by_words["throttle at which thrust and weight let it hover"]
    assert hover.shown == ""
    assert "craft.mass" in hover.needs
    assert by_words["wind at most"].shown == "2 m/s"  # the smaller of both, as the mass is not known


def written(folder: Path, **cards: str) -> str:
    for name, text in cards.items():
        (folder / f"{name}.toml").write_text(text)
    return str(folder)


@pytest.mark.parametrize(
    ("change", "line", "says"),
    [
        (("hover.throttle", "hover.throtle"), 9, "did you mean 'hover.throttle'?"),
        (("largest_dimension", "largest_size"), 11, "no name is called"),
        (("2 * craft", "2 s + craft"), 11, "can't be added"),
        (("common practice", "common sense"), 13, "no source is called"),
        (("{height}", "{hight}"), 6, "did you mean 'height'?"),
        (("step = 20", "stop = 20"), 4, "nothing here is called 'stop'"),
        (("multirotor", "helicopter"), 2, "no airframe family"),
        (('"hover.throttle"]', '"hover.throttle"]\nclear = ["lift/no-such"]'), 10, "no rule is called"),
        (("craft.largest_dimension", "loiter.radius"), 11, "may be unset here"),
    ],
)
def test_a_wrong_card_is_refused_at_its_line(pack: Pack, tmp_path: Path, change: tuple[str, str], line: int, says: str) -> None:
    with pytest.raises(Refused) as refused:
        folder_cards(written(tmp_path, card=GOOD.replace(*change)), pack)
    problem = next(p for p in refused.value.problems if says in p.message + p.remedy)
    assert problem.line == line


def test_cards_can_not_rest_on_each_other(pack: Pack, tmp_path: Path) -> None:
    one = GOOD.replace("purpose", 'after = ["two"]\npurpose')
    two = GOOD.replace("purpose", 'after = ["one"]\npurpose')
    with pytest.raises(Refused, match="does not come before it"):
        folder_cards(written(tmp_path, one=one, two=two), pack)


def test_a_good_card_is_taken(pack: Pack, tmp_path: Path) -> None:
    assert list(folder_cards(written(tmp_path, card=GOOD), pack)) == ["card"]
