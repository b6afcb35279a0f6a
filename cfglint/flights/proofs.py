"""Which cards are proven, which proofs have gone stale and by which edit, and which are still to be flown.

A proof holds while everything it covers has the value it had, and while every card it rests on was proven before it and holds
itself. A card that fails later takes down what rests on it, until both are flown again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from cfglint.flights.card import AIR_DENSITY, Card, Cards, families_of
from cfglint.flights.flight_record import ABORTED, PASSED, Flight, FlightRecord
from cfglint.flights.recorded_value import DENSITY, definition_of, is_same, is_stated, recorded_text
from cfglint.formula.evaluate import Environment, Scope, compile_condition, compile_number
from cfglint.judge.environment import ASSUMING, CERTAIN, Environments
from cfglint.pack.inputs import input_counts
from cfglint.pack.rule import Pack
from cfglint.quantity.range import Range
from cfglint.quantity.truth import FALSE
from cfglint.quantity.unit import PULSE
from cfglint.quantity.value import SET, Value, number_value
from cfglint.setup.airframe import WHOLE
from cfglint.setup.setting import GUESS, Place, Setup

FLOWN, STALE, FAILED, BEGUN, OPEN = "flown", "stale", "failed", "begun", "open"
STICK_READING = 0.01
"""A pulse read off a stick or a log is known to about one hundredth of its travel: common practice."""


class Change(NamedTuple):
    """A covered value that is not what it was: the id, both values as text ("" for none), and where the old one is recorded."""

    id: str
    was: str
    now: str
    place: Place | None


class Status(NamedTuple):
    """Where one card stands.

    `flight` is the proof, or the last flight of the card; `changes` are the edits that made it stale; `because` says which
    cards it rests on no longer carry it; `waiting_for`: cards to be flown before it; `done`: passes that count.
    """

    card: Card
    state: str
    flight: Flight | None = None
    changes: tuple[Change, ...] = ()
    because: tuple[str, ...] = ()
    waiting_for: tuple[str, ...] = ()
    done: int = 0
    proof: tuple[Flight, ...] = ()


class Covered:
    """The values that proofs cover, as they are now."""

    def __init__(self, setup: Setup, pack: Pack) -> None:
        self.setup, self.pack = setup, pack
        self._density: Value | None = None

    def value(self, id: str) -> Value:
        """The value of a covered id now."""
        return self._air() if id == AIR_DENSITY else self.setup.settings[id].value

    def text(self, id: str) -> str:
        """The value of a covered id now, as the record keeps it."""
        definition = definition_of(id, self.pack.catalogue)
        return recorded_text(definition, self.value(id)) if definition else ""

    def is_measured(self, id: str, measured: Value) -> bool:
        """Whether the value now is the one that was measured, as finely as the dump can write it and a stick be read."""
        now = self.value(id)
        if not is_stated(now) or now.words or measured.words:
            return is_same(id, measured, now)
        definition = self.pack.catalogue[id]
        slack = self.setup.settings[id].step
        if definition.shown_in.dimension == PULSE:
            slack = max(slack, STICK_READING * 1000)
        return now.presence == SET and measured.low - slack - 1e-9 <= now.low <= now.high <= measured.high + slack + 1e-9

    def _air(self) -> Value:
        if self._density is None:
            inputs = input_counts([["quantity", AIR_DENSITY]], self.pack.quantity_trees)
            if all(self.setup.settings[id].value.known for id in inputs):
                self._density = number_value(self._computed(["quantity", AIR_DENSITY]))
            else:
                self._density = DENSITY.unseen()
        return self._density

    def _computed(self, tree: list[str]) -> Range:
        environment = Environments(self.setup).environment(sorted(families_of(self.setup))[0], WHOLE, CERTAIN)
        return compile_number(tree, Scope(self.pack.quantity_trees, self.pack.functions, {}, {}, self.pack.shared))(environment)


def applicable_cards(cards: Cards, setup: Setup, pack: Pack) -> dict[str, Card]:
    """The cards for this craft, in the order of the ladder; each rests on cards that are for this craft too."""
    families = families_of(setup)
    environment = Environments(setup).environment(sorted(families)[0], WHOLE, ASSUMING)
    chosen = {id for id, card in cards.items() if families & set(card.airframes) and _applies(card, pack, environment)}
    return {id: card._replace(after=_present(card.after, chosen, cards)) for id, card in cards.items() if id in chosen}


def proofs(cards: Mapping[str, Card], record: FlightRecord, covered: Covered) -> dict[str, Status]:
    """Where each card stands, in the order of the ladder. `cards`: those for this craft."""
    found: dict[str, Status] = {}
    for id, card in cards.items():
        flights = sorted((f for f in record.flights if f.card == id), key=lambda f: f.order)
        found[id] = _status(card, flights, found, covered)
    return found


def changes_of(flight: Flight, card: Card, covered: Covered) -> tuple[Change, ...]:
    """What the flight covers and is no longer as it was; a value that was measured may have been written back."""
    changed = []
    for id in dict.fromkeys((*card.proves, *flight.values)):
        definition = definition_of(id, covered.pack.catalogue)
        if definition is None:
            continue
        before = flight.values.get(id, definition.unseen())
        if is_same(id, before, covered.value(id)) or _came_out(id, flight, covered):
            continue
        changed.append(Change(id, flight.texts.get(f"values:{id}", ""), covered.text(id), flight.places.get(f"values:{id}")))
    return tuple(changed)


def proven_ids(statuses: Mapping[str, Status], covered: Covered) -> frozenset[str]:
    """The settings and facts that flights have proven with the values they have now. A guessed value is never proven."""
    found = set()
    for status in statuses.values():
        if status.state != FLOWN or not status.proof:
            continue
        flight = status.proof[-1]
        for id in status.card.proves:
            if id == AIR_DENSITY or covered.setup.settings[id].origin == GUESS or not is_stated(covered.value(id)):
                continue
            measured = flight.measured.get(id)
            if covered.is_measured(id, measured) if measured is not None else id in flight.values:
                found.add(id)
    return frozenset(found)


def measured_values(statuses: Mapping[str, Status]) -> dict[str, Value]:
    """What valid proofs measured; the latest measurement of each."""
    flights = sorted((f for status in statuses.values() for f in status.proof), key=lambda f: f.order)
    return {id: value for flight in flights for id, value in flight.measured.items()}


def seen_values(statuses: Mapping[str, Status]) -> dict[str, tuple[Value, Flight]]:
    """Facts that valid proofs settled, with the flight; the latest of each."""
    flights = sorted((f for status in statuses.values() for f in status.proof), key=lambda f: f.order)
    return {id: (value, flight) for flight in flights for id, value in flight.seen.items()}


def _status(card: Card, flights: list[Flight], before: Mapping[str, Status], covered: Covered) -> Status:
    waiting = tuple(id for id in card.after if before[id].state != FLOWN)
    last_abort = max((i for i, f in enumerate(flights) if f.outcome == ABORTED), default=-1)
    passed = [f for f in flights[last_abort + 1 :] if f.outcome == PASSED]
    if not passed:
        state = FAILED if flights else OPEN
        return Status(card, state, flights[-1] if flights else None, waiting_for=waiting)
    valid = [f for f in passed if not changes_of(f, card, covered) and not _unsupported(card, f, before)]
    done = sum(f.repetitions for f in valid)
    if valid:
        state = FLOWN if done >= card.repetitions else BEGUN
        return Status(card, state, valid[-1], waiting_for=waiting, done=done, proof=tuple(valid))
    last = passed[-1]
    return Status(card, STALE, last, changes_of(last, card, covered), _unsupported(card, last, before), waiting)


def _unsupported(card: Card, flight: Flight, before: Mapping[str, Status]) -> tuple[str, ...]:
    """Why the cards that a flight rests on don't carry it."""
    reasons = []
    for id in card.after:
        under = before[id]
        carried = sum(f.repetitions for f in under.proof if f.order < flight.order)
        if carried >= under.card.repetitions:
            continue
        reasons.append(f"{id}, which {'was only flown after it' if under.state == FLOWN else 'is ' + _WORDS[under.state]}")
    return tuple(reasons)


