"""The keys of one or several dumps of the same controller, with everything written beside them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from cfglint.draft.words import split_name
from cfglint.text.dump import Dump, Line, LineKind
from cfglint.text.value import Between, Listing, Number, Quoted, Unreadable, Word, parse_value

MOST_KEYS = 5_000
_MOST_VALUES = 20
_MOST_REMARK = 160
_COMMON_SHARE = 0.6


class Key(NamedTuple):
    """One key: its whole name (`section/key`), its pieces and its section's, all values seen, and the remarks beside it."""

    name: str
    pieces: tuple[str, ...]
    section: tuple[str, ...]
    values: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def kind(self) -> str:
        """What its values are: whole, broken, quantity, switch, word, list, text; "mixed" when they differ."""
        return kind_of(self.values)


class Keys(NamedTuple):
    """All keys in the order of the dump; `rows` counts lines of columns by lead word; `dropped` says that there were too many."""

    keys: tuple[Key, ...]
    rows: tuple[tuple[str, int], ...]
    dropped: int = 0


SWITCH_TEXTS = frozenset(("on", "off", "yes", "no", "true", "false", "enabled", "disabled", "enable", "disable"))


def keys_of(dumps: Iterable[Dump]) -> Keys:
    """The keys of dumps, pooled: the same key in several dumps is one, with all its values."""
    found: dict[str, tuple[str, str, list[str], list[str]]] = {}
    rows: Counter[str] = Counter()
    dropped = 0
    for dump in dumps:
        above: list[str] = []
        for line in dump.lines:
            if line.kind == LineKind.COMMENT:
                above = [*above[-1:], dump.text_of(line.comment)[:_MOST_REMARK]]
                continue
            if line.kind == LineKind.ROW:
                rows[dump.text_of(line.lead)[:80]] += 1
            elif line.kind == LineKind.ENTRY:
                dropped += _take(dump, line, above, found)
            above = []
    return Keys(tuple(_without_common(found)), tuple(sorted(rows.items())), dropped)


def kind_of(values: Sequence[str]) -> str:
    """The kind of values, see `Key.kind`."""
    kinds = {_kind(value) for value in values}
    if kinds == {"whole", "broken"}:
        return "broken"
    return kinds.pop() if len(kinds) == 1 else "mixed"


def _take(dump: Dump, line: Line, above: list[str], found: dict[str, tuple[str, str, list[str], list[str]]]) -> int:
    key = dump.text_of(line.key)
    name = f"{line.section}/{key}" if line.section else key
    value = dump.text_of(line.value)[:400]
    remarks = [dump.text_of(line.comment)[:_MOST_REMARK].lstrip("#;/ \t"), *_columns_beside(dump, line, key, value)]
    at = found.get(name)
    if at is None:
        if len(found) >= MOST_KEYS:
            return 1
        found[name] = at = key, line.section, [], [*remarks, *(above if len(above) == 1 else [])]
    if value not in at[2] and len(at[2]) < _MOST_VALUES:
        at[2].append(value)
    return 0


def _columns_beside(dump: Dump, line: Line, key: str, value: str) -> list[str]:
    """The other columns of a table's line; numbers among them say nothing."""
    if not dump.layout.columns:
        return []
    mark = "\t" if dump.layout.separator == "tab" else ","
    cells = [cell.strip(" \r\n\"'") for cell in dump.source.text[line.start : line.end][:1000].split(mark)]
    return [cell[:_MOST_REMARK] for cell in cells if cell and cell not in (key, value) and not cell.isdigit()]


def _without_common(found: dict[str, tuple[str, str, list[str], list[str]]]) -> Iterable[Key]:
    """Keys as pieces; a piece that begins most keys, or a single letter that stands for a type, says nothing and goes."""
    pieces = {name: split_name(key) for name, (key, _, _, _) in found.items()}
    firsts = Counter(p[0] for p in pieces.values() if len(p) > 1)
    many = max(8, _COMMON_SHARE * len(found))
    common = {piece for piece, count in firsts.items() if count > many}
    typed = _type_letters(found)
    for name, (_, section, values, remarks) in found.items():
        own = pieces[name]
        if len(own) > 1 and (own[0] in common or (typed and len(own[0]) == 1)):
            own = own[1:]
        yield Key(name, tuple(own), tuple(split_name(section)), tuple(values), tuple(r for r in remarks if r))


def _type_letters(found: dict[str, tuple[str, str, list[str], list[str]]]) -> bool:
    """Whether keys begin with a small letter for the type and go on with a capital."""
    marked = sum(len(key) > 2 and key[0].islower() and key[1].isupper() for key, _, _, _ in found.values())
    return marked > max(4, _COMMON_SHARE * len(found))


def _kind(value: str) -> str:
    parsed = parse_value(value)
    if isinstance(parsed, Quoted):
        inner = parse_value(parsed.text)
        parsed = inner if isinstance(inner, (Number, Word)) and len(parsed.text) < 24 else parsed
    if isinstance(parsed, Number):
        if parsed.unit:
            return "quantity"
        return "whole" if "." not in value and parsed.denominator == 1 else "broken"
    if isinstance(parsed, Word):
        return "switch" if parsed.text.lower() in SWITCH_TEXTS else "word"
    if isinstance(parsed, Listing):
        return "list"
    if isinstance(parsed, Between):
        return "range"
    return "none" if isinstance(parsed, Unreadable) else "text"
