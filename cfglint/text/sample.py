"""A bounded sample of a text's lines, and each of them as the vote sees it."""

from __future__ import annotations

import re
from collections import Counter
from typing import NamedTuple

from cfglint.text.patterns import ESCAPE

COMMENT_MARKS = ("#", ";", "//")

_WHOLE = 24_000
_BLOCKS = 8
_MOST_LINES = 800
_LONGEST = 400
_NOISE = re.compile(rf"{ESCAPE}|(?m:^(?:[A-Za-z][\w.@-]{{0,31}}[>$]|[>$]{{1,3}})(?:[ \t]+|$))")
_SIGN = re.compile(r":=|[=:,\t]")
_NAMES = {":=": ":=", "=": "=", ":": ":", ",": ",", "\t": "tab"}
_PROSE = re.compile(r"(?:[A-Za-z]{2,}+[,.;:]?+[ \t]++){2}[A-Za-z]{2,}")
_KEY = re.compile(r"[\"']?(?:[^\W\d]|[$@%&./\[(<][\w/])")
_NUMERIC = re.compile(r"[\"'\[({]?[+-]?\.?[0-9]")
_STANDING_SIGN = re.compile(r"(?:^|\s):?=(?:\s|$)|:\s")
_TRAILING = re.compile(r"[ \t](#|;|//)([ \t]*+)(.)")
_BLANKS = " \t\x0b\x0c\xa0\ufeff"
_MOST_WORDS = 8


class Shape(NamedTuple):
    """A line as the vote sees it.

    line: the line without blanks around it; words: those before the first sign that may separate; separator:
    the name of that sign, or "" when it can hardly be one; blank: blanks could be the separator; numeric: the
    value begins like a number, whichever of the two it is.
    """

    line: str
    words: list[str]
    separator: str
    blank: bool
    numeric: bool


class Sample(NamedTuple):
    """Text with plain line ends and without a terminal's noise, its lines, and how often comment marks stand
    where."""

    text: str
    shapes: list[Shape]
    starting: Counter[str]
    trailing: Counter[str]
    trailing_words: Counter[str]


def sampled(text: str) -> Sample:
    """The whole of a short text, or blocks spread over a long one."""
    chosen = text if len(text) <= _WHOLE else "".join(_blocks(text))
    if "\r" in chosen:
        chosen = chosen.replace("\r\n", "\n").replace("\r", "\n")
    if "\x1b" in chosen or ">" in chosen or "$" in chosen:
        chosen = _NOISE.sub("", chosen)
    sample = Sample(chosen, [], Counter(), Counter(), Counter())
    for raw in chosen.split("\n", _MOST_LINES)[:_MOST_LINES]:
        line = raw[:_LONGEST].strip(_BLANKS)
        if line:
            _count_marks(sample, line)
            sample.shapes.append(_shape(line))
    return sample


def _blocks(text: str) -> list[str]:
    """Equal blocks at equal distances, each cut down to whole lines where it holds any."""
    size, step = _WHOLE // _BLOCKS, len(text) // _BLOCKS
    blocks = []
    for number in range(_BLOCKS):
        block = text[number * step : number * step + size]
        if number:
            block = block.partition("\n" if "\n" in block else "\r")[2]
        whole, end, _ = block.rpartition("\n" if "\n" in block else "\r")
        blocks.append(whole + end if end else block + "\n" if not number else "")
    return blocks


def _count_marks(sample: Sample, line: str) -> None:
    for mark in COMMENT_MARKS:
        if mark not in line:
            continue
        if line.startswith(mark):
            sample.starting[mark] += 1
            return
        for found in _TRAILING.finditer(line):
            if found[1] == mark:
                sample.trailing[mark] += 1
                sample.trailing_words[mark] += found[3].isalpha() and bool(found[2])
                break


def _shape(line: str) -> Shape:
    found = _SIGN.search(line)
    if found is None:
        words = line.split()
        blank, numeric = _blank_reading(line)
        return Shape(line, words, "", blank, numeric)
    words = line[: found.start()].split()
    rest = line[found.end() :].strip(_BLANKS)
    separator = _NAMES[found[0]]
    if not _plausible(separator, words, rest):
        separator = ""
    blank, numeric = _blank_reading(line)
    return Shape(line, words, separator, blank, _NUMERIC.match(rest) is not None if separator else numeric)


def _plausible(separator: str, words: list[str], rest: str) -> bool:
    """Whether what stands before a sign looks like a key, and what follows does not speak against it."""
    if not 0 < len(words) <= _MOST_WORDS or not _KEY.match(words[0]):
        return False
    if separator == ",":
        return all(_KEY.match(word) for word in words)
    if separator == "=":
        return not rest.startswith("=") and words[-1][-1] not in "<>!+*"
    if separator == ":":
        return not rest.startswith("//")
    return separator == ":=" or not rest.startswith(("=", ":"))


def _blank_reading(line: str) -> tuple[bool, bool]:
    """Whether blanks may be the separator, and whether what follows them begins like a number."""
    parts = line.split(None, 1)
    if len(parts) < 2 or not _KEY.match(line) or parts[0][-1] in ":=,":
        return False, False
    key, rest = parts
    if "=" in key or rest[0] in "=:" or _STANDING_SIGN.search(rest) or _PROSE.match(rest):
        return False, False
    words = rest.split(None, 2)
    return True, any(_NUMERIC.match(word) for word in words)
