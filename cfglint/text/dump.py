"""The lossless tree of one plain-text dump: every line has a kind and exact spans, and every byte is kept."""

from __future__ import annotations

import re
from array import array
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from enum import IntEnum
from typing import Any, NamedTuple, overload

from cfglint.text.layout import Layout, Vote, is_noisy, vote
from cfglint.text.patterns import KINDS, line_pattern
from cfglint.text.sections import Sections
from cfglint.text.source import Source, Span, decode

_BLANKS = " \t\x0b\x0c\xa0"
_CELLS = re.compile(
    rf"""[{_BLANKS},]*+("(?:[^"\\]++|\\.|"")*+"|'(?:[^'\\]++|\\.|'')*+'|[^{_BLANKS},]++)"""
)
_MOST_FAULTS_NAMED = 50


class LineKind(IntEnum):
    """What a line is; a FAULT is a line nobody understands, kept as it is."""

    BLANK = 0
    COMMENT = 1
    SECTION = 2
    ENTRY = 3
    ROW = 4
    FAULT = 5


class Line(NamedTuple):
    """One line of a dump; all spans are offsets in the whole text, and empty where the line has no such part.

    `number` counts from 1; `end` lies behind the terminator. `value` is the whole value with unit and quotes,
    without the blanks and the comment behind it. Of a row, `lead` is the word it begins with and `value`
    holds its columns. `key` of a section header is the section's name. `section` is the one the line stands
    in, nested ones joined by "/"; a header stands in the section it opens, a closing brace in the one it
    closes.
    """

    number: int
    kind: LineKind
    start: int
    end: int
    lead: Span
    key: Span
    value: Span
    comment: Span
    section: str


class Dump:
    """A dump as it was read; `vote` is None when the layout was given.

    Shape: five bytes a line are kept beside bytes and text: where it starts, and its kind. The fields are
    matched again, by the same pattern, when a line is asked for.
    """

    __slots__ = ("_kinds", "_pattern", "_sections", "_starts", "layout", "source", "vote")

    def __init__(self, source: Source, layout: Layout, found: Vote | None = None) -> None:
        self.source = source
        self.layout = layout
        self.vote = found
        self._pattern = line_pattern(layout, is_noisy(source.text))
        self._starts = array("I" if len(source.text) < 2**32 else "Q")
        self._kinds = bytearray()
        self._sections = Sections()
        self._scan()
        self._withdraw()

    def __bytes__(self) -> bytes:
        return self.source.data

    def __repr__(self) -> str:
        return f"Dump({self.source!r}, {len(self._kinds)} lines)"

    @property
    def lines(self) -> Sequence[Line]:
        """All lines in order, each made when it is asked for; iterating is faster than indexing."""
        return _Lines(self)

    def text_of(self, span: Span) -> str:
        """The characters of a span."""
        return self.source.text[span.start : span.end]

    def count(self, kind: LineKind) -> int:
        """How many lines are of that kind."""
        return self._kinds.count(kind)

    def line_at(self, offset: int) -> Line:
        """The line an offset lies in; raises IndexError when the dump has no lines."""
        return self.lines[max(bisect_right(self._starts, offset) - 1, 0)]

    def _scan(self) -> None:
        text = self.source.text
        kind_of = _kinds_by_group(self._pattern)
        header = LineKind.SECTION.value
        add_start, add_kind = self._starts.append, self._kinds.append
        for match in self._pattern.finditer(text):
            kind = kind_of[match.lastindex or 0]
            if kind == header:
                self._sections.enter(len(self._kinds), match)
            add_start(match.start())
            add_kind(kind)

    def _withdraw(self) -> None:
        """Make a comment of a table's header line, and faults of the lines a tied vote concerns."""
        understood = (LineKind.ENTRY, LineKind.ROW)
        if self.layout.skip_header:
            first = next((i for i, kind in enumerate(self._kinds) if kind > LineKind.SECTION), None)
            if first is not None:
                self._kinds[first] = LineKind.COMMENT
        if self.vote is None or not self.vote.tied:
            return
        for index, kind in enumerate(self._kinds):
            start = self._starts[index]
            if kind in understood and self.vote.concerns(self.source.text[start : start + 200]):
                self._kinds[index] = LineKind.FAULT

    def _line(self, index: int) -> Line:
        match = self._pattern.match(self.source.text, self._starts[index])
        assert match is not None, "a line that was read once must match again"
        return _made(index, LineKind(self._kinds[index]), match, self._sections.at(index))

    def _each_line(self) -> Iterator[Line]:
        order = tuple(LineKind)
        changes, names = self._sections.lines, self._sections.names
        section, seen, many = "", 0, len(changes)
        for index, match in enumerate(self._pattern.finditer(self.source.text)):
            while seen < many and changes[seen] <= index:
                section = names[seen]
                seen += 1
            yield _made(index, order[self._kinds[index]], match, section)


