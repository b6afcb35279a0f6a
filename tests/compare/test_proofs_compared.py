"""Test cards before and after: a proof that went stale is worse, and the edits that did it are named."""

from __future__ import annotations

from typing import Any

import pytest

from cfglint.flights.proofs import FAILED, FLOWN, OPEN, STALE, Change, Status
from cfglint.judge.verdict import Judgement
from cfglint.pack.rule import Pack
from cfglint.project.compare_proofs import proof_changes
from cfglint.project.compare_verdicts import Judged
from cfglint.setup.interpret import interpret
from cfglint.setup.name_map import identity_map
from cfglint.setup.setting import Record, Setup
from cfglint.text.dump import read

CARD: Any = None


@pytest.fixture
def setup(pack: Pack) -> Setup:
    return interpret(read(b"loiter.radius = 60 m\n", "a.dump"), identity_map(), pack.catalogue)


def judged(setup: Setup, **states: Status) -> Judged:
    return Judged(setup, Judgement(()), {}, {card.replace("_", "-"): status for card, status in states.items()})


def test_an_edit_makes_a_proof_stale(setup: Setup) -> None:
    edit = Change("craft.mass", "640 g", "720 g", None)
    old = judged(setup, hover=Status(CARD, FLOWN), hold=Status(CARD, FLOWN), home=Status(CARD, OPEN))
    new = judged(
        setup,
        hover=Status(CARD, STALE, changes=(edit,)),
        hold=Status(CARD, STALE, because=("hover",)),
        home=Status(CARD, FLOWN),
    )
    found = [(c.card, c.was, c.now, c.because, c.worse) for c in proof_changes(old, new)]
    assert found == [
        ("hover", "flown", "stale", ("craft.mass: 640 g \u2192 720 g",), True),
        ("hold", "flown", "stale", ("it rests on hover",), True),
        ("home", "open", "flown", (), False),
    ]


def test_a_failed_or_missing_proof_is_lost(setup: Setup) -> None:
    old = judged(setup, hover=Status(CARD, FLOWN), hold=Status(CARD, FLOWN))
    found = proof_changes(old, judged(setup, hover=Status(CARD, FAILED)))
    assert {(c.card, c.now, c.worse) for c in found} == {("hover", "failed", True), ("hold", "open", True)}


def test_proofs_that_stand_are_not_told(setup: Setup) -> None:
    both = judged(setup, hover=Status(CARD, FLOWN), hold=Status(CARD, STALE))
    assert proof_changes(both, both) == ()


def test_without_cards_the_settings_are_told(setup: Setup) -> None:
    proven = setup._replace(record=Record(frozenset(("hover.throttle",))))
    (change,) = proof_changes(judged(proven), judged(setup))
    assert (change.card, change.was, change.now, change.worse) == (
        "hover.throttle",
        "flight-proven",
        "not proven",
        True,
    )
