"""Names cut into words, short forms spelled out, words turned into concepts."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from cfglint.draft.lexicon import Lexicon, Phrase

_PIECE = re.compile(r"[A-Z]{1,40}(?![a-z])|[A-Z]?[a-z]{1,80}|[0-9]{1,12}|[^\W\d_A-Za-z]{1,80}")
_LONGEST_NAME = 200
_MOST_PIECES = 24
_LONGEST_PIECE = 14
_LONGEST_GLUED = 40
_LAST_LETTERS, _FIRST_LETTERS = frozenset("pidxyz"), frozenset("dvn")

Alternatives = tuple[tuple[str, float], ...]


class Slot(NamedTuple):
    """One word of a name: as written, what it may mean (concept to weight, 0 to 1), whether anybody knows it, whether it is part
    of a unit, and whether it stands in the key itself and not in its section.
    """

    word: str
    concepts: Mapping[str, float]
    is_known: bool = True
    is_unit: bool = False
    is_own: bool = True


def split_name(name: str) -> list[str]:
    """The pieces of a name in lower case: cut at marks, at changes of case, between letters and digits."""
    return [piece.lower() for piece in _PIECE.findall(name[:_LONGEST_NAME])[:_MOST_PIECES]]


class Speller:
    """Spells out names with one lexicon; what was spelled out once is remembered."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.unit_words = frozenset(phrase[0] for phrase in lexicon.unit_phrases if len(phrase) == 1 and len(phrase[0]) > 1)
        self._memo: dict[str, list[Alternatives]] = {}

    def slots(self, pieces: Sequence[str], section: Sequence[str] = ()) -> tuple[Slot, ...]:
        """The pieces of a name, behind those of its section, as slots; words without a meaning of their own are left out."""
        before = [alternatives for piece in section for alternatives in self.spelled(piece)][:_MOST_PIECES]
        words = [alternatives for piece in pieces for alternatives in self.spelled(piece)][: 2 * _MOST_PIECES]
        return self._slots([*before, *words], _unit_suffix(words, self.lexicon), len(before))

    def phrase(self, text: str) -> tuple[Slot, ...]:
        """A phrase of the catalogue or the lexicon as slots; a word with "_" is a concept by name."""
        named = text.lower().replace("-", " ").split()
        parts = [part for word in named for part in ((word,) if word in self.lexicon.concepts else word.split("_"))]
        return self._slots([((self._singular(part), 1.0),) for part in parts], 0)

    def _singular(self, word: str) -> str:
        forms = (word, word.removesuffix("s"), word.removesuffix("es")) if len(word) > 3 else (word,)
        return next((form for form in forms if form in self.lexicon.vocabulary), word)

    def unit_of(self, pieces: Sequence[str]) -> str | None:
        """The unit that a name ends in, such as `cm_per_s`."""
        words = [alternatives for piece in pieces for alternatives in self.spelled(piece)]
        count = _unit_suffix(words, self.lexicon)
        return self.lexicon.unit_phrases[tuple(w[0][0] for w in words[-count:])] if count else None

    def spelled(self, piece: str) -> list[Alternatives]:
        """A piece as words, each with its alternatives; one that nobody knows stays as it is."""
        known = self._memo.get(piece)
        if known is None:
            known = self._memo[piece] = self._spell(piece)
        return known

    def _spell(self, piece: str) -> list[Alternatives]:
        found = self._word(piece)
        if found is not None:
            return found
        return self._cut(piece) or [((piece, 1.0),)]

    def _word(self, piece: str) -> list[Alternatives] | None:
        lexicon = self.lexicon
        known = piece in lexicon.vocabulary or piece in lexicon.empty or piece in self.unit_words
        if known or piece.isdigit() or len(piece) == 1:
            more = [(words[0], 0.8) for words, _ in lexicon.abbreviations.get(piece, ()) if len(words) == 1 and words[0] != piece]
            return [((piece, 1.0), *more)]
        form = self._singular(piece)
        if form in lexicon.vocabulary:
            return [((form, 0.95),)]
        form = next((f for f in (piece, piece.removesuffix("s")) if f in lexicon.abbreviations), "")
        return _expanded(lexicon.abbreviations[form]) if form else None

    def _cut(self, piece: str) -> list[Alternatives] | None:
        """The cheapest way to cut glued words apart; None when no way is good."""
        size = len(piece)
        if not 3 < size <= _LONGEST_GLUED or not piece.isalpha():
            return None
        best: list[tuple[float, int]] = [(0.0, 0)] + [(1e9, 0)] * size
        for end in range(1, size + 1):
            for start in range(max(0, end - _LONGEST_PIECE), end):
                if best[start][0] < 1e9:
                    cost = best[start][0] + self._cost(piece[start:end], start, end == size)
                    if cost < best[end][0]:
                        best[end] = cost, start
        if best[size][0] >= 1e8:
            return None
        parts: list[str] = []
        end = size
        while end:
            parts.append(piece[best[end][1] : end])
            end = best[end][1]
        return [alternatives for part in reversed(parts) for alternatives in (self._word(part) or [((part, 0.5),)])]

    def _cost(self, part: str, start: int, is_last: bool) -> float:
        lexicon, size = self.lexicon, len(part)
        if size == 1:
            if not start:
                return 1.7 if part in _FIRST_LETTERS else 1e9
            return 1.25 if is_last and part in _LAST_LETTERS else 1e9
        if part in lexicon.vocabulary:
            return 1.0 if size > 2 else 1.7
        if part in self.unit_words and is_last and start:
            return 1.3
        expansions = lexicon.abbreviations.get(part)
        if expansions:
            explicit = expansions[0][1] > 0.9
            return (1.1 if size > 2 else 1.35) if explicit else 1.5 + (0.9 - expansions[0][1])
        if part in lexicon.empty:
            return 1.6
        return 1.2 if size > 4 and part.endswith("s") and part[:-1] in lexicon.vocabulary else 1e9

    def _slots(self, words: Sequence[Alternatives], unit_words: int, of_section: int = 0) -> tuple[Slot, ...]:
        lexicon = self.lexicon
        found: list[dict[str, float]] = [{} for _ in words]
        _match(words, range(len(words)), lexicon, found)
        full = [i for i, alternatives in enumerate(words) if alternatives[0][0] not in lexicon.empty]
        if len(full) < len(words):
            _match(words, full, lexicon, found)
        slots = []
        first_unit = len(words) - unit_words
        for index, (alternatives, concepts) in enumerate(zip(words, found, strict=True)):
            word = alternatives[0][0]
            if word in lexicon.empty and not concepts and index < first_unit:
                continue
            known = bool(concepts) or word in lexicon.vocabulary
            slots.append(Slot(word, concepts or {word: 1.0}, known, index >= first_unit, index >= of_section))
        return tuple(slots)


