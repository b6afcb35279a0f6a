"""flights.toml: its model, and the check against cards and catalogue. Never on the cached path."""

from __future__ import annotations

import datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from cfglint.flights.card import Cards
from cfglint.flights.recorded_value import definition_of, recorded_value
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.toml_document import decode_toml, line_of, parse_toml, problem_at, validated
from cfglint.text.nearest import nearest
from cfglint.text.problem import Problem, Refused
from cfglint.text.toml_place import place

MOST_FLIGHTS = 10_000
TABLES = ("measured", "values", "seen")


class Strict(BaseModel):
    """No unknown key passes."""

    model_config = ConfigDict(extra="forbid")


class FlightTable(Strict):
    """One entry as it is written."""

    card: str
    date: datetime.date
    outcome: Literal["passed", "aborted"]
    reason: str = Field(default="", max_length=2000)
    repetitions: int = Field(default=1, ge=1, le=10_000)
    remarks: str = Field(default="", max_length=10_000)
    despite: list[str] = []
    measured: dict[str, str] = {}
    values: dict[str, str] = {}
    seen: dict[str, str] = {}

    @field_validator("date", mode="before")
    @classmethod
    def _day(cls, value: Any) -> Any:
        if isinstance(value, datetime.datetime) or not isinstance(value, (datetime.date, str)):
            raise ValueError("a day is expected, such as 2026-05-02")
        return value

    @model_validator(mode="after")
    def _reason_given(self) -> FlightTable:
        if self.outcome == "aborted" and not self.reason.strip():
            raise ValueError("an aborted flight needs a reason")
        return self


class FlightFile(Strict):
    """The whole record."""

    craft: str = ""
    flight: list[FlightTable] = Field(default=[], max_length=MOST_FLIGHTS)


def checked_flights(data: bytes, path: str, cards: Cards, catalogue: Catalogue) -> dict[str, Any]:
    """The record as plain JSON. Raises Refused with the place of each error."""
    text = decode_toml(data, path)
    model = validated(parse_toml(text, path), text, path, FlightFile)
    assert isinstance(model, FlightFile)
    problems: list[Problem] = []
    rows = [_row(index, flight, (text, path), cards, catalogue, problems) for index, flight in enumerate(model.flight)]
    if problems:
        raise Refused(*problems[:50])
    return {"craft": model.craft, "flights": rows}


def _row(
    index: int, flight: FlightTable, where: tuple[str, str], cards: Cards, catalogue: Catalogue, problems: list[Problem]
) -> dict[str, Any]:
    text, path = where
    if flight.card not in cards:
        near = nearest(flight.card, cards)
        remedy = f"did you mean '{near}'?" if near else "the cards are listed by: cfglint plan DUMP"
        problems.append(problem_at(text, path, ("flight", index, "card"), f"no card is called '{flight.card}'", remedy))
    places = []
    for name in TABLES:
        for id, written in getattr(flight, name).items():
            keys = ("flight", index, name, id)
            problem = _wrong(id, written, catalogue)
            if problem:
                problems.append(problem_at(text, path, keys, *problem))
            line, column = place(text, keys)
            places.append([f"{name}:{id}", line, column, line_of(text, line)])
    row = flight.model_dump(exclude={"date"})
    return {**row, "number": index + 1, "date": flight.date.isoformat(), "places": places}


def _wrong(id: str, written: str, catalogue: Catalogue) -> tuple[str, str] | None:
    definition = definition_of(id, catalogue)
    if definition is None:
        near = nearest(id, catalogue)
        remedy = f"did you mean '{near}'?" if near else "they are listed by: cfglint settings"
        return f"no setting or fact is called '{id}'", remedy
    wrong = recorded_value(written, definition)[1]
    return (f"{id}: {wrong}", "write it as text with its unit") if wrong else None
