"""A draft: what each key of a controller's dumps probably means. Nothing is known; everything is a guess with its chance."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from cfglint.draft.amounts import Habits, Scales
from cfglint.draft.codes import Wording
from cfglint.draft.company import company_of
from cfglint.draft.contest import Standing, contest
from cfglint.draft.keys import Key, Keys, keys_of
from cfglint.draft.lexicon import Lexicon
from cfglint.draft.names import DECOY, Names
from cfglint.draft.score import Candidate, Judging
from cfglint.draft.words import Speller
from cfglint.setup.airframe import KINDS, family_of
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.convert import Reading
from cfglint.setup.name_map import KeyRule, NameMap
from cfglint.setup.setting import NO_FACTS, Facts
from cfglint.text.dump import Dump

PROPOSED, DOUBTFUL, NOTHING = "proposed", "doubtful", "none"
PROPOSED_FROM = 0.85
_DOUBTFUL_FROM = 0.10
_MOST_GUESSES = 3
_ROUNDS = 3
_LIKELY = 0.5
_LEAST_FIT = 0.03
_UNIT_UNKNOWN = 0.1


class Guess(NamedTuple):
    """What a key may mean. `chance`: that setting and unit are both right; `name_chance`: that the setting is.

    `unit` is None where the value carries its own, or where there is none. `codes`: raw word to the setting's word. `open`:
    values of an enumeration whose meaning has to be asked. `evidence`: what speaks for it, in words.
    """

    setting: str
    chance: float
    name_chance: float
    unit: str | None
    codes: Mapping[str, str]
    open: tuple[str, ...]
    evidence: tuple[str, ...]


class Proposal(NamedTuple):
    """One key with its guesses, the best first; `bin` is proposed, doubtful or none."""

    key: Key
    bin: str
    guesses: tuple[Guess, ...]


class Draft(NamedTuple):
    """All keys in the order of the dumps; `rows`: lines of columns by lead word, which a draft leaves to the pilot."""

    proposals: tuple[Proposal, ...]
    rows: tuple[tuple[str, int], ...]
    layout: Mapping[str, object]
    dropped: int = 0

    def binned(self, name: str) -> tuple[Proposal, ...]:
        """The keys of one bin."""
        return tuple(p for p in self.proposals if p.bin == name)

    def name_map(self) -> NameMap:
        """The proposed keys as a name map in which nothing is confirmed."""
        rules = {p.key.name: key_rule(p.key.name, p.guesses[0]) for p in self.binned(PROPOSED)}
        return NameMap("", "drafted in memory, nothing confirmed", False, "either", "", dict(self.layout), rules, (), (), ())


def draft_map(dumps: Sequence[Dump], catalogue: Catalogue, lexicon: Lexicon, facts: Facts = NO_FACTS) -> Draft:
    """Draft a name map from dumps of one controller; evidence of several dumps is pooled. Never raises on content."""
    return Drafting(catalogue, lexicon, facts).draft(dumps)


def key_rule(key: str, guess: Guess) -> KeyRule:
    """A guess as an entry of a name map, not confirmed."""
    return KeyRule(key, guess.setting, Reading(guess.unit, dict(guess.codes)), confirmed=False)


class Drafting:
    """What drafts share: catalogue, lexicon and their indexes."""

    def __init__(self, catalogue: Catalogue, lexicon: Lexicon, facts: Facts = NO_FACTS) -> None:
        self.catalogue, self.facts = catalogue, facts
        speller = Speller(lexicon)
        self.names = Names(catalogue, lexicon, speller)
        self.scales = Scales(lexicon, speller, facts)
        self.judging = Judging(self.scales, Wording(lexicon))
        self.kinds = facts.settings["craft.kind"].value.words & KINDS if "craft.kind" in facts.settings else frozenset()

    def draft(self, dumps: Sequence[Dump]) -> Draft:
        """The draft of some dumps of one controller."""
        keys = keys_of(dumps)
        likenesses = [self.names.likenesses(key) for key in keys.keys]
        habits: Habits = self.scales.habits()
        standings: list[list[Standing]] = []
        company: Sequence[Mapping[str, float]] = [{}] * len(keys.keys)
        for _ in range(_ROUNDS):
            table = [
                [self.judging.candidate(key, found, self.catalogue.get(found.setting), habits, beside) for found in own]
                for key, own, beside in zip(keys.keys, likenesses, company, strict=True)
            ]
            standings = contest([[c for c in row if self._may_fly(c)] for row in table])
            habits = self._learned(standings, habits)
            company = company_of(keys.keys, standings, self.scales.lexicon)
        return self._draft(dumps, keys, standings)

    def _may_fly(self, candidate: Candidate) -> bool:
        """Whether the craft, if its kind is known, can have the setting at all."""
        if not self.kinds or candidate.setting == DECOY:
            return True
        families = {family_of(kind) for kind in self.kinds}
        return bool(families & set(self.catalogue[candidate.setting].airframes))

    def _learned(self, standings: Sequence[Sequence[Standing]], used: Habits) -> dict[str, dict[str, float]]:
        """Units again, in the light of all values of a quantity together: a controller mostly keeps to one for each."""
        sums: dict[str, dict[str, float]] = {}
        for row in standings:
            if row and row[0].is_chosen and row[0].chance > _LIKELY:
                candidate = row[0].candidate
                quantity = self.scales.quantity(self.catalogue[candidate.setting])
                at = sums.setdefault(quantity, dict.fromkeys(used.get(quantity, {}), 0.0))
                for unit, weight in _spoken_for(candidate, used.get(quantity, {})).items():
                    at[unit] += row[0].chance * math.log(weight)
        habits = self.scales.habits()
        consistent = self.scales.lexicon.consistent
        for quantity, logs in sums.items():
            habits[quantity] = _with_votes(habits[quantity], logs, consistent.get(quantity, consistent[""]))
        return habits

    def _draft(self, dumps: Sequence[Dump], keys: Keys, standings: Sequence[Sequence[Standing]]) -> Draft:
        proposals = tuple(_proposal(key, row, self.catalogue) for key, row in zip(keys.keys, standings, strict=True))
        layout = _layout_of(dumps[0]) if dumps else {}
        return Draft(proposals, keys.rows, layout, keys.dropped)


def _spoken_for(candidate: Candidate, used: Mapping[str, float]) -> dict[str, float]:
    """By unit, how well the key's values fit, 1 for the best; nothing where the values carry their own units."""
    named = [(a.unit, a.share) for a in candidate.units if a.unit is not None and used.get(a.unit, 0.0) > 0]
    fits = {unit: 1.0 if candidate.unit_told else share / used[unit] for unit, share in named}
    best = max(fits.values(), default=0.0)
    return {unit: max(_LEAST_FIT, fits.get(unit, 0.0) / best) for unit in used} if best else {}


