"""What the words of a choice mean. Codes that are numbers are never guessed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from cfglint.draft.keys import Key
from cfglint.draft.lexicon import Lexicon
from cfglint.draft.words import split_name
from cfglint.setup.catalogue import Definition
from cfglint.setup.convert import convert
from cfglint.text.value import Number, Quoted, parse_value

_LARGEST_CODE = 99


class Codes(NamedTuple):
    """The codes of a key for one setting: raw text to word, what is open, and how much the values speak for the setting (log)."""

    codes: Mapping[str, str]
    open: tuple[str, ...]
    evidence: float


class Wording:
    """Reads words of choices with one lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._meanings: dict[str, list[tuple[str, int]]] = {}
        for word, texts in lexicon.words.items():
            for text in (word.replace("_", " "), *texts):
                self._meanings.setdefault(_joined(text), []).append((word, 0 if text == word.replace("_", " ") else 1))

    def codes(self, key: Key, definition: Definition) -> Codes:
        """What the values of a key mean for a choice or a switch."""
        found: dict[str, str] = {}
        open_codes: list[str] = []
        evidence = 0.0
        for raw in (_bare(value) for value in key.values):
            number = parse_value(raw)
            if isinstance(number, Number):
                open_codes.append(raw)
                evidence += _number_evidence(number, definition)
                continue
            if not convert(raw, definition).wrong:
                evidence += 2.5
                continue
            word = self._word(raw, definition.words)
            if word:
                found[raw] = word
                evidence += 2.0
            else:
                open_codes.append(raw)
                evidence -= 2.5
        return Codes(found, tuple(dict.fromkeys(open_codes)), evidence / max(1, len(key.values)))

    def _word(self, raw: str, words: Sequence[str]) -> str:
        ranked = sorted((rank, word) for word, rank in self._meanings.get(_joined(raw), ()) if word in words)
        if not ranked or (len(ranked) > 1 and ranked[0][0] == ranked[1][0]):
            return ""
        return ranked[0][1]


def _number_evidence(number: Number, definition: Definition) -> float:
    """A code is a small whole number without a unit; a switch is 0 or 1."""
    if number.unit or number.denominator != 1 or not 0 <= number.numerator <= _LARGEST_CODE:
        return -6.0
    if definition.kind == "switch":
        return 0.6 if number.numerator in (0, 1) else -5.0
    return 0.0 if number.numerator <= 2 * len(definition.words) + 6 else -1.0


def _bare(value: str) -> str:
    parsed = parse_value(value)
    return parsed.text if isinstance(parsed, Quoted) else value.strip()


def _joined(text: str) -> str:
    return " ".join(split_name(text)) or text.strip().lower()
