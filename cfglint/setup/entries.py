"""The lines of a dump sorted by what the name map makes of them, each line in exactly one state."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from cfglint.quantity.value import Value
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.convert import convert
from cfglint.setup.name_map import KeyRule, NameMap, RowRule
from cfglint.setup.setting import Coverage, Place
from cfglint.text.dump import Dump, Line, LineKind, columns
from cfglint.text.problem import Problem
from cfglint.text.source import Span
from cfglint.text.value import Listing, parse_value

MOST_RANGES = 3
FIRST_LINES = 20
MOST_SHOWN = 400
MOST_STARRED = 500
MOST_STARS = 4
LONGEST_NAME = 200


class Entry(NamedTuple):
    """One value of the dump that the map knows: its key as written, the setting, the raw text and the place."""

    key: str
    setting: str
    raw: str
    place: Place
    rule: KeyRule | None


class Entries(NamedTuple):
    """All values found; `rules` the map's entry for each setting it names; `absent_rows` what a missing row means."""

    found: list[Entry]
    rules: Mapping[str, KeyRule]
    absent_rows: Mapping[str, str]
    coverage: Coverage
    problems: list[Problem]

    def defaults(self, catalogue: Catalogue) -> Iterable[tuple[str, Value]]:
        """The documented default of each setting that has one."""
        for id, rule in self.rules.items():
            if rule.default is not None and id in catalogue:
                value = convert(rule.default, catalogue[id], rule.reading).value
                if value is not None:
                    yield id, value


def entries_of(dump: Dump, name_map: NameMap, catalogue: Catalogue) -> Entries:
    """Sort the lines of a dump. Never raises on content; the work is linear in the dump."""
    return _Sorting(dump, name_map, catalogue).sort()


