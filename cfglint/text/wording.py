"""Lead words, rows and section words: what the first words of lines tell."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from cfglint.text.layout import Layout
from cfglint.text.sample import Shape

_VERBS = ("set", "let", "put")
_MOST_ROWS = 32
_NUMERIC = re.compile(r"[+-]?\.?[0-9]")
_NAME = re.compile(r"[^\W\d][^\s=:,]*+$")
_BETWEEN = re.compile(r"[\s,]+")
_NUMERIC_SHARE = 0.3


class Words(NamedTuple):
    """A layout with its words, what was counted, and a word of which nobody can say whether it leads."""

    layout: Layout
    tallies: tuple[tuple[str, int], ...]
    tied: str


def with_words(layout: Layout, shapes: Sequence[Shape], given: Mapping[str, Any]) -> Words:
    """Find the lead words, the words that begin rows, and the word that begins sections."""
    tallies: list[tuple[str, int]] = []
    tied = ""
    if "lead_words" not in given:
        leads, tied = _leads(layout, shapes)
        layout = layout._replace(lead_words=tuple(leads))
        tallies += [(f"lead word {word}", count) for word, count in leads.items()]
    others = [shape for shape in shapes if shape.line.split(None, 1)[0] not in (*layout.lead_words, tied)]
    if layout.sections == "none" and not {"sections", "section_word"} & given.keys():
        word, count = _section_word(layout, others)
        if word:
            layout = layout._replace(sections="word", section_word=word)
            tallies.append(("sections word", count))
    if "rows" not in given:
        rows = _rows(layout, others)
        layout = layout._replace(rows=tuple(rows))
        tallies += [(f"rows {word}", count) for word, count in rows.items()]
    return Words(layout, tuple(tallies), tied)


def _claimed(layout: Layout, shape: Shape) -> bool:
    if layout.separator == "blank":
        return shape.blank
    return shape.separator == layout.separator


def _before_value(layout: Layout, shape: Shape) -> list[str]:
    """The words before the value; with blanks as separator the last word is taken for the value."""
    return shape.line.split()[:-1] if layout.separator == "blank" else shape.words


def _leads(layout: Layout, shapes: Sequence[Shape]) -> tuple[dict[str, int], str]:
    """A verb before the key leads; so does any word that begins nearly all entries, or most when the others
    have no second word. With blanks as separator, a word that begins just half of them may be either."""
    entries = [_before_value(layout, shape) for shape in shapes if _claimed(layout, shape)]
    alone = Counter(words[0] for words in entries if len(words) == 1)
    seconds: dict[str, list[str]] = defaultdict(list)
    for words in entries:
        if len(words) > 1 and _NAME.match(words[0]) and _NAME.match(words[1]):
            seconds[words[0]].append(words[1])
    seconds = {word: names for word, names in seconds.items() if len(names) > alone[word]}
    leads = {word: len(names) for word, names in seconds.items() if word.lower() in _VERBS}
    if leads or not seconds:
        return leads, ""
    word = max(seconds, key=lambda first: (len(seconds[first]), first))
    names, total = seconds[word], len(entries)
    if len(names) < 2 or 2 * len(set(names)) <= len(names):
        return {}, ""
    others_long = sum(len(words) > 1 and words[0] != word for words in entries)
    if 10 * len(names) >= 9 * total or (2 * len(names) > total and 2 * others_long <= total - len(names)):
        return {word: len(names)}, ""
    return {}, word if layout.separator == "blank" and 2 * len(names) == total else ""


def _section_word(layout: Layout, shapes: Sequence[Shape]) -> tuple[str, int]:
    """A word in front of one other, on lines that are no entries; with blanks, keys must come again in each
    section."""
    pairs: dict[str, list[str]] = defaultdict(list)
    for shape in shapes:
        words = shape.line.split()
        free = not shape.separator if layout.separator != "blank" else shape.blank
        if len(words) == 2 and free and _NAME.match(words[0]):
            pairs[words[0]].append(words[1])
    counts = {
        word: len(names)
        for word, names in pairs.items()
        if len(set(names)) > 1 or (word.lower() == "section" and layout.separator != "blank")
    }
    if not counts:
        return "", 0
    word = max(counts, key=lambda first: (counts[first], first))
    if layout.separator == "blank" and not _comes_again(word, shapes):
        return "", 0
    return word, counts[word]


def _comes_again(word: str, shapes: Sequence[Shape]) -> bool:
    """Whether most other keys stand once behind each occurrence of the word."""
    section = 0
    places: dict[str, set[int]] = defaultdict(set)
    times: Counter[str] = Counter()
    for shape in shapes:
        first = shape.line.split(None, 1)[0]
        if first == word:
            section += 1
        else:
            places[first].add(section)
            times[first] += 1
    again = sum(len(places[key]) > 1 and len(places[key]) == times[key] for key in times)
    return section > 1 and 2 * again > len(times)


def _rows(layout: Layout, shapes: Sequence[Shape]) -> dict[str, int]:
    """Words that begin several lines of columns, some of them numbers, which are no plain entries."""
    cells: dict[str, list[list[str]]] = defaultdict(list)
    for shape in shapes:
        if layout.separator != "blank" and _claimed(layout, shape) and layout.separator not in (",", "tab"):
            continue
        first, *rest = _BETWEEN.split(shape.line.strip(", "))
        if _NAME.match(first) and first != layout.section_word:
            cells[first].append(rest)
    enough = 2 if layout.lead_words or layout.separator not in ("blank", ",", "tab") else 3
    found = {word: len(lines) for word, lines in cells.items() if len(lines) >= enough and _are_rows(lines)}
    return dict(sorted(found.items())[:_MOST_ROWS])


def _are_rows(lines: Sequence[Sequence[str]]) -> bool:
    numbers = sum(bool(_NUMERIC.match(cell)) for cells in lines for cell in cells)
    total = sum(len(cells) for cells in lines)
    return min(len(cells) for cells in lines) > 1 and numbers >= _NUMERIC_SHARE * total
