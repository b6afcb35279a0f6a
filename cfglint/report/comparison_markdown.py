"""A comparison as Markdown for the comment on a pull request: a table of craft, what got worse in full, all else folded.

Nothing from a file is taken as markup: whatever could begin a tag, a link, a mention or a table cell is written as a
character reference.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from cfglint.report.comparison_data import (
    GONE,
    REFUSED,
    Comparison,
    CraftComparison,
    SettingChange,
    VerdictChange,
    summary,
    worst_first,
)
from cfglint.text.visible import visible

LARGEST = 60_000
MOST_IN_ONE_TABLE = 40
MOST_CRAFT = 100

_ACTIVE = re.compile(r"[&<>`*~\[\]{}|\\!$^@#]|(?<![0-9A-Za-z])_|_(?![0-9A-Za-z])|:(?=/)|(?<=[wW])\.")
_JOINER = "\u2060"
_LONGEST_CELL = 300


def render_comparison_markdown(comparison: Comparison, largest: int = LARGEST) -> str:
    """The comparison as Markdown of at most about `largest` characters; what had to be left out is counted."""
    crafts = list(worst_first(comparison))
    parts = [_head(comparison), _overview(crafts), *_refused(crafts)]
    size = sum(map(len, parts)) + 200
    left_out = 0
    for craft in crafts:
        if craft.status in (REFUSED, GONE):
            continue
        text = _craft(craft)
        if size + len(text) > largest:
            text = _craft(craft, brief=True)
        if left_out or size + len(text) > largest:
            left_out += 1
            continue
        parts.append(text)
        size += len(text)
    if left_out:
        parts.append(f"The details of {left_out} craft are left out here for their length; the JSON comparison has them all.\n")
    return "\n".join(parts)


def plain(text: str, longest: int = _LONGEST_CELL) -> str:
    """A text from anywhere, as Markdown that shows it and does nothing."""
    shown = visible(text.replace("\n", " "))
    return _ACTIVE.sub(_reference, shown if len(shown) <= longest else shown[: longest - 1] + "\u2026")


def _reference(match: re.Match[str]) -> str:
    character = match.group()
    return f"&#{ord(character)};" + (_JOINER if character in "@#" else "")


def _head(comparison: Comparison) -> str:
    said = f"{comparison.worse} worse" if comparison.worse else "nothing got worse"
    if comparison.status == 2:
        said += ", but not everything could be compared"
    states = f"{plain(comparison.old)} \u2192 {plain(comparison.new)}"
    return f"### cfglint: {said}\n\n{states}; {comparison.unchanged} craft unchanged\n"


def _overview(crafts: list[CraftComparison]) -> str:
    if not crafts:
        return ""
    rows = [
        (plain(c.craft), str(c.worse or ""), str(c.better or ""), str(c.changed_values or ""), plain(summary(c)))
        for c in crafts[:MOST_CRAFT]
    ]
    more = f"\nand {len(crafts) - MOST_CRAFT} craft more\n" if len(crafts) > MOST_CRAFT else ""
    return _table(("craft", "worse", "better", "settings", "in short"), rows) + more


def _refused(crafts: list[CraftComparison]) -> Iterator[str]:
    for craft in crafts:
        if craft.status == REFUSED:
            said = [f"- {plain(p.file)}{f':{p.line}' if p.line else ''}: {plain(p.message)}" for p in craft.problems[:10]]
            yield f"**{plain(craft.craft)} could not be compared**\n\n" + "\n".join(said) + "\n"


def _craft(craft: CraftComparison, brief: bool = False) -> str:
    worse = [change for change in craft.verdicts if change.worse]
    others = [change for change in craft.verdicts if not change.worse]
    parts = [_verdicts(worse)] if worse else []
    if craft.proofs:
        rows = [(plain(p.card), plain(p.was), plain(p.now), plain("; ".join(p.because))) for p in craft.proofs]
        parts.append(_table(("proof", "was", "is", "because"), rows))
    if brief:
        parts.append("The settings and the other changes are left out here for their length.\n")
    else:
        parts += _settings(craft.settings)
        if others:
            parts.append(_folded(f"other changes: {len(others)}", _verdicts(others)))
        if craft.lines:
            rows3 = [(plain(c.key), plain(c.old or "(none)"), plain(c.new or "(none)")) for c in craft.lines[:200]]
            title = f"changed, but read by no rule: {len(craft.lines)}"
            parts.append(_folded(title, _table(("key", "was", "is"), rows3)))
    return _folded(f"{plain(craft.craft)}: {plain(summary(craft))}", "\n".join(parts), is_open=bool(worse))


def _verdicts(changes: Iterable[VerdictChange]) -> str:
    rows = [(plain(c.now), plain(_rule(c)), plain(c.was), _what(c)) for c in changes]
    return _table(("is", "rule", "was", "what"), rows)


def _rule(change: VerdictChange) -> str:
    where = ", ".join(part for part in (*change.members, change.phase) if part)
    return change.rule + (f" ({where})" if where else "")


def _what(change: VerdictChange) -> str:
    said = [plain(change.message or change.title, 600)]
    if change.moved:
        said.append(plain(change.moved))
    if change.needs:
        said.append("settled by: " + plain(", ".join(change.needs)))
    if change.place is not None:
        said.append(plain(f"{change.place.file}:{change.place.line}"))
    if change.remedy:
        said.append("remedy: " + plain(change.remedy))
    return "<br>".join(said)


def _settings(changes: tuple[SettingChange, ...]) -> list[str]:
    """One folded table; with many changes one for each group of settings, so that each can be read at a glance."""
    values = [change for change in changes if not change.same_value]
    same = [change for change in changes if change.same_value]
    parts = []
    if len(values) <= MOST_IN_ONE_TABLE:
        parts += [_folded(f"settings that changed: {len(values)}", _setting_table(values))] if values else []
    else:
        parts.append(_folded(f"settings that changed: {len(values)}", "\n".join(_groups(values))))
    if same:
        names = ", ".join(plain(f"{c.id} ({c.old_origin} \u2192 {c.new_origin})") for c in same[:200])
        parts.append(_folded(f"same value from another origin: {len(same)}", names + "\n"))
    return parts


def _groups(changes: list[SettingChange]) -> Iterator[str]:
    important = [change for change in changes if change.matters]
    if important:
        yield f"read by what got worse\n\n{_setting_table(important)}"
    groups: dict[str, list[SettingChange]] = {}
    for change in changes:
        if not change.matters:
            groups.setdefault(change.id.partition(".")[0], []).append(change)
    for name, group in sorted(groups.items(), key=lambda item: (-len(item[1]), item[0])):
        yield _folded(f"{plain(name)}: {len(group)}", _setting_table(group))


def _setting_table(changes: Iterable[SettingChange]) -> str:
    rows = [(plain(c.id) + (" **(!)**" if c.matters else ""), plain(c.old), plain(c.new), plain(_size(c))) for c in changes]
    return _table(("setting", "was", "is", "change"), rows)


def _size(change: SettingChange) -> str:
    origin = f"{change.old_origin} \u2192 {change.new_origin}" if change.old_origin != change.new_origin else ""
    return ", ".join(part for part in (change.relative, origin) if part)


def _table(heads: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = ["| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
    lines += ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join(lines) + "\n"


def _folded(title: str, text: str, is_open: bool = False) -> str:
    return f"<details{' open' if is_open else ''}><summary>{title}</summary>\n\n{text}\n</details>\n"
