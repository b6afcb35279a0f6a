"""Which unit a number is written in: what its name and remarks say, what is usual, and where such values lie."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from cfglint.draft.keys import Key
from cfglint.draft.lexicon import Lexicon, unit_text_words
from cfglint.draft.names import family_of
from cfglint.draft.words import Speller
from cfglint.quantity.unit import PULSE, Dimension, Unit, UnitError, parse_unit, to_base
from cfglint.setup.catalogue import Definition
from cfglint.setup.convert import stick_unit
from cfglint.setup.setting import NO_FACTS, Facts
from cfglint.text.value import Between, Number, Quoted, parse_value

_BACKGROUND = 0.2
_LEAST_LIKELY = 0.004
_NOT_WHOLE = -4.0
_TOLD, _TOLD_EXTRA, _TOLD_OTHER = 0.985, 0.5, -2.0
_SPREAD = 0.16
_FLAT = 0.35


class Amount(NamedTuple):
    """One unit a key may be written in, None where every value carries its own; `share` is its probability given the name."""

    unit: str | None
    share: float


class Amounts(NamedTuple):
    """All units a key may have for one setting, the likeliest first; `evidence`: how much the values speak for it (log)."""

    units: tuple[Amount, ...]
    evidence: float
    told: bool = False


NO_AMOUNTS = Amounts((), -4.0)
_ONLY_OFF = Amounts((Amount(None, 0.5),), -0.3)
OFF_TEXTS = frozenset(("off", "none", "never", "no", "disabled"))
Habits = Mapping[str, Mapping[str, float]]


class Scales:
    """Weighs units with one lexicon."""

    def __init__(self, lexicon: Lexicon, speller: Speller, facts: Facts = NO_FACTS) -> None:
        self.lexicon, self.speller = lexicon, speller
        self._usual: dict[str, tuple[float, float] | None] = dict(_by_facts(lexicon, facts))
        self._told: dict[str, dict[Dimension, str]] = {}

    def amounts(self, key: Key, definition: Definition, habits: Habits) -> Amounts:
        """The units that a numeric setting's key may have. `habits`: by quantity, how usual each unit is on this controller."""
        numbers = [number for value in key.values for number in _numbers(value)]
        if not numbers:
            return (
                _ONLY_OFF
                if definition.off is not None and all(v.strip().lower() in OFF_TEXTS for v in key.values)
                else NO_AMOUNTS
            )
        if any(number.unit for number in numbers):
            return self._carried(numbers, definition)
        prior = habits.get(self.quantity(definition), {definition.unit: 1.0})
        told = self._worked_out(key, numbers, definition, prior) or self._told_unit(key, definition)
        prior = {told: 1.0} if told else prior
        likely = {unit: share * self._likelihood(numbers, parse_unit(unit), definition) for unit, share in prior.items()}
        total = sum(likely.values())
        if total <= 0.0:
            return NO_AMOUNTS
        ranked = sorted(likely.items(), key=lambda pair: (-pair[1], pair[0]))
        shares = tuple(Amount(unit, weight / total * (_TOLD if told else 1.0)) for unit, weight in ranked if weight > 0)
        if family_of(definition.id) in self.lexicon.whole and any(number.denominator != 1 for number in numbers):
            return Amounts(shares, _NOT_WHOLE, bool(told))
        told_other = not told and bool(self._told.get(key.name))
        extra = _TOLD_EXTRA if told else _TOLD_OTHER if told_other else 0.0
        return Amounts(shares, math.log(max(total, 1e-3) / _BACKGROUND) + extra, bool(told))

    def quantity(self, definition: Definition) -> str:
        """The name of the table of units that a setting uses."""
        if definition.id == "gnss.max_hdop":
            return "hdop"
        if _is_pulse_width(definition):
            return "us width"
        if definition.shown_in.dimension == PULSE and _is_throttle(definition.id):
            return "throttle"
        return definition.unit or "1"

    def habits(self) -> dict[str, dict[str, float]]:
        """How usual each unit is before anything is known of the controller."""
        units = {quantity: dict(shares) for quantity, shares in self.lexicon.units.items()}
        return {**units, "us width": {"us": 1.0}}

    def _carried(self, numbers: Sequence[Number], definition: Definition) -> Amounts:
        own = definition.shown_in.dimension
        for number in numbers:
            if not number.unit:
                return NO_AMOUNTS._replace(evidence=-1.0)
            try:
                unit = parse_unit(stick_unit(number.unit, own))
            except UnitError:
                return NO_AMOUNTS
            base = to_base(number.numerator, number.denominator, unit)
            if unit.dimension != own or not _possible(base, definition):
                return NO_AMOUNTS._replace(evidence=-6.0)
        unit = parse_unit(stick_unit(numbers[0].unit, own))
        plain = [Number(n.numerator, n.denominator, "", n.step_numerator, n.step_denominator) for n in numbers]
        weight = self._likelihood(plain, unit, definition)
        return Amounts((Amount(None, 0.995),), 1.6 + max(-2.0, math.log(max(weight, 1e-3) / _BACKGROUND)), True)

    def _worked_out(self, key: Key, numbers: Sequence[Number], definition: Definition, units: Mapping[str, float]) -> str | None:
        """The unit in which the value is the quantity that a remark states: 170 beside "17 m/s" is in tenths."""
        for stated in self._stated(key, definition.shown_in.dimension):
            for text in units:
                unit = parse_unit(text)
                if any(abs(to_base(n.numerator, n.denominator, unit) - stated) <= 0.01 * abs(stated) for n in numbers):
                    return text
        return None

    def _stated(self, key: Key, dimension: Dimension) -> Iterable[float]:
        """Quantities of one kind, other than zero, that the remarks state, in base units."""
        for remark in key.remarks[:3]:
            words = unit_text_words(remark)[:24]
            for number, unit_word in itertools.pairwise(words):
                unit = self.lexicon.unit_phrases.get((unit_word,))
                parsed = parse_value(number)
                if unit and isinstance(parsed, Number) and not parsed.unit and parsed.numerator:
                    known = parse_unit(stick_unit(unit, dimension))
                    if known.dimension == dimension:
                        yield to_base(parsed.numerator, parsed.denominator, known)

    def _told_unit(self, key: Key, definition: Definition) -> str | None:
        """The unit that the key's name or a remark states, if it is one of the setting's kind."""
        units = self._told.get(key.name)
        if units is None:
            units = self._told[key.name] = self._told_units(key)
        own = definition.shown_in.dimension
        found = units.get(own)
        if found is None and own == PULSE:
            percent = units.get(parse_unit("%").dimension)
            return stick_unit(percent, own) if percent else None
        return found

    def _told_units(self, key: Key) -> dict[Dimension, str]:
        found: dict[Dimension, str] = {}
        named = self.speller.unit_of(key.pieces)
        for unit in (*([named] if named else []), *(u for remark in key.remarks for u in self._units_in(remark))):
            found.setdefault(parse_unit(unit).dimension, unit)
        return found

    def _units_in(self, remark: str) -> Iterable[str]:
        """Units named in a remark, the longest phrases first; a single letter only where little else is said."""
        words = unit_text_words(remark)[:24]
        place = 0
        while place < len(words):
            for size in range(min(6, len(words) - place), 0, -1):
                phrase = tuple(words[place : place + size])
                unit = self.lexicon.unit_phrases.get(phrase)
                counted = place > 0 and words[place - 1].replace(".", "").isdigit()
                if unit and not counted and (len(phrase[0]) > 1 or size > 1 or len(words) <= 2):
                    yield unit
                    place += size - 1
                    break
            place += 1

    def _likelihood(self, numbers: Sequence[Number], unit: Unit, definition: Definition) -> float:
        """Density of the values, by powers of ten, around what is usual for the setting; 0 where one is impossible."""
        total = 0.0
        for number in numbers:
            base = to_base(number.numerator, number.denominator, unit)
            if not _possible(base, definition):
                return 0.0
            if definition.kind == "count" and not float(base).is_integer():
                return 0.0
            total += math.log(self._density(base, definition))
        return math.exp(total / len(numbers))

    def _density(self, base: float, definition: Definition) -> float:
        usual = self._usual_of(definition)
        if definition.off is not None and base == definition.off:
            return _FLAT * 0.6
        if usual is None:
            return _FLAT
        low, high = usual
        if definition.shown_in.dimension == PULSE and not _is_pulse_width(definition):
            middle, spread = (low + high) / 2, max((high - low) / 2, 15.0)
            return max(_LEAST_LIKELY * 2, 1.6 * math.exp(-0.5 * ((base - middle) / spread) ** 2) + 0.02)
        size = abs(base)
        if size == 0.0:
            return _FLAT if definition.low < 0 else _FLAT * 0.4
        middle, spread = (math.log10(low) + math.log10(high)) / 2, (math.log10(high) - math.log10(low)) / 2 + _SPREAD
        distance = (math.log10(size) - middle) / spread
        return max(_LEAST_LIKELY, math.exp(-0.5 * distance * distance) / (spread * 2.5066))

    def _usual_of(self, definition: Definition) -> tuple[float, float] | None:
        if definition.id not in self._usual:
            text = self.lexicon.usual.get(definition.id) or self.lexicon.usual.get(family_of(definition.id))
            self._usual[definition.id] = _range(text, definition) if text else None
        return self._usual[definition.id]


