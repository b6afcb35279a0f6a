"""`cfglint record`: a card that was flown goes into the flight record beside the dump."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from cfglint.cli.flight_work import Work, card_named, common_arguments, read_work, today_of
from cfglint.flights.add_flight import add_flight, read_if_there
from cfglint.flights.flown import refuse_future
from cfglint.flights.record_flight import Told, new_flight, not_written_back
from cfglint.report.styled import encodable
from cfglint.text.problem import refuse
from cfglint.text.visible import visible


def add_arguments(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to a parser."""
    record = commands.add_parser(
        "record",
        help="put a flown test card on record",
        description="Append a flown card to flights.toml beside the dump, with the values of the settings it proves. What is "
        "there stays as it is, comments included.",
    )
    record.add_argument("card", metavar="CARD", help="a card's id, such as first-hover")
    record.add_argument("dump", metavar="DUMP", help="the settings dump it was flown with")
    common_arguments(record)
    record.add_argument("--date", metavar="DAY", help="the day it was flown, YYYY-MM-DD (default: today)")
    record.add_argument("--measured", metavar="ID=VALUE", action="append", default=[], help="what was measured, with its unit")
    record.add_argument("--seen", metavar="FACT=VALUE", action="append", default=[], help="what was seen on the bench")
    record.add_argument("--repetitions", type=int, default=1, metavar="N", help="how often it passed (default: 1)")
    record.add_argument("--aborted", metavar="REASON", help="it was broken off, and why")
    record.add_argument("--remarks", metavar="TEXT", default="", help="anything worth remembering")
    record.add_argument("--despite", action="store_true", help="it was flown although it was locked; what was open is recorded")


def run(parsed: Any) -> int:
    """Record a flight. Raises Refused with what is wrong; the record is then as it was."""
    today = today_of(parsed)
    work = read_work(parsed)
    known = read_if_there(work.record)
    refuse_future(work.flown, today)
    card = card_named(work, parsed.card)
    obstacles = next(rung.obstacles_now for rung in work.rungs() if rung.card.id == card.id)
    told = Told(
        parsed.date or today, _pairs(parsed.measured, "--measured"), _pairs(parsed.seen, "--seen"), parsed.repetitions,
        parsed.aborted, parsed.remarks, parsed.despite,
    )  # fmt: skip
    flight = new_flight(card, told, obstacles, work.covered, today)
    add_flight(work.record, flight, work.stated.facts.craft_name, known)
    _say(f"{work.record}: {card.id} of {flight.date} recorded as {flight.outcome}")
    _say_next(read_work(parsed))
    return 0


def _say_next(work: Work) -> None:
    for id, value, line in not_written_back(work.setup, work.flown, work.covered):
        _say(f"measured {id} = {value}; to write into the dump: {line}")
    following = next((rung for rung in work.rungs() if rung.is_next), None)
    if following is not None:
        _say(f"next: {following.card.id} ({following.card.title})")


def _say(text: str) -> None:
    sys.stdout.write(encodable(visible(text) + "\n", sys.stdout.encoding or "ascii"))


def _pairs(texts: list[str], option: str) -> tuple[tuple[str, str], ...]:
    pairs = []
    for text in texts:
        id, equals, value = text.partition("=")
        if not equals or not id.strip():
            raise refuse(option, f"'{text[:80]}' is no ID=VALUE", "such as --measured 'hover.throttle=1585 us'")
        pairs.append((id.strip(), value))
    return tuple(pairs)
