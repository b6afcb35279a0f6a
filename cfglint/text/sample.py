"""A bounded sample of a text's lines, and each of them as the vote sees it."""

from __future__ import annotations

import re
from collections import Counter
from typing import NamedTuple

from cfglint.text.layout import is_noisy
from cfglint.text.patterns import ESCAPE

COMMENT_MARKS = ("#", ";", "//")

_WHOLE = 12_000
_BLOCKS = 8
_MOST_LINES = 800
_LONGEST = 400
_NOISE = rf"{ESCAPE}|(?m:^(?:[A-Za-z][\w.@-]{{0,31}}[>$]|[>$]{{1,3}})(?:[ \t]+|$))"
_SIGN = re.compile(r":=|[=:,\t]")
_NAMES = {":=": ":=", "=": "=", ":": ":", ",": ",", "\t": "tab"}
_PROSE = re.compile(r"(?:[A-Za-z]{2,}+[,.;:]?+[ \t]++){2}[A-Za-z]{2,}")
_KEY = re.compile(r"[\"']?(?:[^\W\d]|[$@%&./\[(<][\w/])")
_NUMERIC = re.compile(r"[\"'\[({]?[+-]?\.?[0-9]")
_STANDING_SIGN = re.compile(r"(?:^|\s):?=(?:\s|$)|:\s")
_BLANKS = " \t\x0b\x0c\xa0\ufeff"
_MOST_WORDS = 8
_QUOTED = re.compile(r'"(?:[^"\\]++|\\.)*+"')
_TRAILING = {mark: re.compile(rf"[ \t]{mark}([ \t]*+)(.?)") for mark in COMMENT_MARKS}
_NO_REMARK = re.compile(r"\"[^\"]*+\"|'[^']*+'|#(?:[0-9A-Fa-f]{8}|[0-9A-Fa-f]{6}|[0-9A-Fa-f]{3})(?!\w)")


class Shape(NamedTuple):
    """A line as the vote sees it.

    line: the line without blanks around it.
    words: those before the first sign that may separate; all words where there is none.
    separator: the name of that sign, or "" when it can hardly be one.
    blank: whether blanks could be the separator; only looked at where no sign settles it.
    numeric: whether the value begins like a number.
    """

    line: str
    words: list[str]
    separator: str
    blank: bool
    numeric: bool

    @property
    def names(self) -> tuple[str, ...]:
        """The first word, with the second where that is no number."""
        first = self.line.split(None, 2)[:2]
        return tuple(first[: 1 + (not _NUMERIC.match(first[-1]))])


class Sample(NamedTuple):
    """Text with plain line ends and without a terminal's noise, its lines, and how comment marks stand in them.

    starting: lines that begin with a mark. trailing: lines with a mark behind a blank; trailing_words: those
    of them that go on with a blank and a letter, as a remark does.
    """

    text: str
    shapes: list[Shape]
    starting: Counter[str]
    trailing: Counter[str]
    trailing_words: Counter[str]


def sampled(text: str) -> Sample:
    """The whole of a short text, or blocks spread over a long one."""
    chosen = text if is_whole(text) else "".join(_blocks(text))
    chosen = chosen.replace("\ufeff", "")
    if "\r" in chosen:
        chosen = chosen.replace("\r\n", "\n").replace("\r", "\n")
    if is_noisy(chosen):
        chosen = re.sub(_NOISE, "", chosen)
    sample = Sample(chosen, [], Counter(), Counter(), Counter())
    marks = [mark for mark in COMMENT_MARKS if mark in chosen]
    for raw in chosen.split("\n", _MOST_LINES)[:_MOST_LINES]:
        line = raw[:_LONGEST].strip(_BLANKS).strip()
        if line:
            for mark in marks:
                if mark in line:
                    _count_mark(sample, mark, line)
            sample.shapes.append(_shape(line))
    return sample


def is_whole(text: str) -> bool:
    """Whether a sample of the text is all of it."""
    return len(text) <= _WHOLE


def _blocks(text: str) -> list[str]:
    """Equal blocks at equal distances, each cut down to whole lines where it holds any."""
    size, step = _WHOLE // _BLOCKS, len(text) // _BLOCKS
    blocks = []
    for number in range(_BLOCKS):
        block = text[number * step : number * step + size]
        end = "\n" if "\n" in block else "\r"
        if number:
            block = block.partition(end)[2]
        whole, found, _ = block.rpartition(end)
        blocks.append(whole + found if found or number else block + "\n")
    return blocks


def _count_mark(sample: Sample, mark: str, line: str) -> None:
    if line.startswith(mark):
        sample.starting[mark] += 1
        return
    found = _TRAILING[mark].search(_NO_REMARK.sub("", line))
    if found:
        sample.trailing[mark] += 1
        sample.trailing_words[mark] += found[1] != "" and found[2].isalpha()


def _shape(line: str) -> Shape:
    found = _SIGN.search(line if '"' not in line else _QUOTED.sub(_masked, line))
    if found is None:
        return Shape(line, line.split(), "", *_blank_reading(line))
    words = line[: found.start()].split()
    rest = line[found.end() :].lstrip()
    separator = _NAMES[found[0]]
    if not words or not _plausible(separator, words, rest):
        return Shape(line, words, "", *_blank_reading(line))
    numeric = _NUMERIC.match(rest) is not None
    return Shape(line, words, separator, separator in ",tab" and _blank_reading(line)[0], numeric)


def _masked(quoted: re.Match[str]) -> str:
    return "x" * len(quoted[0])


def _plausible(separator: str, words: list[str], rest: str) -> bool:
    """Whether what stands before a sign looks like a key, and what follows does not speak against it."""
    if len(words) > _MOST_WORDS:
        return False
    if not _KEY.match(words[0]):
        return separator in (",", "tab") and words[0].isdigit() and _KEY.match(rest) is not None
    if separator == "=":
        return rest[:1] != "=" and words[-1][-1] not in "<>!+*"
    if separator == ",":
        return all(_KEY.match(word) for word in words)
    if separator == ":":
        return not rest.startswith("//")
    return separator == ":=" or rest[:1] not in ("=", ":")


def _blank_reading(line: str) -> tuple[bool, bool]:
    """Whether blanks may be the separator, and whether one of the next words begins like a number."""
    parts = line.split(None, 1)
    if len(parts) < 2 or not _KEY.match(line) or parts[0][-1] in ":=,":
        return False, False
    key, rest = parts
    if "=" in key or rest[0] in "=:" or _STANDING_SIGN.search(rest) or _PROSE.match(rest):
        return False, False
    return True, any(_NUMERIC.match(word) for word in rest.split(None, 2))