_WORDS = {STALE: "stale", FAILED: "failed", BEGUN: "not complete", OPEN: "not flown"}


def _came_out(id: str, flight: Flight, covered: Covered) -> bool:
    """Whether the value now is what the flight itself measured, or saw on the bench."""
    if id in flight.measured and covered.is_measured(id, flight.measured[id]):
        return True
    for fact, value in flight.seen.items():
        if id in (fact, covered.pack.catalogue[fact].stands_for) and is_same(id, value, covered.value(id)):
            return True
    return False


def _applies(card: Card, pack: Pack, environment: Environment) -> bool:
    if card.when is None:
        return True
    return compile_condition(card.when, card_scope(card, pack))(environment) is not FALSE


def card_scope(card: Card, pack: Pack) -> Scope:
    """What the names in a card's formulas stand for."""
    named = {**pack.quantity_trees, **{("let", name): tree for name, tree in card.lets.items()}}
    return Scope(named, pack.functions, {}, {}, pack.shared)


def _present(after: tuple[str, ...], chosen: set[str], cards: Cards) -> tuple[str, ...]:
    """Prerequisites with those that are not for this craft replaced by what they rest on themselves."""
    found: dict[str, None] = {}
    for id in after:
        found.update(dict.fromkeys((id,) if id in chosen else _present(cards[id].after, chosen, cards)))
    return tuple(found)
