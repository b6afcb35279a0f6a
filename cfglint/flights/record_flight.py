"""From what a pilot says about a card to the entry that is written: checked against the card, the craft and the ladder."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import NamedTuple

from cfglint.flights.add_flight import NewFlight
from cfglint.flights.card import Card
from cfglint.flights.flight_record import ABORTED, PASSED
from cfglint.flights.flown import Flown
from cfglint.flights.plan import Obstacle
from cfglint.flights.proofs import Covered
from cfglint.flights.recorded_value import recorded_text, recorded_value
from cfglint.judge.remedy import layout_line
from cfglint.judge.tell import shown_value
from cfglint.quantity.value import SET, Value
from cfglint.setup.catalogue import Definition
from cfglint.setup.convert import exact_fraction
from cfglint.setup.setting import Setup
from cfglint.setup.write_back import grid_of, line_with
from cfglint.text.nearest import nearest
from cfglint.text.problem import refuse

LONGEST_TEXT = 2000


class Told(NamedTuple):
    """What the pilot says: the day, measurements and things seen as id and text, and how it went."""

    date: str
    measured: tuple[tuple[str, str], ...] = ()
    seen: tuple[tuple[str, str], ...] = ()
    repetitions: int = 1
    aborted: str | None = None
    remarks: str = ""
    despite: bool = False


def new_flight(card: Card, told: Told, obstacles: tuple[Obstacle, ...], covered: Covered, today: str) -> NewFlight:
    """The entry for a card. Raises Refused with what is wrong with what was told; nothing is written then."""
    _check_day(told.date, today)
    if told.aborted is not None and not told.aborted.strip():
        raise refuse("--aborted", "a flight that was broken off needs a reason", "such as --aborted 'it swung as it climbed'")
    if not 1 <= told.repetitions <= 10_000:
        raise refuse("--repetitions", f"{told.repetitions} repetitions can't be", "give the number of passes, from 1 on")
    _check_obstacles(card, told, obstacles)
    measured = _checked(told.measured, (*card.must_measure, *card.measures), "--measured", card, covered)
    seen = _checked(told.seen, tuple(row.fact for row in card.evidence), "--seen", card, covered)
    if told.aborted is None:
        _check_complete(card, measured, seen)
    values = {id: text for id in card.proves if (text := covered.text(id))}
    return NewFlight(
        card.id, told.date, PASSED if told.aborted is None else ABORTED, (told.aborted or "")[:LONGEST_TEXT], told.repetitions,
        told.remarks[:LONGEST_TEXT], tuple(_said(o) for o in obstacles), measured, seen, values,
    )  # fmt: skip


def not_written_back(setup: Setup, flown: Flown, covered: Covered) -> list[tuple[str, str, str]]:
    """What valid proofs measured and the dump has otherwise: id, the value measured, and the line to write."""
    found = []
    for id, value in flown.record.measured.items():
        line = "" if covered.is_measured(id, value) else line_to_write(setup, id, value)
        if line:
            found.append((id, shown_value(setup.catalogue[id], value), line))
    return found


def line_to_write(setup: Setup, id: str, measured: Value) -> str:
    """The line that puts a measured value into the dump, in its own syntax and unit; empty where there is none to offer."""
    if measured.words or measured.presence != SET:
        return ""
    definition, setting = setup.catalogue[id], setup.settings[id]
    middle = (measured.low + measured.high) / 2
    if definition.is_fact:
        return ""
    grid = grid_of(definition, setting)
    return line_with(setting, grid.raw(grid.nearest(middle)), layout_line(setup)) if grid is not None else ""


def _check_day(date: str, today: str) -> None:
    try:
        day = datetime.date.fromisoformat(date)
    except ValueError:
        raise refuse("--date", f"'{date[:40]}' is no day", "write it as YYYY-MM-DD") from None
    if day.isoformat() != date:
        raise refuse("--date", f"'{date[:40]}' is no day", "write it as YYYY-MM-DD")
    if date > today:
        raise refuse("--date", f"{date} is in the future (today is {today})", "record a flight after it was flown")


def _check_obstacles(card: Card, told: Told, obstacles: tuple[Obstacle, ...]) -> None:
    if obstacles and not told.despite:
        said = "; ".join(_said(o) for o in obstacles[:4]) + (f"; and {len(obstacles) - 4} more" if len(obstacles) > 4 else "")
        remedy = "clear them first; if it was flown all the same, --despite records that with what was open"
        raise refuse(card.id, f"this card is locked: {said}", remedy)


def _said(obstacle: Obstacle) -> str:
    return f"{obstacle.name}: {obstacle.why}"[:300]


def _checked(
    pairs: tuple[tuple[str, str], ...], allowed: tuple[str, ...], option: str, card: Card, covered: Covered
) -> dict[str, str]:
    found: dict[str, str] = {}
    for id, text in pairs:
        if id not in allowed:
            near = nearest(id, allowed)
            remedy = f"did you mean '{near}'?" if near else f"this card takes: {', '.join(allowed) or 'none'}"
            raise refuse(option, f"the card {card.id} does not ask for '{id}'", remedy)
        if id in found:
            raise refuse(option, f"{id} is given twice", "give it once; a range is written as 1570..1600 us")
        definition = covered.pack.catalogue[id]
        value, wrong = recorded_value(text, definition)
        if not wrong and definition.is_number and definition.unit not in ("", "1") and exact_fraction(text) is not None:
            wrong = "it needs a unit"
        recorded = recorded_text(definition, value) if value is not None and not wrong else ""
        if not recorded:
            raise refuse(option, f"{id}: {wrong or 'there is no value'}", f"write it as {_example(id, definition)}")
        found[id] = recorded
    return found


def _check_complete(card: Card, measured: Mapping[str, str], seen: Mapping[str, str]) -> None:
    missing = [f"--measured {id}=..." for id in card.must_measure if id not in measured]
    missing += [f"--seen {row.fact}=..." for row in card.evidence if row.fact not in seen]
    if missing:
        raise refuse(card.id, "this card passes only with what it came for", "give " + " ".join(missing))


def _example(id: str, definition: Definition) -> str:
    if definition.words:
        return f"{id}=WORD, a word of: {', '.join(definition.words)}"
    unit = "" if definition.unit in ("", "1") else " " + definition.unit
    return f"'{id}=NUMBER{unit}'"
