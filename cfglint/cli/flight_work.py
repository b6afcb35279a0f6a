"""What `plan` and `record` share: dump, map, craft and record read, and the ladder worked out."""

from __future__ import annotations

import argparse
import datetime
import os
from collections.abc import Mapping
from typing import Any, NamedTuple

from cfglint.flights.card import Card, Cards, families_of
from cfglint.flights.flight_record import FlightRecord, record_path
from cfglint.flights.flown import Flown, record_for, taken_in
from cfglint.flights.load_cards import shipped_cards
from cfglint.flights.plan import Rung, ladder
from cfglint.flights.proofs import Covered, applicable_cards, proofs
from cfglint.judge.judge import Judge
from cfglint.pack.load import shipped_pack
from cfglint.pack.rule import Pack
from cfglint.setup.airframe import airframe_types, kinds_of
from cfglint.setup.craft_file import load_facts
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import identity_map, load_name_map
from cfglint.setup.setting import NO_FACTS, Setup
from cfglint.setup.toml_document import read_file
from cfglint.text.dump import read
from cfglint.text.nearest import nearest
from cfglint.text.problem import refuse
from cfglint.text.source import binary_reason

LARGEST_DUMP = 16_000_000


class Work(NamedTuple):
    """One craft read in. `stated`: as dump and craft file say it; `setup`: with its flight record taken in."""

    pack: Pack
    all_cards: Cards
    cards: Mapping[str, Card]
    stated: Setup
    setup: Setup
    flown: Flown
    record: str
    craft: str

    @property
    def covered(self) -> Covered:
        """What proofs cover, as it is now."""
        return Covered(self.stated, self.pack)

    def rungs(self) -> tuple[Rung, ...]:
        """The ladder of the craft."""
        statuses = self.flown.statuses or proofs(self.cards, FlightRecord(), self.covered)
        return ladder(self.cards, statuses, self.setup, Judge(self.pack))


def common_arguments(command: argparse.ArgumentParser) -> None:
    """The arguments that say which craft is meant."""
    command.add_argument("--map", metavar="FILE", help="the name map of the controller")
    command.add_argument("--craft", metavar="FILE", help="facts of craft and site (default: craft.toml beside the dump)")
    command.add_argument("--airframe", metavar="TYPE", help="the airframe type, if craft.toml does not say it")
    command.add_argument("--full", action="store_true", help="the dump holds every setting: what is absent is unset")
    command.add_argument("--today", metavar="DAY", help="the day that counts as today, YYYY-MM-DD (default: the clock's)")


def read_work(parsed: Any) -> Work:
    """Read a craft and its record. Raises Refused with every problem found."""
    pack = shipped_pack()
    stated = _setup(parsed, pack)
    families = families_of(stated)
    if len(families) != 1:
        remedy = f"write kind into craft.toml, or give --airframe: {', '.join(airframe_types())}"
        raise refuse(parsed.dump, "the airframe is not known, so no ladder fits", remedy)
    cards = shipped_cards(pack)
    flown = record_for(parsed.dump, cards, stated, pack)
    name = stated.facts.craft_name or os.path.basename(parsed.dump)
    chosen = applicable_cards(cards, stated, pack)
    return Work(pack, cards, chosen, stated, taken_in(stated, flown), flown, record_path(parsed.dump), name)


def card_named(work: Work, name: str) -> Card:
    """A card of this craft by its id. Raises Refused: nobody knows it, or it is not for this craft."""
    if name in work.cards:
        return work.cards[name]
    if name in work.all_cards:
        raise refuse(name, f"this card is not for this craft ({work.craft})", f"its cards: {', '.join(work.cards)}")
    near = nearest(name, work.cards)
    raise refuse(name[:80], "no card is called so", f"did you mean '{near}'?" if near else f"cards: {', '.join(work.cards)}")


def today_of(parsed: Any) -> str:
    """The day that counts as today. Raises Refused when it is no day."""
    if not parsed.today:
        return datetime.date.today().isoformat()
    try:
        return datetime.date.fromisoformat(parsed.today).isoformat()
    except ValueError:
        raise refuse("--today", f"'{parsed.today[:40]}' is no day", "write it as YYYY-MM-DD") from None


def _setup(parsed: Any, pack: Pack) -> Setup:
    name = parsed.dump
    name_map = load_name_map(parsed.map, pack.catalogue, pack.key) if parsed.map else identity_map()
    data = read_file(name, LARGEST_DUMP)
    if not data.strip():
        raise refuse(name, "the file is empty", "write the dump again")
    dump = read(data, name, given=name_map.layout)
    reason = binary_reason(dump.source)
    if reason:
        raise refuse(name, f"this is no text: {reason}", "name a plain-text settings dump")
    beside = os.path.join(os.path.dirname(name), "craft.toml")
    path = parsed.craft or (beside if os.path.lexists(beside) else "")
    facts = load_facts(path, pack.catalogue, pack.key) if path else NO_FACTS
    kinds = kinds_of(parsed.airframe) if parsed.airframe else frozenset()
    if kinds is None:
        near = nearest(parsed.airframe, airframe_types())
        remedy = f"did you mean '{near}'?" if near else ""
        raise refuse("--airframe", f"no airframe type is called '{parsed.airframe[:80]}'", remedy)
    setup = interpret(dump, name_map, pack.catalogue, Beside(facts, kinds=kinds, full=parsed.full))
    if not setup.coverage.modelled:
        raise refuse(name, "no key of this dump is understood", "name the controller's map with --map FILE")
    return setup