class _Lines(Sequence[Line]):
    """The lines of a dump, seen as a sequence."""

    __slots__ = ("_dump",)

    def __init__(self, dump: Dump) -> None:
        self._dump = dump

    def __len__(self) -> int:
        return len(self._dump._kinds)

    def __iter__(self) -> Iterator[Line]:
        return self._dump._each_line()

    @overload
    def __getitem__(self, index: int) -> Line: ...
    @overload
    def __getitem__(self, index: slice) -> list[Line]: ...
    def __getitem__(self, index: int | slice) -> Line | list[Line]:
        numbers = range(len(self))[index]
        if isinstance(numbers, int):
            return self._dump._line(numbers)
        return [self._dump._line(number) for number in numbers]


def read(
    data: bytes, name: str = "-", layout: Layout | None = None, given: Mapping[str, Any] | None = None
) -> Dump:
    """Read a dump; a layout that is not given is found by a vote over its lines.

    `given` fixes single fields of the layout (by their names in `Layout`) and leaves the others to the vote.
    Errors: never raises on content; raises ValueError when `given` names a field or a word that `Layout` does
    not have.
    """
    source = decode(data, name)
    if layout is not None:
        return Dump(source, layout)
    found = vote(source.text, given, find_unplaced=False)
    dump = Dump(source, found.layout, found)
    dump.vote = found._replace(unplaced=_first_faults(dump))
    return dump


def columns(dump: Dump, line: Line) -> list[Span]:
    """The cells of a row's (or a list's) value; commas or blanks stand between them, quotes keep them
    together."""
    text, end = dump.source.text, line.value.end
    return [Span(*match.span(1)) for match in _CELLS.finditer(text, line.value.start, end)]


def _kinds_by_group(pattern: re.Pattern[str]) -> list[int]:
    """Kind of a line by the number of the pattern's group that matched it."""
    kinds = [int(LineKind.FAULT)] * (pattern.groups + 1)
    for kind in KINDS:
        kinds[pattern.groupindex[kind]] = LineKind[kind]
    return kinds


def _first_faults(dump: Dump) -> tuple[int, ...]:
    numbers: list[int] = []
    place = dump._kinds.find(LineKind.FAULT)
    while place >= 0 and len(numbers) < _MOST_FAULTS_NAMED:
        numbers.append(place + 1)
        place = dump._kinds.find(LineKind.FAULT, place + 1)
    return tuple(numbers)


_ENTRY, _ROW, _SECTION, _COMMENT = LineKind.ENTRY, LineKind.ROW, LineKind.SECTION, LineKind.COMMENT


def _made(index: int, kind: LineKind, match: re.Match[str], section: str) -> Line:
    """The line a match stands for; its kind may have been withdrawn since it was matched."""
    start, end = match.span()
    none = Span(start, start)
    if kind is _ENTRY:
        key = Span(*match.span("key"))
        after = Span(key[1], key[1])
        groups = match.re.groupindex
        lead = _span(match, "lead", Span(key[0], key[0])) if "lead" in groups else Span(key[0], key[0])
        value = _span(match, "value", after)
        note = _span(match, "note", Span(value[1], value[1]))
        return Line(index + 1, kind, start, end, lead, key, value, note, section)
    if kind is _SECTION:
        name = _trimmed(match, "name", none)
        note = _span(match, "section_note", Span(name[1], name[1]))
        return Line(index + 1, kind, start, end, none, name, Span(name[1], name[1]), note, section)
    if kind is _ROW:
        lead, cells = Span(*match.span("row")), Span(*match.span("cells"))
        note = _span(match, "row_note", Span(cells[1], cells[1]))
        return Line(index + 1, kind, start, end, lead, Span(lead[1], lead[1]), cells, note, section)
    if kind is _COMMENT:
        remark = _span(match, "remark", none)
        remark = _content(match) if remark == none else remark
        return Line(index + 1, kind, start, end, none, none, none, remark, section)
    return Line(index + 1, kind, start, end, none, none, none, none, section)


def _span(match: re.Match[str], group: str, absent: Span) -> Span:
    start, end = match.span(group)
    return Span(start, end) if start >= 0 else absent


def _trimmed(match: re.Match[str], group: str, absent: Span) -> Span:
    start, end = match.span(group)
    if start < 0:
        return absent
    text = match.string[start:end]
    begin = start + len(text) - len(text.lstrip(_BLANKS))
    return Span(begin, max(begin, start + len(text.rstrip(_BLANKS))))


def _content(match: re.Match[str]) -> Span:
    """The whole line without the blanks around it and without its terminator."""
    start, end = match.span()
    text = match.string[start:end]
    begin = start + len(text) - len(text.lstrip(_BLANKS))
    return Span(begin, max(begin, start + len(text.rstrip(_BLANKS + "\r\n"))))
