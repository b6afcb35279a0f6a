"""The lexicon: which words mean the same, how they are shortened, which units and values are usual. Its content is data."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from cfglint.store.remembered import remembered
from cfglint.text.problem import refuse

Phrase = tuple[str, ...]

_LARGEST = 2_000_000
_MOST_PHRASES = 50_000
FOREIGN = "!"
_TABLES = (
    "empty", "faint", "concept", "foreign", "decoys", "phrases", "abbreviation", "words", "unit_words", "units", "usual",
    "opposites", "near", "prior", "topics", "counts", "consistent", "facts",
)  # fmt: skip


class Lexicon(NamedTuple):
    """The words of the trade.

    `phrases`: by its first word, each phrase with the concept it means; a concept that begins with "!" is foreign to flight.
    `vocabulary`: all single words. `abbreviations`: short form to (words, weight). `near`: how near two concepts are, 0 to 1.
    `unit_phrases`: phrase to unit. `units`: quantity (the catalogue's unit) to unit to how usual it is, 0 to 1.
    `usual`: setting (with {axis} and the like in place of names) to a range text. `opposites`: concept to its group.
    `prior`: setting to how much rarer than others it is, as a logarithm of odds. `topics`: first part of an id to its company.
    `whole`: settings whose numbers are counts.
    `consistent`: quantity to how surely a controller keeps to one unit for it.
    `facts`: setting to the fact of the craft that says where its value lies.
    """

    phrases: Mapping[str, list[tuple[Phrase, str]]]
    vocabulary: frozenset[str]
    abbreviations: Mapping[str, list[tuple[Phrase, float]]]
    empty: frozenset[str]
    faint: frozenset[str]
    near: Mapping[str, Mapping[str, float]]
    opposites: Mapping[str, str]
    setting_phrases: Mapping[str, tuple[str, ...]]
    decoys: tuple[str, ...]
    words: Mapping[str, tuple[str, ...]]
    unit_phrases: Mapping[Phrase, str]
    units: Mapping[str, Mapping[str, float]]
    usual: Mapping[str, str]
    concepts: frozenset[str]
    prior: Mapping[str, float]
    topics: Mapping[str, str]
    whole: frozenset[str]
    consistent: Mapping[str, float]
    facts: Mapping[str, str]


def load_lexicon(path: str) -> Lexicon:
    """The lexicon of a file. Raises Refused when it can't be read or holds what no lexicon holds."""
    try:
        with open(path, "rb") as file:
            data = file.read(_LARGEST)
    except OSError as error:
        raise refuse(path, (error.strerror or "can't be read").lower()) from None
    return lexicon_of(remembered("lexicon", [data], lambda: _table(data, path)))


def lexicon_of(table: Mapping[str, Any]) -> Lexicon:
    """The lexicon of its document."""
    phrases: dict[str, list[tuple[Phrase, str]]] = {}
    vocabulary: set[str] = set()
    _index_concepts(table["concept"], "", phrases, vocabulary)
    _index_concepts(table["foreign"], FOREIGN, phrases, vocabulary)
    abbreviations = {short: [(tuple(text.split()), 0.95) for text in texts] for short, texts in table["abbreviation"].items()}
    for short, expansions in _shortened(vocabulary).items():
        if short not in abbreviations and short not in vocabulary:
            abbreviations[short] = expansions
    unit_phrases = {_plain(text): unit for unit, texts in table["unit_words"].items() for text in texts}
    return Lexicon(
        phrases,
        frozenset(vocabulary),
        abbreviations,
        frozenset(table["empty"]),
        frozenset(table["faint"]),
        _both_ways(table["near"]),
        {concept: group for group, concepts in table["opposites"].items() for concept in concepts},
        {id: tuple(texts) for id, texts in table["phrases"].items()},
        tuple(table["decoys"]["phrases"]),
        {word: tuple(texts) for word, texts in table["words"].items()},
        unit_phrases,
        table["units"],
        table["usual"],
        frozenset(table["concept"]),
        table["prior"],
        {head: topic for topic, heads in table["topics"].items() for head in heads},
        frozenset(table["counts"]["whole"]),
        table["consistent"],
        table["facts"],
    )


def unit_text_words(text: str) -> list[str]:
    """A text cut up for the search of units: numbers, and words with the signs that units have."""
    words: list[str] = []
    word = ""
    for character in text.lower()[:400] + " ":
        if character.isalnum() or character in "/^%.":
            word += character
        elif word:
            words.append(word.strip("."))
            word = ""
    return [word for word in words if word]


def _plain(text: str) -> Phrase:
    return tuple(unit_text_words(text))


def _table(data: bytes, path: str) -> dict[str, Any]:
    import tomllib

    try:
        table = tomllib.loads(data.decode("utf-8"))
    except ValueError as error:
        raise refuse(path, f"no lexicon: {error}") from None
    missing = [name for name in _TABLES if name not in table]
    if missing:
        raise refuse(path, f"the lexicon has no table {', '.join(missing)}")
    return table


def _index_concepts(
    table: Mapping[str, Iterable[str]], mark: str, phrases: dict[str, list[tuple[Phrase, str]]], vocabulary: set[str]
) -> None:
    for concept, texts in table.items():
        own = () if mark else (concept.replace("_", " "),)
        found = {phrase for text in (*own, *texts) for phrase in _alternatives(text)}
        for phrase in sorted(found):
            phrases.setdefault(phrase[0], []).append((phrase, mark + concept))
            vocabulary.update(phrase)
    if sum(map(len, phrases.values())) > _MOST_PHRASES:
        raise ValueError("the lexicon holds too many phrases")


def _alternatives(text: str) -> Iterable[Phrase]:
    """`a|b c` stands for `a c` and `b c`."""
    return itertools.product(*(part.split("|") for part in text.split()))


def _shortened(vocabulary: Iterable[str]) -> dict[str, list[tuple[Phrase, float]]]:
    """Short forms that can be made of each word: its beginning, or its consonants, whole or cut."""
    found: dict[str, dict[str, float]] = {}
    for word in sorted(vocabulary):
        if len(word) < 4 or not word.isalpha():
            continue
        bones = word[0] + "".join(letter for letter in word[1:] if letter not in "aeiou")
        single = "".join(letter for letter, before in zip(bones, " " + bones, strict=False) if letter != before)
        forms = {word[:n]: 0.8 if n > 3 else 0.65 for n in range(3, len(word))}
        for n in range(3, len(word)):
            if len(single) > n:
                forms.setdefault(single[:n], 0.55)
        for whole in (bones, single):
            if len(whole) > 2:
                forms[whole] = 0.85
        for short, weight in forms.items():
            at = found.setdefault(short, {})
            at[word] = max(weight, at.get(word, 0.0))
    return {short: _best(words) for short, words in found.items()}


def _best(words: Mapping[str, float]) -> list[tuple[Phrase, float]]:
    ranked = sorted(words.items(), key=lambda pair: (-pair[1], len(pair[0]), pair[0]))
    return [((word,), weight) for word, weight in ranked[:5]]


def _both_ways(table: Mapping[str, Mapping[str, float]]) -> dict[str, dict[str, float]]:
    near: dict[str, dict[str, float]] = {}
    for one, others in table.items():
        for other, weight in others.items():
            near.setdefault(one, {})[other] = weight
            near.setdefault(other, {})[one] = weight
    return near
