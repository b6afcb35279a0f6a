"""A card filled in with one craft's numbers: every text complete, every limit a figure or a reason why there is none."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from cfglint.flights.card import Card, Limit, families_of
from cfglint.flights.proofs import card_scope
from cfglint.formula.evaluate import Environment, Scope, compile_condition, compile_number
from cfglint.judge.environment import ASSUMING, Environments
from cfglint.judge.tell import shown_value
from cfglint.pack.message import filled, placeholders
from cfglint.pack.rule import Pack
from cfglint.quantity.range import Range, exactly
from cfglint.quantity.show import show_range
from cfglint.quantity.truth import FALSE, TRUE
from cfglint.quantity.unit import PULSE, from_base, parse_unit, to_base
from cfglint.quantity.value import SET
from cfglint.setup.airframe import WHOLE
from cfglint.setup.setting import UNSEEN, Setup

MOST_NEEDS = 4
WIDEST = 4.0
"""A range whose ends differ by more than this factor is no figure to fly by."""

BLANK = "______"


class FilledLimit(NamedTuple):
    """One figure: its role, what it is in words, the figure as shown ("" if unknown), what is needed for it, what it assumes."""

    role: str
    text: str
    shown: str
    needs: tuple[str, ...]
    assumes: tuple[str, ...]
    basis: tuple[str, ...]


class FilledCard(NamedTuple):
    """A card as it is handed to the pilot; `to_measure` and `to_see` are what to write down, with ids."""

    card: Card
    purpose: str
    conditions: tuple[str, ...]
    procedure: tuple[str, ...]
    expect: tuple[str, ...]
    note: tuple[str, ...]
    cautions: tuple[str, ...]
    limits: tuple[FilledLimit, ...]
    to_measure: tuple[tuple[str, str, bool], ...]
    to_see: tuple[tuple[str, str], ...]
    proves: tuple[tuple[str, str], ...]


def fill_card(card: Card, setup: Setup, pack: Pack) -> FilledCard:
    """The card for a setup. Figures are taken from the safe end of what is known, with the catalogue's assumptions, which
    are named; a guessed setting counts as unknown."""
    return _Filling(card, setup, pack).card_filled()


class _Filling:
    def __init__(self, card: Card, setup: Setup, pack: Pack) -> None:
        self.card, self.setup, self.pack = card, setup, pack
        self.environments = Environments(setup)
        self.environment: Environment = self.environments.environment(sorted(families_of(setup))[0], WHOLE, ASSUMING)
        self.scope: Scope = card_scope(card, pack)
        self.limits: Mapping[str, Limit] = {limit.name: limit for limit in card.limits}

    def card_filled(self) -> FilledCard:
        card = self.card
        limits = [found for limit in card.limits if (found := self.limit(limit)) is not None]
        measures = dict.fromkeys((*card.must_measure, *card.measures))
        return FilledCard(
            card, self.text(card.purpose), self._texts(card.conditions), self._texts(card.procedure), self._texts(card.expect),
            self._texts(card.note), self._texts(card.cautions), tuple(limits),
            tuple((id, self.pack.catalogue[id].meaning, id in card.must_measure) for id in measures),
            tuple((row.fact, row.ask) for row in card.evidence),
            tuple((id, text) for id in card.proves if (text := self._setting(id))),
        )  # fmt: skip

    def limit(self, limit: Limit) -> FilledLimit | None:
        """A limit's figure; None where it is not asked on this craft."""
        asked = TRUE if limit.when is None else compile_condition(limit.when, self.scope)(self.environment)
        if asked is FALSE:
            return None
        shown = self.figure(limit)
        needs = () if shown else self._unseen(limit.inputs)
        return FilledLimit(limit.role, self.text(limit.words), shown, needs, self._assumed(limit.inputs), limit.basis)

    def figure(self, limit: Limit) -> str:
        """The figure as shown, rounded to the safe side; empty where nothing can be said."""
        if limit.when is not None and compile_condition(limit.when, self.scope)(self.environment) is not TRUE:
            return ""
        numbers = compile_number(limit.tree, self.scope)(self.environment)
        stated = all(self._setting(id) for id in limit.inputs)
        if not _is_figure(numbers) and not (stated and _has_end(numbers, limit.side)):
            return ""
        unit = parse_unit(limit.unit)
        chosen = {"low": exactly(numbers.low), "high": exactly(numbers.high)}.get(limit.side, numbers)
        if limit.side == "both":
            return show_range(chosen, unit, 3)
        rounded = _rounded(from_base(chosen.low, unit), limit.side == "high", 10.0 if unit.dimension == PULSE else 0.0)
        return show_range(exactly(to_base(*rounded.as_integer_ratio(), unit)), unit, 3)

    def text(self, template: str) -> str:
        """A text with its names replaced by figures, values, or a blank to write in."""
        texts = {key: self._named(*key) or BLANK for key in placeholders(template)}
        return " ".join(filled(template, texts).split())

    def _texts(self, templates: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(self.text(template) for template in templates)

    def _named(self, name: str, unit_text: str) -> str:
        if name in self.limits:
            return self.figure(self.limits[name])
        if name in self.card.lets or name in self.pack.quantities:
            role = "let" if name in self.card.lets else "quantity"
            unit = unit_text or (self.card.units[name] if role == "let" else self.pack.quantities[name]["unit"])
            numbers = compile_number([role, name], self.scope)(self.environment)
            return show_range(numbers, parse_unit(unit), 3) if _is_figure(numbers) else ""
        return self._setting(name, unit_text)

    def _setting(self, id: str, unit_text: str = "") -> str:
        definition = self.pack.catalogue.get(id)
        value = self.environment.values.get(id)
        if definition is None or value is None or not value.known or not value.presence & SET:
            return ""
        return shown_value(definition, value, unit_text, 4)

    def _unseen(self, inputs: tuple[str, ...]) -> tuple[str, ...]:
        """What nobody stated, what is only guessed, and what this craft has not."""
        missing = [id for id in inputs if id in self.environment.values and not self._setting(id)]
        return tuple(dict.fromkeys(missing))[:MOST_NEEDS]

    def _assumed(self, inputs: tuple[str, ...]) -> tuple[str, ...]:
        rests = []
        for id in inputs:
            assumed = self.pack.catalogue[id].assumed if id in self.pack.catalogue else None
            if assumed and self.setup.settings[id].origin == UNSEEN:
                rests.append(f"{id} taken as {assumed['value']}")
        return tuple(rests)


def _is_figure(numbers: Range) -> bool:
    if not (math.isfinite(numbers.low) and math.isfinite(numbers.high)):
        return False
    if numbers.low == numbers.high:
        return True
    return numbers.low > 0 and numbers.high <= WIDEST * numbers.low


def _has_end(numbers: Range, side: str) -> bool:
    """Whether the safe end of a range that the pilot stated himself is something to fly by."""
    return math.isfinite(numbers.high) and (numbers.high if side == "high" else numbers.low) > 0


def _rounded(value: float, upwards: bool, step: float = 0.0) -> float:
    """To a step, or to two digits from ten on and to one digit or a half below, towards the safe side; never to nothing."""
    if value == 0 or not math.isfinite(value):
        return value
    size = 10.0 ** math.floor(math.log10(abs(value)) + 1e-12)
    step = step or (size / 10 if abs(value) >= 10 else size / 2)
    steps = value / step
    if abs(steps - round(steps)) < 1e-6:
        return round(steps) * step
    return (math.ceil(steps) if upwards else math.floor(steps)) * step