def _by_facts(lexicon: Lexicon, facts: Facts) -> Iterable[tuple[str, tuple[float, float]]]:
    """Where values lie of which a fact of the craft tells."""
    for setting, id in lexicon.facts.items():
        fact = facts.settings.get(id)
        if fact is not None and 0 < fact.value.low <= fact.value.high < math.inf:
            yield setting, (fact.value.low, fact.value.high)


def _is_pulse_width(definition: Definition) -> bool:
    """A stretch of stick travel, such as a dead zone, and not a place on it."""
    return definition.shown_in.dimension == PULSE and definition.high < 500


def _is_throttle(id: str) -> bool:
    """A throttle, often written as a share of its travel, where pulses of receivers, motors and servos hardly ever are."""
    return "throttle" in id or id == "motor.idle"


def _possible(base: float, definition: Definition) -> bool:
    return definition.low <= base <= definition.high or base == definition.off


def _range(text: str, definition: Definition) -> tuple[float, float] | None:
    parsed = parse_value(text)
    if not isinstance(parsed, Between):
        return None
    unit = parse_unit(parsed.low.unit) if parsed.low.unit else definition.shown_in
    low, high = (to_base(n.numerator, n.denominator, unit) for n in (parsed.low, parsed.high))
    return (low, high) if 0 < low < high else None


def _numbers(value: str) -> list[Number]:
    parsed = parse_value(value)
    if isinstance(parsed, Quoted):
        parsed = parse_value(parsed.text)
    if isinstance(parsed, Number):
        return [parsed]
    return [parsed.low, parsed.high] if isinstance(parsed, Between) else []
