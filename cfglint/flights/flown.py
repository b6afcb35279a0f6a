"""What `check` takes from the flight record: proven ids, measured values, and facts that the bench has settled."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import NamedTuple

from cfglint.flights.card import Cards
from cfglint.flights.flight_record import Flight, load_flights, record_path, refuse_another_craft
from cfglint.flights.proofs import Covered, Status, applicable_cards, measured_values, proofs, proven_ids, seen_values
from cfglint.pack.rule import Pack
from cfglint.quantity.value import Value, either
from cfglint.setup.setting import RECORD, UNSEEN, Place, Record, Setting, Setup
from cfglint.text.problem import Problem, refuse


class Flown(NamedTuple):
    """What the record says about a setup.

    `settings`: facts seen on the bench, and the settings they stand for. `days`: day and number of each flight.
    """

    record: Record
    settings: Mapping[str, Setting]
    statuses: Mapping[str, Status]
    problems: tuple[Problem, ...] = ()
    days: tuple[tuple[str, int], ...] = ()


NOTHING_FLOWN = Flown(Record(), {}, {})


def record_for(dump: str, cards: Cards, setup: Setup, pack: Pack) -> Flown:
    """What the record beside a dump says about its setup; nothing is flown where there is none.

    `setup` must be the setup as dump and craft file state it, without anything from the record.
    Raises Refused: a record that can't be read, or another craft's.
    """
    path = record_path(dump)
    if dump == "-" or not os.path.lexists(path):
        return NOTHING_FLOWN
    record = load_flights(path, cards, pack)
    refuse_another_craft(record, setup.facts.craft_name)
    covered = Covered(setup, pack)
    statuses = proofs(applicable_cards(cards, setup, pack), record, covered)
    settings, problems = _seen(statuses, setup)
    proven = proven_ids(statuses, covered)
    taken = Record(proven, measured_values(statuses), path)
    return Flown(taken, settings, statuses, problems, tuple(f.order for f in record.flights))


def with_flights(setup: Setup, dump: str, pack: Pack) -> tuple[Setup, Flown]:
    """A setup with its flight record taken in. Without a record beside the dump no card is loaded at all."""
    if dump == "-" or not os.path.lexists(record_path(dump)):
        return setup, NOTHING_FLOWN
    from cfglint.flights.load_cards import shipped_cards

    flown = record_for(dump, shipped_cards(pack), setup, pack)
    return taken_in(setup, flown), flown


def taken_in(setup: Setup, flown: Flown) -> Setup:
    """A setup with what its record says."""
    settings = {**setup.settings, **flown.settings}
    return setup._replace(settings=settings, record=flown.record, problems=(*setup.problems, *flown.problems))


def refuse_future(flown: Flown, today: str) -> None:
    """Raise Refused when the record holds a flight of a day to come."""
    for date, number in flown.days:
        if date > today:
            message = f"flight {number} is dated {date}, which is in the future (today is {today})"
            raise refuse(flown.record.file, message, "correct its date")


def _seen(statuses: Mapping[str, Status], setup: Setup) -> tuple[dict[str, Setting], tuple[Problem, ...]]:
    """Facts that the bench settled. Where craft.toml says otherwise, either may be true, and that is a problem."""
    settings: dict[str, Setting] = {}
    problems = []
    for id, (value, flight) in seen_values(statuses).items():
        stated = setup.settings[id]
        place = flight.places[f"seen:{id}"]
        known: Value = value
        if stated.origin != UNSEEN and stated.value != value:
            known = either(stated.value, value)
            problems.append(_contradiction(stated, flight, place))
        setting = Setting(id, known, RECORD, (place,), flight.texts[f"seen:{id}"])
        settings[id] = setting
        target = setup.catalogue[id].stands_for
        if target:
            settings[target] = setting._replace(id=target)
    return settings, tuple(problems)


def _contradiction(stated: Setting, flight: Flight, place: Place) -> Problem:
    seen = flight.texts[f"seen:{stated.id}"]
    message = f"{stated.id} is {stated.raw or 'another'} in the craft file, but {flight.card} of {flight.date} saw {seen}"
    remedy = "look again, and correct one of them"
    at = (place.file, place.line, place.column, place.shown)
    return Problem("warning", "record-contradicts", message, *at, remedy, stated.id)