def _match(words: Sequence[Alternatives], places: Sequence[int], lexicon: Lexicon, found: list[dict[str, float]]) -> None:
    """Note at each word the concepts of all phrases that cover it; a word alone counts less where a longer phrase holds."""
    for start, place in enumerate(places):
        for word, weight in words[place]:
            for phrase, concept in lexicon.phrases.get(word, ()):
                whole = _phrase_weight(phrase, words, places, start, weight)
                for offset in range(len(phrase)) if whole else ():
                    at = found[places[start + offset]]
                    at[concept] = max(whole, at.get(concept, 0.0))
            if "_" in word and word in lexicon.concepts:
                found[place][word] = 1.0


def _phrase_weight(phrase: Phrase, words: Sequence[Alternatives], places: Sequence[int], start: int, weight: float) -> float:
    if start + len(phrase) > len(places):
        return 0.0
    for offset, wanted in enumerate(phrase[1:], 1):
        other = next((w for word, w in words[places[start + offset]] if word == wanted), 0.0)
        if not other:
            return 0.0
        weight = min(weight, other)
    return weight


def _unit_suffix(words: Sequence[Alternatives], lexicon: Lexicon) -> int:
    """How many words at the end of a name are its unit; never all of them."""
    texts = [alternatives[0][0] for alternatives in words]
    for count in range(min(5, len(texts) - 1), 0, -1):
        if tuple(texts[-count:]) in lexicon.unit_phrases:
            return count
    return 0


def _expanded(expansions: Sequence[tuple[Phrase, float]]) -> list[Alternatives]:
    """Expansions of one word are alternatives; a first one of several words stands alone."""
    first, weight = expansions[0]
    if len(first) > 1:
        return [((word, weight),) for word in first]
    return [tuple((words[0], weight) for words, weight in expansions if len(words) == 1)]
