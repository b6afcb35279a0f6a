"""Where in a TOML text a key stands, for messages about what was loaded from it."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from typing import NamedTuple

_DEEPEST = 40
_LONGEST = 1_000_000
_TERMINATOR = re.compile(r"\r\n?|\n")
_BLANKS = re.compile(r"(?:[ \t\r\n]++|#[^\r\n]*+)*+")
_SPACES = re.compile(r"[ \t]*+")
_KEY_PART = re.compile(r"""[A-Za-z0-9_-]++|"(?:[^"\\\r\n]++|\\.)*+"|'[^'\r\n]*+'""")
_STRING = re.compile(
    r'"""(?:[^"\\]++|\\[\s\S]|"(?!""))*+"{3,5}'
    r"|'''(?:[^']++|'(?!''))*+'{3,5}"
    r'|"(?:[^"\\\r\n]++|\\.)*+"'
    r"|'[^'\r\n]*+'"
)
_PLAIN = re.compile(r"[^,\[\]{}#\r\n\"']++")
_REST_OF_LINE = re.compile(r"[^\r\n]*+")
_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", '"': '"', "\\": "\\"}
_ESCAPE = re.compile(r"\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|(.))")

Path = tuple[str | int, ...]


class _Found(NamedTuple):
    """A place in the text: where a key, a header or an array item begins, and where its value does."""

    path: Path
    name: int
    value: int


class _Lost(Exception):
    """The text is no TOML from here on."""


def place(text: str, path: Sequence[str | int]) -> tuple[int, int]:
    """Line and column (from 1) of the key or array item at `path`, or of the nearest place around it.

    `path` is made of keys and of indices into arrays and arrays of tables, as they are used on the loaded data.
    Errors: never raises; text that is no TOML is read as far as it goes.
    """
    found = _nearest(text, tuple(path))
    return _position(text, found.name if found else 0)


def value_place(text: str, path: Sequence[str | int]) -> tuple[int, int]:
    """Line and column of the first character of the value at `path`, behind the quote where it is a
    string."""
    found = _nearest(text, tuple(path))
    if found is None:
        return 1, 1
    quote = re.compile(r'"""(?:\r\n|\n)?|\'\'\'(?:\r\n|\n)?|"|\'').match(text, found.value)
    return _position(text, quote.end() if quote and found.path == tuple(path) else found.value)


def _nearest(text: str, path: Path) -> _Found | None:
    best: _Found | None = None
    try:
        for found in _Scanner(text[:_LONGEST]).places():
            length = len(found.path)
            if path[:length] == found.path and (best is None or length > len(best.path)):
                best = found
    except (_Lost, RecursionError):
        pass
    return best


def _position(text: str, offset: int) -> tuple[int, int]:
    starts = [0, *(match.end() for match in _TERMINATOR.finditer(text))]
    line = bisect_right(starts, offset)
    return line, offset - starts[line - 1] + 1


class _Scanner:
    """Walks through a TOML text and yields every place that has a path, in the order of the text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.counts: dict[Path, int] = {}

    def places(self) -> Iterator[_Found]:
        table: Path = ()
        while self._pass(_BLANKS) < len(self.text):
            try:
                if self.text.startswith("[", self.at):
                    start = self.at
                    table = self._header()
                    yield from (_Found(table[:n], start, start) for n in range(1, len(table) + 1))
                else:
                    yield from self._entry(table, 0)
            except _Lost:
                pass
            self._pass(_REST_OF_LINE)

    def _pass(self, pattern: re.Pattern[str]) -> int:
        match = pattern.match(self.text, self.at)
        self.at = match.end() if match else self.at
        return self.at

    def _step(self, mark: str) -> bool:
        found = self.text.startswith(mark, self.at)
        self.at += len(mark) * found
        return found

    def _header(self) -> Path:
        """The table a header opens; names of arrays of tables are followed by the number of the latest
        table."""
        many = self._step("[[")
        if not many:
            self._step("[")
        path: Path = ()
        keys = self._keys()
        for key in keys[:-1]:
            path += (key,)
            if path in self.counts:
                path += (self.counts[path],)
        path += (keys[-1],)
        if many:
            self.counts[path] = self.counts.get(path, -1) + 1
        return (*path, self.counts[path]) if path in self.counts else path

    def _keys(self) -> list[str]:
        keys: list[str] = []
        while True:
            self._pass(_SPACES)
            match = _KEY_PART.match(self.text, self.at)
            if match is None or len(keys) == _DEEPEST:
                raise _Lost
            keys.append(_unquoted(match[0]))
            self.at = match.end()
            self._pass(_SPACES)
            if not self._step("."):
                return keys

    def _entry(self, table: Path, depth: int) -> Iterator[_Found]:
        start = self.at
        keys = self._keys()
        if not self._step("="):
            raise _Lost
        self._pass(_SPACES)
        for count in range(1, len(keys) + 1):
            yield _Found((*table, *keys[:count]), start, self.at)
        yield from self._value((*table, *keys), depth)

    def _value(self, path: Path, depth: int) -> Iterator[_Found]:
        if depth > _DEEPEST:
            raise _Lost
        if self._step("["):
            yield from self._array(path, depth)
        elif self._step("{"):
            yield from self._inline_table(path, depth)
        else:
            match = _STRING.match(self.text, self.at) or _PLAIN.match(self.text, self.at)
            if match is None:
                raise _Lost
            self.at = match.end()

    def _array(self, path: Path, depth: int) -> Iterator[_Found]:
        index = 0
        while self._pass(_BLANKS) < len(self.text) and not self._step("]"):
            yield _Found((*path, index), self.at, self.at)
            yield from self._value((*path, index), depth + 1)
            index += 1
            self._pass(_BLANKS)
            if not self._step(",") and not self.text.startswith("]", self.at):
                raise _Lost

    def _inline_table(self, path: Path, depth: int) -> Iterator[_Found]:
        while self._pass(_BLANKS) < len(self.text) and not self._step("}"):
            yield from self._entry(path, depth + 1)
            self._pass(_BLANKS)
            if not self._step(",") and not self.text.startswith("}", self.at):
                raise _Lost


def _unquoted(part: str) -> str:
    if part[0] == "'":
        return part[1:-1]
    return _ESCAPE.sub(_unescaped, part[1:-1]) if part[0] == '"' else part


def _unescaped(match: re.Match[str]) -> str:
    code = match[1] or match[2]
    if code:
        return chr(int(code, 16)) if int(code, 16) < 0x110000 else "\ufffd"
    return _ESCAPES.get(match[3], match[3])
