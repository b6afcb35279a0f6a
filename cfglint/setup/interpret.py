"""A dump, a name map and the facts beside them, to the Setup they mean."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from cfglint.quantity.value import Value, either
from cfglint.setup.absent import absent_setting
from cfglint.setup.airframe import KINDS
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.convert import PLAIN_READING, convert
from cfglint.setup.entries import Entry, entries_of
from cfglint.setup.name_map import NameMap
from cfglint.setup.setting import DUMP, GUESS, NO_FACTS, Facts, Place, Record, Setting, Setup
from cfglint.text.dump import Dump
from cfglint.text.problem import Problem

MOST_PROBLEMS = 200


class Beside(NamedTuple):
    """What stands beside a dump: facts, flight record, the airframe named by the caller, and whether the dump is full."""

    facts: Facts = NO_FACTS
    record: Record = Record()
    kinds: frozenset[str] = frozenset()
    full: bool = False


def interpret(dump: Dump, name_map: NameMap, catalogue: Catalogue, beside: Beside = Beside()) -> Setup:
    """The Setup that a dump means.

    Shape: one `Setting` for each catalogue entry, in catalogue order, whether seen or not.
    Errors: never raises on dump content; what can't be understood is a problem and leaves its setting unseen.
    """
    problems: list[Problem] = []
    entries = entries_of(dump, name_map, catalogue)
    seen: dict[str, Setting] = {}
    for entry in entries.found:
        _take(entry, catalogue, name_map, seen, problems)
    full = name_map.full or beside.full
    settings: dict[str, Setting] = {}
    defaults: dict[str, Value] = dict(entries.defaults(catalogue))
    for id, definition in catalogue.items():
        known = beside.facts.settings.get(id) or seen.get(id)
        settings[id] = known or absent_setting(definition, name_map, entries, defaults, full)
    _let_facts_stand(settings, beside.facts, catalogue)
    kinds = beside.kinds or _kinds(settings)
    problems += entries.problems
    return Setup(
        dump, name_map, catalogue, settings, defaults, kinds, beside.facts, beside.record, entries.coverage,
        tuple(problems[:MOST_PROBLEMS]),
    )  # fmt: skip


def _take(entry: Entry, catalogue: Catalogue, name_map: NameMap, seen: dict[str, Setting], problems: list[Problem]) -> None:
    definition = catalogue.get(entry.setting)
    if definition is None or definition.is_fact:
        return
    reading = entry.rule.reading if entry.rule else PLAIN_READING
    converted = convert(entry.raw, definition, reading)
    before = seen.get(entry.setting)
    if before is not None:
        problems.append(_written_twice(entry, before, name_map.repeated))
    value = converted.value
    confirmed = entry.rule is None or entry.rule.confirmed
    if value is None:
        if confirmed:
            problems.append(_impossible(entry, converted.wrong, converted.expected))
        value = definition.unseen()
    origin = DUMP if confirmed else GUESS
    setting = Setting(entry.setting, value, origin, (entry.place,), entry.raw, converted.step, entry.rule)
    seen[entry.setting] = setting if before is None else _together(before, setting, name_map.repeated)


def _together(first: Setting, second: Setting, repeated: str) -> Setting:
    """A key written twice: the last or the first where the map says so, else the set of both."""
    places = first.places + second.places
    if repeated == "first":
        return first._replace(places=places)
    if repeated == "last":
        return second._replace(places=places)
    return second._replace(value=either(first.value, second.value), places=places)


def _written_twice(entry: Entry, before: Setting, repeated: str) -> Problem:
    first = before.places[0]
    same = before.raw.strip() == entry.raw.strip()
    meaning = {"last": "the last one counts", "first": "the first one counts"}.get(repeated, "either may count")
    message = f"{entry.key} is written twice: {before.raw} in line {first.line}, {entry.raw} here; {meaning}"
    if same:
        message = f"{entry.key} is written twice, in line {first.line} and here, with the same value"
    level = "note" if same else "warning"
    remedy = "" if same else f"delete one of the lines {first.line} and {entry.place.line}"
    return _problem(level, "written-twice", message, entry.place, remedy, entry.setting)


def _impossible(entry: Entry, wrong: str, expected: str) -> Problem:
    message = f"{entry.key}: {wrong}; {entry.setting} is taken as not seen"
    return _problem("warning", "impossible-value", message, entry.place, f"expected {expected}", entry.setting)


def _problem(level: str, code: str, message: str, place: Place, remedy: str, setting: str) -> Problem:
    return Problem(level, code, message, place.file, place.line, place.column, place.shown, remedy, setting)


def _let_facts_stand(settings: dict[str, Setting], facts: Facts, catalogue: Catalogue) -> None:
    """A fact that states what the controller can't know takes the place of the setting of the same meaning."""
    for id, fact in facts.settings.items():
        target = catalogue[id].stands_for
        if target:
            settings[target] = fact._replace(id=target)


def _kinds(settings: Mapping[str, Setting]) -> frozenset[str]:
    return settings["craft.kind"].value.words & KINDS
