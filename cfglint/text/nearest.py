"""The valid name somebody most likely meant."""

from __future__ import annotations

import re
from collections.abc import Iterable

_WORD = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|[0-9]+|[^\W\d_A-Za-z]+")
_LONGEST = 100
_MOST_NAMES = 20_000


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The one of `names` that is nearest to `name`, or None when none is near.

    Case and the marks between words do not count, neither does the order of the words. Otherwise the distance
    is the number of letters left out, put in, changed or swapped; one for each three letters is near enough,
    three at most. Of names equally near, the first in alphabetical order is taken.
    """
    if len(name) > _LONGEST:
        return None
    words = _words(name)
    flat = "".join(words)
    best: tuple[int, str] | None = None
    for candidate in list(_bounded(names)):
        distance = _name_distance(words, flat, candidate)
        if distance is not None and (best is None or (distance, candidate) < best):
            best = distance, candidate
    return best[1] if best else None


def _bounded(names: Iterable[str]) -> Iterable[str]:
    for count, name in enumerate(names):
        if count >= _MOST_NAMES:
            return
        if len(name) <= _LONGEST:
            yield name


def _words(name: str) -> list[str]:
    return [word.lower() for word in _WORD.findall(name)]


def _name_distance(words: list[str], flat: str, candidate: str) -> int | None:
    """Zero for the same letters, one for the same words in another order, else the letters that differ."""
    other_words = _words(candidate)
    other = "".join(other_words)
    if flat == other:
        return 0 if flat else None
    if len(words) > 1 and sorted(words) == sorted(other_words):
        return 1
    limit = min(3, max(len(flat), len(other)) // 3)
    distance = edit_distance(flat, other, limit)
    return None if distance > limit else distance


def edit_distance(left: str, right: str, limit: int) -> int:
    """Letters left out, put in, changed or swapped with their neighbour; `limit + 1` when there are more.

    Source: the restricted Damerau-Levenshtein distance, computed row by row inside a band of width 2 * limit
    + 1.
    """
    if abs(len(left) - len(right)) > limit:
        return limit + 1
    before: list[int] = []
    row = list(range(len(right) + 1))
    for i, letter in enumerate(left, 1):
        before, row = row, _next_row(left, right, i, letter, row, before, limit)
        if min(row) > limit:
            return limit + 1
    return min(row[-1], limit + 1)


def _next_row(left: str, right: str, i: int, letter: str, above: list[int], before: list[int], limit: int) -> list[int]:
    row = [limit + 1] * (len(right) + 1)
    row[0] = min(i, limit + 1)
    for j in range(max(1, i - limit), min(len(right), i + limit) + 1):
        same = letter == right[j - 1]
        row[j] = min(above[j] + 1, row[j - 1] + 1, above[j - 1] + (not same))
        if i > 1 and j > 1 and letter == right[j - 2] and left[i - 2] == right[j - 1]:
            row[j] = min(row[j], before[j - 2] + 1)
    return row
