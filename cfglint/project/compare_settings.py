"""Settings of two setups compared by what they mean: the order of lines, comments, encodings and units of writing say nothing."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping

from cfglint.judge.tell import setting_value
from cfglint.quantity.show import show_number
from cfglint.quantity.unit import PULSE, TEMPERATURE
from cfglint.quantity.value import SET, Value
from cfglint.report.comparison_data import LineChange, SettingChange
from cfglint.setup.catalogue import Definition
from cfglint.setup.entries import entries_of
from cfglint.setup.setting import UNSEEN, Place, Setting, Setup
from cfglint.text.dump import LineKind

LONGEST_LINE = 200
MUCH = 3.0


def setting_changes(old: Setup, new: Setup) -> list[SettingChange]:
    """Every setting and fact whose value or origin changed, in catalogue order; a documented default counts as a value."""
    facts = {definition.stands_for: id for id, definition in new.catalogue.items() if definition.stands_for}
    changes = []
    for id, after in new.settings.items():
        before = old.settings.get(id)
        if before is None or (before.value == after.value and before.origin == after.origin):
            continue
        if id not in facts or not _repeats(facts[id], id, old, new):
            changes.append(_change(before, after, old, new))
    return changes


def relative_size(definition: Definition, old: Value, new: Value) -> str:
    """How far a number moved, measured by what it was: "+45 %", "x 4", "about +12 %" between ranges.

    Empty where a ratio says nothing: words, zero before, a change of sign, and scales whose zero is a mere convention
    (dates, temperatures, stick pulses).
    """
    if not definition.is_number or definition.kind == "date" or definition.shown_in.dimension in (PULSE, TEMPERATURE):
        return ""
    if old.presence != SET or new.presence != SET or not (old.known and new.known):
        return ""
    before, after = (old.low + old.high) / 2, (new.low + new.high) / 2
    if before == 0 or after == before or after / before <= 0:
        return ""
    about = "" if old.low == old.high and new.low == new.high else "about "
    return about + _ratio(after / before)


def line_changes(old: Setup, new: Setup) -> list[LineChange]:
    """What changed in the parts of the dumps that no setting is read from, by key; the order of lines says nothing."""
    before, after = _unread(old), _unread(new)
    changes = []
    for key in sorted(before.keys() | after.keys()):
        was, now = before.get(key, []), after.get(key, [])
        gone, come = _without(was, now), _without(now, was)
        if gone or come:
            changes.append(LineChange(key[:LONGEST_LINE], _joined(gone), _joined(come)))
    return changes


def _change(before: Setting, after: Setting, old: Setup, new: Setup) -> SettingChange:
    definition = new.catalogue[after.id]
    return SettingChange(
        after.id,
        _shown(old, before),
        _shown(new, after),
        relative_size(definition, before.value, after.value),
        before.origin,
        after.origin,
        _place(before),
        _place(after),
        same_value=before.value == after.value,
    )


def _shown(setup: Setup, setting: Setting) -> str:
    return "not known" if setting.origin == UNSEEN else setting_value(setup, setting)


def _place(setting: Setting) -> Place | None:
    return setting.places[-1] if setting.places else None


def _repeats(fact: str, id: str, old: Setup, new: Setup) -> bool:
    """Whether a setting only shows, before and after, the fact that stands for it and is listed already."""
    return all(setup.settings[id].places == setup.settings[fact].places for setup in (old, new))


def _ratio(ratio: float) -> str:
    if ratio > MUCH or ratio < 1 / MUCH:
        return f"\u00d7 {show_number(ratio, 2)}"
    percent = (ratio - 1) * 100
    digits = show_number(abs(percent), 2)
    return f"{'+' if percent > 0 else '-'}{digits} %"


def _unread(setup: Setup) -> dict[str, list[str]]:
    """By key, what each line holds besides the values that settings are read from."""
    read: dict[int, list[tuple[int, int]]] = {}
    for entry in entries_of(setup.dump, setup.name_map, setup.catalogue).found:
        span = entry.place.span
        if span is not None:
            read.setdefault(entry.place.line, []).append((span.start, span.end))
    unread: dict[str, list[str]] = {}
    for key, rest in _rests(setup, read):
        if rest:
            unread.setdefault(key, []).append(rest)
    return unread


def _rests(setup: Setup, read: Mapping[int, list[tuple[int, int]]]) -> Iterator[tuple[str, str]]:
    text = setup.dump.source.text
    for line in setup.dump.lines:
        section = f"{line.section}/" if line.section else ""
        if line.kind == LineKind.FAULT:
            yield "lines not understood", " ".join(text[line.start : line.end].split())[:LONGEST_LINE]
        elif line.kind in (LineKind.ENTRY, LineKind.ROW):
            name = line.key if line.kind == LineKind.ENTRY else line.lead
            rest = _outside(text, line.value.start, line.value.end, read.get(line.number, []))
            known = line.number in read
            yield section + text[name.start : name.end], rest if known or rest else "(no value)"


def _outside(text: str, start: int, end: int, spans: list[tuple[int, int]]) -> str:
    """A value without the spans that were read, its blanks and separators evened out."""
    parts, at = [], start
    for span_start, span_end in sorted(spans):
        parts.append(text[at:span_start])
        at = max(at, span_end)
    parts.append(text[at:end])
    rest = " ".join("".join(parts).split())
    return rest if re.search(r"\w", rest) else ""


def _without(these: list[str], those: list[str]) -> list[str]:
    """What is left of some texts when those that also stand elsewhere are crossed out, one for one."""
    left = Counter(those)
    rest = []
    for text in these:
        if left[text]:
            left[text] -= 1
        else:
            rest.append(text)
    return rest


def _joined(texts: list[str]) -> str:
    return "; ".join(sorted(texts))[:LONGEST_LINE]