def _with_votes(prior: Mapping[str, float], logs: Mapping[str, float], consistency: float) -> dict[str, float]:
    """The prior, and what one unit for all values would be, mixed by how consistent controllers are in that quantity."""
    top = max(logs.values(), default=0.0)
    joint = {unit: share * math.exp(logs.get(unit, top) - top) for unit, share in prior.items()}
    total = sum(joint.values()) or 1.0
    return {unit: consistency * joint[unit] / total + (1 - consistency) * share for unit, share in prior.items()}


def _proposal(key: Key, row: Sequence[Standing], catalogue: Catalogue) -> Proposal:
    guesses = tuple(_guess(key, standing, catalogue) for standing in row[: _MOST_GUESSES + 2])
    ranked = sorted((g for g in guesses if g.name_chance >= _DOUBTFUL_FROM / 2), key=lambda g: -g.chance)[:_MOST_GUESSES]
    if not ranked or ranked[0].name_chance < _DOUBTFUL_FROM:
        return Proposal(key, NOTHING, ())
    chosen = bool(row and row[0].is_chosen and row[0].candidate.setting == ranked[0].setting)
    bin = PROPOSED if chosen and ranked[0].chance >= PROPOSED_FROM else DOUBTFUL
    return Proposal(key, bin, tuple(ranked))


def _guess(key: Key, standing: Standing, catalogue: Catalogue) -> Guess:
    candidate = standing.candidate
    name_chance = standing.chance
    unit = candidate.units[0] if candidate.units else None
    without = _UNIT_UNKNOWN if catalogue[candidate.setting].is_number else 1.0
    chance = name_chance * (unit.share if unit else without)
    return Guess(
        candidate.setting,
        chance,
        name_chance,
        unit.unit if unit else None,
        dict(candidate.codes),
        candidate.open,
        _evidence(key, candidate),
    )


def _evidence(key: Key, candidate: Candidate) -> tuple[str, ...]:
    found = candidate.likeness
    said = [f'named like "{found.phrase}" ({found.asked:.0%} of it, {found.explained:.0%} of the key)']
    if candidate.units:
        first = candidate.units[0]
        how = "stated beside the value" if candidate.unit_told else f"{first.share:.0%} likely by the value"
        said.append(f"unit {first.unit or 'as written'}: {how}")
        said += [f"or {other.unit}: {other.share:.0%}" for other in candidate.units[1:3] if other.share >= 0.03]
    if candidate.codes:
        said.append(f"{len(candidate.codes)} of its words understood")
    if candidate.open:
        said.append(f"to be asked: what {', '.join(candidate.open[:6])} means")
    return tuple(said)


def _layout_of(dump: Dump) -> dict[str, object]:
    """The fields of the layout that a map fixes."""
    layout = dump.layout
    fields: dict[str, object] = {"separator": layout.separator}
    if layout.lead_words:
        fields["lead_words"] = layout.lead_words
    if layout.sections != "none":
        fields["sections"] = layout.sections
        if layout.section_word:
            fields["section_word"] = layout.section_word
    if layout.rows:
        fields["rows"] = layout.rows
    if layout.columns:
        fields |= {
            "key_column": layout.key_column,
            "value_column": layout.value_column,
            "skip_header": layout.skip_header,
        }
    return fields
