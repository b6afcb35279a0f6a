"""Whether a text is a settings dump at all: prose, logs, JSON, source code and binary files are named for what they are."""

from __future__ import annotations

import re

from cfglint.draft.keys import Keys, keys_of
from cfglint.text.dump import Dump, LineKind
from cfglint.text.source import binary_reason

_FEWEST_KEYS = 3
_SAMPLE = 200_000
_CODE = re.compile(
    r"(?m)^[ \t]*+(?:#include[ \t]*+[<\"]|import \w|from \w+ import |def \w+\(|class \w+[:({]|function \w+\(|public |private "
    r"|static |void \w+\(|int main\(|return\b[^\n]*+$|if ?\(|package \w|fn \w+\(|struct \w+ ?\{|#define \w+|for ?\()"
)
_MARKUP = re.compile(r"(?i)^\s*(?:<\?xml|<!doctype|<html|<svg|<[a-z][\w:-]{0,40}[ >])")


def no_dump_reason(dump: Dump) -> str | None:
    """Why this does not look like a settings dump, or None when it does. Never raises on content."""
    text = dump.source.text[:_SAMPLE]
    if not text.strip("\ufeff \t\r\n"):
        return "it is empty"
    binary = binary_reason(dump.source)
    if binary:
        return f"it is no text: {binary}"
    return _other_kind(text) or _few_entries(dump)


def _other_kind(text: str) -> str | None:
    start = text.lstrip("\ufeff \t\r\n")
    if start[:1] in "{[" and _is_json(start):
        return "it is JSON; a dump is plain lines of keys and values"
    if _MARKUP.match(start):
        return "it is markup; a dump is plain lines of keys and values"
    lines = [line for line in text.splitlines() if line.strip()]
    code = len(_CODE.findall(text))
    if code >= 3 and code * 12 > len(lines):
        return f"it is source code: {code} of {len(lines)} lines begin like statements"
    return _log(lines) or _prose(lines)


def _is_json(start: str) -> bool:
    """A quoted key, a number or a nested value right behind the first bracket; `[name]` alone is a section."""
    return bool(
        re.match(r'\{\s*(?:"[^"\n]{0,200}"\s*:|\})|\[\s*(?:[\[{]|"[^"\n]{0,200}"\s*[,\]]|-?\d[\d.eE+-]{0,30}\s*[,\n])', start)
    )


def _log(lines: list[str]) -> str | None:
    """Rows of as many numbers each, line after line: measurements, not settings."""
    counts: dict[int, int] = {}
    for line in lines[:2000]:
        cells = re.split(r"[,;\t]", line[:2000])
        numbers = sum(bool(re.match(r"\s*[+-]?[0-9.]", cell)) for cell in cells)
        if len(cells) > 2 and numbers >= len(cells) - 1 and re.match(r"\s*[+-]?[0-9]", cells[0]) and numbers > 2:
            counts[len(cells)] = counts.get(len(cells), 0) + 1
    most = max(counts.values(), default=0)
    if most >= 3 and most > 0.6 * min(len(lines), 2000):
        return f"it is a log: {most} of {len(lines[:2000])} lines are rows of measurements"
    return None


def _prose(lines: list[str]) -> str | None:
    sentences = sum(_is_sentence(line) for line in lines[:2000])
    if sentences > 0.5 * len(lines[:2000]):
        return f"it is prose: {sentences} of {len(lines[:2000])} lines are sentences"
    return None


def _is_sentence(line: str) -> bool:
    stripped = line.strip()[:2000]
    words = stripped.split()
    marked = stripped[:1] in "#;/" or any(mark in stripped for mark in ("=", ":=", "\t"))
    return len(words) >= 6 and not marked and sum(word.strip(".,;:!?()\"'").isalpha() for word in words) > 0.8 * len(words)


def _few_entries(dump: Dump) -> str | None:
    entries, rows, faults = (dump.count(kind) for kind in (LineKind.ENTRY, LineKind.ROW, LineKind.FAULT))
    if entries + rows < faults:
        return f"{faults} of {entries + rows + faults} lines hold no key with a value"
    keys: Keys = keys_of([dump])
    named = sum(any(c.isalpha() for c in key.name) for key in keys.keys)
    if named < _FEWEST_KEYS:
        return f"only {named} lines hold a key with a value"
    if entries and named * 4 < entries and named < 40:
        return f"the same {named} keys come again and again in {entries} lines, as in a log"
    if 2 * named < len(keys.keys):
        return "most keys are numbers, as in a table of measurements"
    return None
