"""The flight record of a craft: `flights.toml` beside its dump, one entry for each card flown."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any, NamedTuple

from cfglint.flights.card import Cards
from cfglint.flights.recorded_value import definition_of, recorded_value
from cfglint.pack.rule import Pack
from cfglint.quantity.value import Value
from cfglint.setup.setting import Place
from cfglint.setup.toml_document import load_document
from cfglint.text.problem import refuse

PASSED, ABORTED = "passed", "aborted"
RECORD_NAME = "flights.toml"


class Flight(NamedTuple):
    """One entry. `values`: what the card proved with; `measured` and `seen`: what came out; `despite`: what was open before it.

    `number` counts the entries of the file from 1; `places` says where each value, measurement and thing seen is written.
    """

    number: int
    card: str
    date: str
    outcome: str
    reason: str
    repetitions: int
    remarks: str
    measured: Mapping[str, Value]
    values: Mapping[str, Value]
    seen: Mapping[str, Value]
    texts: Mapping[str, str]
    despite: tuple[str, ...]
    places: Mapping[str, Place]

    @property
    def order(self) -> tuple[str, int]:
        """Flights in the order they were made: by day, then by their place in the file."""
        return self.date, self.number


class FlightRecord(NamedTuple):
    """All flights of a craft, in the order of the file. `file` is empty where there is no record."""

    file: str = ""
    craft: str = ""
    flights: tuple[Flight, ...] = ()


def record_path(dump: str) -> str:
    """Where the flight record of a dump is kept."""
    return os.path.join(os.path.dirname(dump), RECORD_NAME)


def load_flights(path: str, cards: Cards, pack: Pack) -> FlightRecord:
    """The record of a file. Raises Refused with every problem found, at its place."""

    def check(data: bytes, name: str) -> dict[str, Any]:
        from cfglint.flights.flight_file import checked_flights

        return checked_flights(data, name, cards, pack.catalogue)

    document = load_document(path, "flights", check, pack.key, "\0".join(cards).encode())
    flights = tuple(_flight(row, path, pack) for row in document["flights"])
    return FlightRecord(path, document["craft"], flights)


def refuse_another_craft(record: FlightRecord, craft_name: str) -> None:
    """Raise Refused where the record says that it is another craft's."""
    if record.craft and craft_name and record.craft != craft_name:
        message = f"this is the flight record of '{record.craft}', but craft.toml says '{craft_name}'"
        raise refuse(record.file, message, "a flight record lies beside the dump of its own craft")


def _flight(row: Mapping[str, Any], path: str, pack: Pack) -> Flight:
    places = {key: Place(path, line, column, shown) for key, line, column, shown in row["places"]}
    tables = {name: _values(row[name], pack) for name in ("measured", "values", "seen")}
    texts = {f"{name}:{id}": text for name in tables for id, text in row[name].items()}
    return Flight(
        row["number"], row["card"], row["date"], row["outcome"], row["reason"], row["repetitions"], row["remarks"],
        tables["measured"], tables["values"], tables["seen"], texts, tuple(row["despite"]), places,
    )  # fmt: skip


def _values(table: Mapping[str, str], pack: Pack) -> dict[str, Value]:
    found = {}
    for id, text in table.items():
        definition = definition_of(id, pack.catalogue)
        value = recorded_value(text, definition)[0] if definition else None
        if value is not None:
            found[id] = value
    return found
