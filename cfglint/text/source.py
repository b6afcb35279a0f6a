"""Bytes as text that can always be turned back into the same bytes."""

from __future__ import annotations

import re
from array import array
from bisect import bisect_right
from typing import NamedTuple

_TERMINATOR = re.compile(r"\r\n?|\n")
_SAMPLE = 4096
_UTF16_ASCII_SHARE = 0.6
_ODD_CONTROLS = re.compile(r"[\x00-\x07\x0e-\x1a\x1c-\x1f\x7f]")
_ODD_SHARE = 0.1


class Span(NamedTuple):
    """A half-open stretch of `Source.text`, in code points."""

    start: int
    end: int


class Source:
    """One input: its bytes, the text they stand for, and where its lines begin.

    `encoding` is one of "utf-8", "utf-8-sig", "utf-16-le", "utf-16-be" and "latin-1". A byte-order mark stays
    in `text` as U+FEFF, so that encoding the text gives the bytes back. A line ends at `\\n`, `\\r\\n` or a
    lone `\\r`.
    """

    __slots__ = ("_starts", "data", "encoding", "name", "text")

    def __init__(self, name: str, data: bytes, text: str, encoding: str) -> None:
        self.name = name
        self.data = data
        self.text = text
        self.encoding = encoding
        self._starts: array[int] | None = None

    def __bytes__(self) -> bytes:
        return self.data

    def __repr__(self) -> str:
        return f"Source({self.name!r}, {len(self.data)} bytes, {self.encoding})"

    @property
    def codec(self) -> str:
        """The codec under which `text.encode` gives the bytes back."""
        return "utf-8" if self.encoding == "utf-8-sig" else self.encoding

    @property
    def line_count(self) -> int:
        """How many lines there are; a text without a character has none, a final terminator opens no new
        one."""
        return len(self._line_starts())

    def position(self, offset: int) -> tuple[int, int]:
        """Line and column, both from 1, of an offset; one outside the text counts as its nearest end.

        A byte-order mark takes no column, so that columns agree with what an editor shows.
        """
        starts = self._line_starts()
        if not starts:
            return 1, 1
        offset = min(max(offset, 0), len(self.text))
        line = bisect_right(starts, offset)
        column = offset - starts[line - 1] + 1
        if line == 1 and column > 1 and self.text.startswith("\ufeff"):
            column -= 1
        return line, column

    def line_text(self, number: int) -> str:
        """The line of that number (from 1) without its terminator; an empty text for a line that is not
        there."""
        starts = self._line_starts()
        if not 1 <= number <= len(starts):
            return ""
        end = starts[number] if number < len(starts) else len(self.text)
        line = self.text[starts[number - 1] : end]
        return line[:-2] if line.endswith("\r\n") else line[:-1] if line.endswith(("\r", "\n")) else line

    def _line_starts(self) -> array[int]:
        if self._starts is None:
            starts = array("Q", [0] if self.text else [])
            starts.extend(match.end() for match in _TERMINATOR.finditer(self.text))
            if len(starts) > 1 and starts[-1] == len(self.text):
                starts.pop()
            self._starts = starts
        return self._starts


def decode(data: bytes, name: str = "-") -> Source:
    """Find out the encoding of `data`.

    A byte-order mark decides; without one, UTF-16 whose text is mostly ASCII is known by its zero bytes; then
    comes UTF-8; what is none of these is read as Latin-1, which fits any bytes.
    Errors: never raises; `source.text.encode(source.codec) == data` for every input.
    """
    for encoding in _candidates(data):
        try:
            text = data.decode("utf-8" if encoding == "utf-8-sig" else encoding)
        except UnicodeDecodeError:
            continue
        return Source(name, data, text, encoding)
    return Source(name, data, data.decode("latin-1"), "latin-1")


def binary_reason(source: Source) -> str | None:
    """Why this cannot be a text a person would write, or None when it can."""
    place = source.text.find("\0")
    if place >= 0:
        count = source.text.count("\0")
        offset = len(source.text[:place].encode(source.codec))
        return f"{count} NUL byte{'s' if count > 1 else ''}, the first at offset {offset}"
    sample = source.text[:_SAMPLE]
    odd = _ODD_CONTROLS.findall(sample)
    if len(odd) > _ODD_SHARE * len(sample):
        return f"{len(odd)} of the first {len(sample)} characters are control characters"
    return None


def _candidates(data: bytes) -> list[str]:
    if data.startswith(b"\xef\xbb\xbf"):
        return ["utf-8-sig"]
    if data.startswith(b"\xff\xfe"):
        return ["utf-16-le"]
    if data.startswith(b"\xfe\xff"):
        return ["utf-16-be"]
    return [*_unmarked_utf16(data[:_SAMPLE]), "utf-8"]


def _unmarked_utf16(sample: bytes) -> list[str]:
    """ASCII written as UTF-16 has a zero in every second byte and hardly one elsewhere."""
    pairs = len(sample) // 2
    if pairs < 2:
        return []
    high, low = sample[0::2].count(0), sample[1::2].count(0)
    if low >= _UTF16_ASCII_SHARE * pairs and high == 0:
        return ["utf-16-le"]
    if high >= _UTF16_ASCII_SHARE * pairs and low == 0:
        return ["utf-16-be"]
    return []
