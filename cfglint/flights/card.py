"""Test cards: what is flown, in which order, what must be true before, and what is proven by it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from cfglint.setup.airframe import FAMILIES, family_of
from cfglint.setup.setting import Setup

BENCH, FIELD = "bench", "field"


class Limit(NamedTuple):
    """One figure of a card, computed for the craft.

    `tree` and `when` are stored formulas; `side` says which end of a range is the safe one to fly by: "low", "high", "both".
    `role`: "plan" (what to do), "pass", "abort". `inputs`: the settings and facts that it reads.
    """

    name: str
    tree: Any
    when: Any
    words: str
    side: str
    role: str
    unit: str
    basis: tuple[str, ...]
    inputs: tuple[str, ...]


class Evidence(NamedTuple):
    """A fact that no dump shows and that the card settles: the fact's id, and what to look for."""

    fact: str
    ask: str


class Card(NamedTuple):
    """One test card.

    `place`: bench or field. `after`: cards it rests on. `clear`: rules that must be clear; `free_of_errors`: rules that must not
    be an error. `repetitions`: how often it must pass before it counts. `measures`, `must_measure`, `proves`: ids.
    """

    id: str
    title: str
    airframes: tuple[str, ...]
    place: str
    step: int
    purpose: str
    after: tuple[str, ...]
    clear: tuple[str, ...]
    free_of_errors: tuple[str, ...]
    when: Any
    repetitions: int
    conditions: tuple[str, ...]
    procedure: tuple[str, ...]
    expect: tuple[str, ...]
    note: tuple[str, ...]
    cautions: tuple[str, ...]
    measures: tuple[str, ...]
    must_measure: tuple[str, ...]
    proves: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    lets: Mapping[str, Any]
    units: Mapping[str, str]
    limits: tuple[Limit, ...]


Cards = Mapping[str, Card]
"""All cards by id, in the order of the ladder."""

AIR_DENSITY = "air_density"
"""The one covered value that is no setting and no fact: worked out from the site."""


def cards_of(stored: list[dict[str, Any]]) -> dict[str, Card]:
    """Cards from their stored form, which is in the order of the ladder."""
    return {row["id"]: _card(row) for row in stored}


def families_of(setup: Setup) -> frozenset[str]:
    """The families that the craft may belong to."""
    return frozenset(family_of(kind) for kind in setup.kinds) or frozenset(FAMILIES)


def _card(row: Mapping[str, Any]) -> Card:
    fields: dict[str, Any] = {k: tuple(v) if isinstance(v, list) and k != "when" else v for k, v in row.items()}
    fields["evidence"] = tuple(Evidence(*pair) for pair in row["evidence"])
    fields["limits"] = tuple(_limit(limit) for limit in row["limits"])
    return Card(**fields)


def _limit(row: Mapping[str, Any]) -> Limit:
    fields = dict(row)
    fields["basis"], fields["inputs"] = tuple(row["basis"]), tuple(row["inputs"])
    return Limit(**fields)
