"""A Setup as the environments that rules are evaluated in: one for each phase, and for each degree of certainty."""

from __future__ import annotations

from cfglint.formula.evaluate import Environment
from cfglint.quantity.value import Value
from cfglint.setup.airframe import applies_in
from cfglint.setup.catalogue import Catalogue, Definition
from cfglint.setup.convert import convert
from cfglint.setup.setting import GUESS, UNSEEN, Setup

CERTAIN, ASSUMING, GUESSING = 0, 1, 2
"""Degrees: what was stated; with the catalogue's assumptions; with guesses as well."""


class Environments:
    """The environments of one setup, made when they are asked for."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        self.assumed = dict(_assumptions(setup))
        self.guessed = {id: s.value for id, s in setup.settings.items() if s.origin == GUESS}
        self._stated = self._stated_values()
        self._made: dict[tuple[str, str, int], Environment] = {}

    def environment(self, family: str, phase: str, degree: int) -> Environment:
        """The environment for a family in a phase, at a degree of certainty."""
        key = (family, phase, degree)
        if key not in self._made:
            values = dict(self._stated)
            if degree >= ASSUMING:
                values.update(self.assumed)
            if degree >= GUESSING:
                values.update(self.guessed)
            values.update(_absent(self.setup.catalogue, family, phase))
            self._made[key] = Environment(values, self.setup.defaults, self.setup.record.proven)
        return self._made[key]

    def has(self, ids: tuple[str, ...], degree: int) -> bool:
        """Whether a degree adds anything about some ids."""
        added = self.assumed if degree == ASSUMING else self.guessed
        return any(id in added for id in ids)

    def _stated_values(self) -> dict[str, Value]:
        values: dict[str, Value] = {}
        for id, setting in self.setup.settings.items():
            values[id] = self.setup.catalogue[id].unseen() if setting.origin == GUESS else setting.value
        for id, measured in self.setup.record.measured.items():
            values["measured:" + id] = measured
        return values


def _assumptions(setup: Setup) -> list[tuple[str, Value]]:
    found = []
    for id, definition in setup.catalogue.items():
        if definition.assumed and setup.settings[id].origin == UNSEEN:
            value = convert(definition.assumed["value"], definition).value
            if value is not None:
                found.append((id, value))
    return found


_ABSENT: dict[tuple[int, str, str], tuple[Catalogue, dict[str, Value]]] = {}


def _absent(catalogue: Catalogue, family: str, phase: str) -> dict[str, Value]:
    """The settings that a craft of a family does not have in a phase, as unset values; worked out once for a catalogue."""
    key = (id(catalogue), family, phase)
    known = _ABSENT.get(key)
    if known is None or known[0] is not catalogue:
        absent = {d.id: d.unset() for d in catalogue.values() if not d.is_fact and not _exists(d, family, phase)}
        if len(_ABSENT) > 50:
            _ABSENT.clear()
        known = _ABSENT[key] = (catalogue, absent)
    return known[1]


def _exists(definition: Definition, family: str, phase: str) -> bool:
    return applies_in(frozenset(definition.airframes), family, phase)
