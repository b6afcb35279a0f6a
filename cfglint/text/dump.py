"""The lossless tree of one plain-text dump: every line has a kind and exact spans, and every byte is kept."""

from __future__ import annotations

import re
from array import array
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from enum import IntEnum
from functools import lru_cache
from itertools import islice
from typing import Any, NamedTuple, overload

from cfglint.text.election import second_round
from cfglint.text.layout import Layout, Vote, is_noisy, vote
from cfglint.text.patterns import KINDS, line_pattern
from cfglint.text.sample import is_whole
from cfglint.text.sections import Sections
from cfglint.text.source import Source, Span, decode

_BLANKS = " \t\x0b\x0c\xa0"
_MOST_FAULTS_NAMED = 50
_MOST_FAULTS_HEARD = 400
_LONGEST_HEARD = 200


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
        kind, section = LineKind(self._kinds[index]), self._sections.at(index)
        return _made(index, kind, match, _groups(self._pattern), section)

    def outline(self) -> Iterator[tuple[int, LineKind, str, str]]:
        """Index, kind, section and key text of every line: what tells whether its other fields are worth making."""
        order, key = tuple(LineKind), self._pattern.groupindex.get("key", 0)
        changes, names = self._sections.lines, self._sections.names
        kinds, section, seen, many = self._kinds, "", 0, len(changes)
        for index, match in enumerate(self._pattern.finditer(self.source.text)):
            while seen < many and changes[seen] <= index:
                section = names[seen]
                seen += 1
            kind = order[kinds[index]]
            yield index, kind, section, match[key] if kind is _ENTRY else ""

    def _each_line(self) -> Iterator[Line]:
        order, groups = tuple(LineKind), _groups(self._pattern)
        changes, names = self._sections.lines, self._sections.names
        kinds, section, seen, many = self._kinds, "", 0, len(changes)
        for index, match in enumerate(self._pattern.finditer(self.source.text)):
            while seen < many and changes[seen] <= index:
                section = names[seen]
                seen += 1
            yield _made(index, order[kinds[index]], match, groups, section)


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


def read(data: bytes, name: str = "-", layout: Layout | None = None, given: Mapping[str, Any] | None = None) -> Dump:
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
    if dump.count(LineKind.FAULT) and not is_whole(source.text):
        found = second_round(found, _fault_texts(dump), given or {})
        dump = dump if found.layout == dump.layout else Dump(source, found.layout, found)
    dump.vote = found._replace(unplaced=tuple(islice(_fault_numbers(dump), _MOST_FAULTS_NAMED)))
    return dump


def columns(dump: Dump, line: Line) -> list[Span]:
    """The cells of a row's (or a list's) value; commas or blanks stand between them, quotes keep them
    together."""
    text, end = dump.source.text, line.value.end
    return [Span(*match.span(1)) for match in _cells().finditer(text, line.value.start, end)]


@lru_cache(maxsize=1)
def _cells() -> re.Pattern[str]:
    return re.compile(rf"""[{_BLANKS},]*+("(?:[^"\\]++|\\.|"")*+"|'(?:[^'\\]++|\\.|'')*+'|[^{_BLANKS},]++)""")


def _kinds_by_group(pattern: re.Pattern[str]) -> list[int]:
    """Kind of a line by the number of the pattern's group that matched it."""
    kinds = [int(LineKind.FAULT)] * (pattern.groups + 1)
    for kind in KINDS:
        kinds[pattern.groupindex[kind]] = LineKind[kind]
    return kinds


def _fault_numbers(dump: Dump) -> Iterator[int]:
    place = dump._kinds.find(LineKind.FAULT)
    while place >= 0:
        yield place + 1
        place = dump._kinds.find(LineKind.FAULT, place + 1)


def _fault_texts(dump: Dump) -> list[str]:
    numbers = islice(_fault_numbers(dump), _MOST_FAULTS_HEARD)
    return [dump.source.line_text(number)[:_LONGEST_HEARD] for number in numbers]


class _Groups(NamedTuple):
    """Numbers of a pattern's groups; 0 where a layout has no such field."""

    lead: int
    key: int
    value: int
    note: int
    name: int
    section_note: int
    row: int
    cells: int
    row_note: int
    remark: int


def _groups(pattern: re.Pattern[str]) -> _Groups:
    return _Groups(*(pattern.groupindex.get(name, 0) for name in _Groups._fields))


_ENTRY, _ROW, _SECTION, _COMMENT = LineKind.ENTRY, LineKind.ROW, LineKind.SECTION, LineKind.COMMENT
_new = tuple.__new__


def _made(index: int, kind: LineKind, match: re.Match[str], groups: _Groups, section: str) -> Line:
    """The line a match stands for; its kind may have been withdrawn since it was matched.

    `tuple.__new__` makes the spans in a third of the time their constructor takes.
    """
    start, end = match.span()
    if kind is _ENTRY:
        key = _new(Span, match.span(groups[1]))
        first, last = key
        lead = _span(match, groups[0], first)
        value = _span(match, groups[2], last)
        note = _span(match, groups[3], value[1])
        return _new(Line, (index + 1, kind, start, end, lead, key, value, note, section))
    none = Span(start, start)
    if kind is _SECTION:
        name = _trimmed(match, groups.name, start)
        note = _span(match, groups.section_note, name.end)
        return Line(index + 1, kind, start, end, none, name, Span(name.end, name.end), note, section)
    if kind is _ROW:
        lead, cells = Span(*match.span(groups.row)), Span(*match.span(groups.cells))
        note = _span(match, groups.row_note, cells.end)
        return Line(index + 1, kind, start, end, lead, Span(lead.end, lead.end), cells, note, section)
    if kind is _COMMENT:
        remark = _span(match, groups.remark, start)
        remark = _trimmed(match, 0, start) if remark == none else remark
        return Line(index + 1, kind, start, end, none, none, none, remark, section)
    return Line(index + 1, kind, start, end, none, none, none, none, section)


def _span(match: re.Match[str], group: int, absent: int) -> Span:
    """Span of a group, or an empty one where it took no part in the match."""
    span = match.span(group) if group else (-1, -1)
    return _new(Span, span if span[0] >= 0 else (absent, absent))


def _trimmed(match: re.Match[str], group: int, absent: int) -> Span:
    """Span of a group without the blanks around it and without a terminator."""
    start, end = match.span(group)
    if start < 0:
        return Span(absent, absent)
    text = match.string[start:end]
    begin = start + len(text) - len(text.lstrip(_BLANKS))
    return Span(begin, max(begin, start + len(text.rstrip(_BLANKS + "\r\n"))))
