"""How well a key's words fit the words of a setting: shared concepts, weighed by how rare they are."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from cfglint.draft.keys import Key
from cfglint.draft.lexicon import FOREIGN, Lexicon
from cfglint.draft.words import Slot, Speller, split_name
from cfglint.setup.catalogue import Catalogue, Definition

DECOY = ""
_SECTION, _REMARK = 0.92, 0.45
_ALSO = 0.3
_MOST_CANDIDATES = 14
_LEAST_COVERED = 0.45
_UNKNOWN_WEIGHT, _FOREIGN_WEIGHT, _DIGIT_WEIGHT = 2.2, 5.0, 1.2
_UNEXPLAINED_SECTION, _FOREIGN_SECTION = 0.12, 0.9


class Likeness(NamedTuple):
    """How a key fits a setting by name alone; `setting` is "" for a near miss that is no setting.

    `asked`: how much of the setting's phrase the key has (0 to 1); `explained`: how much of the key the phrase explains (0 to 1);
    `mass`: the weight of what they share; `opposed`: how many words contradict; `phrase`: the phrase that fits best.
    """

    setting: str
    asked: float
    explained: float
    mass: float
    opposed: int
    phrase: str


class _Phrase(NamedTuple):
    setting: str
    text: str
    slots: tuple[Slot, ...]
    weights: tuple[float, ...]
    total: float


class _Word(NamedTuple):
    """A word of a key or its section with its concepts, their near ones included, and its weight when nothing explains it."""

    concepts: Mapping[str, float]
    weight: float
    is_own: bool


class Names:
    """All phrases of all settings, indexed by concept."""

    def __init__(self, catalogue: Catalogue, lexicon: Lexicon, speller: Speller) -> None:
        self.lexicon, self.speller = lexicon, speller
        texts = [(d.id, text) for d in catalogue.values() if _is_draftable(d) for text in _texts(d, lexicon)]
        texts += [(DECOY, text) for text in lexicon.decoys]
        slotted = [(setting, text, speller.phrase(text)) for setting, text in dict.fromkeys(texts)]
        self.rarity = _rarity(slotted)
        self.phrases: list[_Phrase] = []
        self.places: dict[str, list[tuple[int, int]]] = {}
        for setting, text, slots in slotted:
            if slots:
                self._add(setting, text, slots)
        self.concepts_of: dict[str, set[str]] = {}
        for phrase in self.phrases:
            at = self.concepts_of.setdefault(phrase.setting, set())
            at.update(c for slot in phrase.slots for c, w in slot.concepts.items() if w > 0.6)

    def likenesses(self, key: Key) -> list[Likeness]:
        """The settings whose names fit best, and the best near miss, the best first."""
        words = self._words(key)
        shared = self._shared(words)
        best: dict[str, Likeness] = {}
        for index, parts in shared.items():
            phrase = self.phrases[index]
            mass = sum(parts.values())
            if mass < _LEAST_COVERED * phrase.total:
                continue
            found = self._likeness(phrase, mass, words)
            at = best.get(phrase.setting)
            if at is None or _order(found) > _order(at):
                best[phrase.setting] = found
        return sorted(best.values(), key=_order, reverse=True)[:_MOST_CANDIDATES]

    def weight(self, concept: str) -> float:
        """How much a concept tells: 0 for one that every setting has."""
        return self.rarity.get(concept, _UNKNOWN_WEIGHT)

    def _add(self, setting: str, text: str, slots: tuple[Slot, ...]) -> None:
        single = [min((self.weight(c) for c, w in s.concepts.items() if w > 0.5), default=1.0) for s in slots]
        weights = tuple(w * (_ALSO if n and _share_phrase(slots[n - 1], slots[n]) else 1.0) for n, w in enumerate(single))
        for number, slot in enumerate(slots):
            for concept in slot.concepts:
                self.places.setdefault(concept, []).append((len(self.phrases), number))
        self.phrases.append(_Phrase(setting, text, slots, weights, sum(weights)))

    def _words(self, key: Key) -> list[_Word]:
        slots = self.speller.slots(key.pieces, key.section)
        words = [self._word(slot, 1.0 if slot.is_own else _SECTION, slot.is_own) for slot in slots]
        for remark in key.remarks[:3]:
            words += [self._remark(slot) for slot in self.speller.slots(split_name(remark)[:12])]
        return words

    def _remark(self, slot: Slot) -> _Word:
        """A word beside the key supports, and weighs nothing when unexplained, unless it belongs to something else on board."""
        word = self._word(slot, _REMARK, False)
        return word if word.weight >= _FOREIGN_WEIGHT * _FOREIGN_SECTION else word._replace(weight=0.0)

    def _word(self, slot: Slot, trust: float, is_own: bool) -> _Word:
        concepts: dict[str, float] = {}
        for concept, weight in slot.concepts.items():
            concepts[concept] = max(weight * trust, concepts.get(concept, 0.0))
            for other, nearness in self.lexicon.near.get(concept, {}).items():
                concepts[other] = max(weight * trust * nearness, concepts.get(other, 0.0))
        return _Word(concepts, self._own_weight(slot, is_own), is_own)

    def _own_weight(self, slot: Slot, is_own: bool) -> float:
        if slot.is_unit:
            return 0.0
        foreign = max((w for c, w in slot.concepts.items() if c.startswith(FOREIGN)), default=0.0)
        native = max((w for c, w in slot.concepts.items() if not c.startswith(FOREIGN)), default=0.0)
        if foreign > native or (foreign and foreign >= 0.9):
            return _FOREIGN_WEIGHT * (1.0 if is_own else _FOREIGN_SECTION)
        if slot.word.isdigit():
            weight = _DIGIT_WEIGHT
        else:
            weight = min((self.weight(c) for c in slot.concepts if not c.startswith(FOREIGN)), default=_UNKNOWN_WEIGHT)
        weight = weight if slot.is_known else max(_UNKNOWN_WEIGHT, 0.0)
        weight *= 0.45 if slot.word in self.lexicon.faint else 1.0
        return weight * (1.0 if is_own else _UNEXPLAINED_SECTION)

    def _shared(self, words: Sequence[_Word]) -> dict[int, dict[int, float]]:
        """For each phrase, the weight of each of its words that the key has."""
        concepts: dict[str, float] = {}
        for word in words:
            for concept, weight in word.concepts.items():
                concepts[concept] = max(weight, concepts.get(concept, 0.0))
        shared: dict[int, dict[int, float]] = {}
        for concept, weight in concepts.items():
            for index, number in self.places.get(concept, ()):
                phrase = self.phrases[index]
                got = phrase.weights[number] * min(weight, phrase.slots[number].concepts[concept])
                parts = shared.setdefault(index, {})
                if got > parts.get(number, 0.0):
                    parts[number] = got
        return shared

    def _likeness(self, phrase: _Phrase, mass: float, words: Sequence[_Word]) -> Likeness:
        wanted: dict[str, float] = {}
        for slot in phrase.slots:
            for concept, weight in slot.concepts.items():
                wanted[concept] = max(weight, wanted.get(concept, 0.0))
        known = self.concepts_of.get(phrase.setting, set()) if phrase.setting else set()
        total = explained = 0.0
        for word in words:
            fit = max((min(w, wanted[c]) for c, w in word.concepts.items() if c in wanted), default=0.0)
            if not fit and known:
                fit = 0.55 * max((w for c, w in word.concepts.items() if c in known), default=0.0)
            total += word.weight
            explained += word.weight * fit
        opposed = self._opposed(phrase, words)
        return Likeness(phrase.setting, mass / phrase.total, explained / total if total else 0.0, mass, opposed, phrase.text)

    def _opposed(self, phrase: _Phrase, words: Sequence[_Word]) -> int:
        groups = self.lexicon.opposites
        mine = {c for slot in phrase.slots for c, w in slot.concepts.items() if w > 0.6 and c in groups}
        count = 0
        for word in words:
            if not word.is_own and word.weight == 0.0:
                continue
            strong = [c for c, w in word.concepts.items() if c in groups and w > 0.8]
            theirs = {groups[c] for c in strong}
            for group in theirs:
                own = {c for c in mine if groups[c] == group}
                if own and not any(word.concepts.get(c, 0.0) > 0.6 for c in own) and not _has_elsewhere(own, words, word):
                    count += 1
        return count


def _share_phrase(one: Slot, other: Slot) -> bool:
    """Whether two neighbours are parts of one phrase with one meaning."""
    return any(weight >= 0.9 and other.concepts.get(concept, 0.0) >= 0.9 for concept, weight in one.concepts.items())


def _has_elsewhere(concepts: Iterable[str], words: Sequence[_Word], but: _Word) -> bool:
    return any(word is not but and word.concepts.get(c, 0.0) > 0.6 for c in concepts for word in words)


def _order(found: Likeness) -> float:
    return found.asked * found.explained + 0.02 * found.mass - 0.3 * found.opposed


def _is_draftable(definition: Definition) -> bool:
    return not definition.is_fact and "@" not in definition.id


def _texts(definition: Definition, lexicon: Lexicon) -> list[str]:
    """All phrases of a setting, with names filled in; its id is one of them."""
    id, names = definition.id, _names_in(definition.id)
    family = family_of(id)
    texts = [id.replace(".", " "), *lexicon.setting_phrases.get(id, ()), *lexicon.setting_phrases.get(family, ())]
    filled = [*texts, *definition.known_as]
    for placeholder in ("{axis}", "{mode}", "{surface}"):
        filled = [text.replace(placeholder, names) for text in filled]
    return [text for text in filled if "{" not in text]


def family_of(id: str) -> str:
    """The id with a placeholder where it belongs to a family: `gain.{axis}.p`."""
    head, _, rest = id.partition(".")
    _middle, _, last = rest.partition(".")
    placeholder = {"gain": "{axis}", "switch": "{mode}", "servo": "{surface}"}.get(head)
    if placeholder and last:
        return f"{head}.{placeholder}.{last}"
    if head in ("mounting", "trim"):
        return f"{head}.{{axis}}"
    stem, mark, axis = id.rpartition("_")
    return stem + "_{axis}" if mark and axis in ("x", "y", "z") else id


def topic_of(id: str, lexicon: Lexicon) -> str:
    """The topic that an id belongs to; "" for none."""
    head = id.partition(".")[0]
    return lexicon.topics.get(head, head)


def _names_in(id: str) -> str:
    family = family_of(id)
    if family == id:
        return ""
    before, _, after = family.partition("{")
    after = after.partition("}")[2]
    return id[len(before) : len(id) - len(after) or None]


def _rarity(slotted: Iterable[tuple[str, str, tuple[Slot, ...]]]) -> dict[str, float]:
    """Concepts by rarity: the logarithm of families for each family that has the concept."""
    having: dict[str, set[str]] = {}
    families: set[str] = set()
    for setting, text, slots in slotted:
        family = family_of(setting) or text
        families.add(family)
        for slot in slots:
            for concept, weight in slot.concepts.items():
                if weight > 0.6:
                    having.setdefault(concept, set()).add(family)
    counts = Counter({concept: len(at) for concept, at in having.items()})
    return {concept: max(0.5, math.log((len(families) + 1) / (count + 0.5))) for concept, count in counts.items()}