class _Sorting:
    """One pass over a dump."""

    def __init__(self, dump: Dump, name_map: NameMap, catalogue: Catalogue) -> None:
        self.dump, self.name_map, self.catalogue = dump, name_map, catalogue
        self.text = dump.source.text
        self.found: list[Entry] = []
        self.counts = {"modelled": 0, "known": 0, "irrelevant": 0, "unrecognised": 0, "fault": 0, "other": 0}
        self.unrecognised: list[int] = []
        self.problems: list[Problem] = []
        self.ranges: dict[str, int] = {}
        self.known = _Names(name_map.known)
        self.irrelevant = _Names(name_map.irrelevant)
        self.rows = {row.lead: row for row in name_map.rows}

    def sort(self) -> Entries:
        lines = self.dump.lines
        for index, kind, section, key in self.dump.outline():
            state = self._state(kind, section, key, lines, index)
            self.counts[state] += 1
            if state in ("unrecognised", "fault") and len(self.unrecognised) < FIRST_LINES:
                self.unrecognised.append(index + 1)
                if state == "fault":
                    self._report_fault(lines[index])
        c = self.counts
        coverage = Coverage(
            c["modelled"],
            c["known"],
            c["irrelevant"],
            c["unrecognised"],
            c["fault"],
            c["other"],
            tuple(self.unrecognised),
        )
        return Entries(self.found, self._rules(), self._absent_rows(), coverage, self.problems)

    def _state(self, kind: LineKind, section: str, key: str, lines: Sequence[Line], index: int) -> str:
        if kind is LineKind.ENTRY:
            return self._entry(section, key, lines, index)
        if kind is LineKind.ROW:
            return self._row(lines[index])
        return "fault" if kind is LineKind.FAULT else "other"

    def _entry(self, section: str, key: str, lines: Sequence[Line], index: int) -> str:
        whole = f"{section}/{key}" if section else key
        if self.name_map.is_identity:
            id = key if key in self.catalogue else whole.replace("/", ".")
            if id not in self.catalogue or self.catalogue[id].is_fact:
                return "unrecognised"
            line = lines[index]
            self._find(line, key, id, line.value, None)
            return "modelled"
        rule = self.name_map.keys.get(whole) or self.name_map.keys.get(key)
        if rule is None:
            return self._unmapped(whole, key)
        line = lines[index]
        if rule.items:
            self._list(line, key, rule)
        elif rule.setting:
            self._find(line, key, rule.setting, line.value, rule)
        return "modelled" if rule.items or rule.setting else "known"

    def _unmapped(self, whole: str, key: str) -> str:
        if self.known(whole) or self.known(key):
            return "known"
        return "irrelevant" if self.irrelevant(whole) or self.irrelevant(key) else "unrecognised"

    def _list(self, line: Line, key: str, rule: KeyRule) -> None:
        raw = self.text[line.value.start : line.value.end]
        parsed = parse_value(raw)
        spans = _item_spans(raw, line.value.start) if isinstance(parsed, Listing) else [line.value]
        for index, item in enumerate(rule.items):
            if item is not None and index < len(spans):
                self._find(line, f"{key}, item {index + 1}", item.setting, spans[index], item)

    def _row(self, line: Line) -> str:
        lead = self.text[line.lead.start : line.lead.end].split()
        rule = self.rows.get(lead[-1]) if lead else None
        if rule is None:
            return self._unmapped(lead[-1] if lead else "", "")
        spans = columns(self.dump, line)
        cells = dict(zip(rule.columns, spans, strict=False))
        texts = {column: self.text[span.start : span.end] for column, span in cells.items()}
        if any(texts.get(column) in skipped for column, skipped in rule.skip.items()):
            return "known"
        member = rule.codes.get(texts.get(rule.member, ""))
        if member is None:
            return "known" if rule.member in texts else "fault"
        self._cells(line, rule, member, cells)
        return "modelled"

    def _cells(self, line: Line, rule: RowRule, member: str, cells: Mapping[str, Span]) -> None:
        count = self.ranges[member] = self.ranges.get(member, 0) + 1
        if count > MOST_RANGES:
            place = self._place(line, line.lead)
            message = f"{member} has more than {MOST_RANGES} ranges; this one is not judged"
            self.problems.append(
                Problem("warning", "too-many-ranges", message, place.file, place.line, place.column, place.shown)
            )
            return
        for column, cell in rule.cells.items():
            setting = cell.setting.replace("{" + rule.member + "}", member)
            if count > 1:
                stem, _, rest = setting.rpartition(".")
                setting = f"{stem}@{count}.{rest}"
            if column in cells:
                self._find(line, f"{rule.lead} {member} {column}", setting, cells[column], cell._replace(setting=setting))

    def _find(self, line: Line, key: str, setting: str, span: Span, rule: KeyRule | None) -> None:
        raw = self.text[span.start : span.end]
        self.found.append(Entry(key, setting, raw, self._place(line, span), rule))

    def _place(self, line: Line, span: Span) -> Place:
        start = line.start + self.text.startswith("\ufeff", line.start)
        shown = self.text[start : min(line.end, start + MOST_SHOWN)].rstrip("\r\n")
        return Place(self.dump.source.name, line.number, max(span.start - start, 0) + 1, shown, span)

    def _report_fault(self, line: Line) -> None:
        place = self._place(line, Span(line.start, line.start))
        message = "this line is not understood; what it sets is taken as not seen"
        self.problems.append(Problem("note", "line-not-understood", message, place.file, place.line, 1, place.shown))

    def _rules(self) -> dict[str, KeyRule]:
        rules = {}
        for rule in self.name_map.keys.values():
            for one in rule.items or (rule,):
                if one is not None and one.setting:
                    rules[one.setting] = one
        for entry in self.found:
            if entry.rule is not None:
                rules[entry.setting] = entry.rule
        return rules

    def _absent_rows(self) -> dict[str, str]:
        """Where the map says that a member without a row is unset, so is one that the controller has no code for."""
        absent: dict[str, str] = {}
        for row in self.name_map.rows:
            for cell in row.cells.values() if row.absent == "unset" else ():
                stem, _, rest = cell.setting.partition("{" + row.member + "}")
                absent |= dict.fromkeys((id for id in self.catalogue if id.startswith(stem) and id.endswith(rest)), "unset")
        return absent


class _Names:
    """Names as a map lists them; a `*` stands for any run of characters. Names that are too long match nothing."""

    def __init__(self, names: tuple[str, ...]) -> None:
        self.plain = frozenset(name for name in names if "*" not in name)
        starred = [name for name in names if "*" in name][:MOST_STARRED]
        joined = "|".join(".*".join(re.escape(part) for part in re.split(r"\*+", name)[:MOST_STARS]) for name in starred)
        self.starred = re.compile(joined) if joined else None

    def __call__(self, name: str) -> bool:
        if name in self.plain:
            return True
        return self.starred is not None and len(name) <= LONGEST_NAME and self.starred.fullmatch(name) is not None


def _item_spans(raw: str, start: int) -> list[Span]:
    spans = []
    for match in re.finditer(r"[^,;\s\[\](){}]+", raw):
        spans.append(Span(start + match.start(), start + match.end()))
    return spans
