"""Text inside Markdown: shown as it is, whatever it holds. No markup, link, mention or table cell begins in it."""

from __future__ import annotations

import re

from cfglint.text.visible import visible

_JOINER = "\u2060"
_ENTITIES = {"&": "&amp;", "<": "&lt;", ">": "&gt;"}
_MARKUP = re.compile(r"[\\`*\[\]|~$]|(?<!\w)_|_(?!\w)|^[#+=-]|^[0-9]{1,9}(?=[.)])")
_CALLS = re.compile(r"[@#](?=\w)|:(?=//)|\bwww(?=\.)|\bGH(?=-)", re.IGNORECASE)
_TICKS = re.compile("`+")


def escaped(text: str) -> str:
    """A text for a line of Markdown or a cell of a table.

    Markup is escaped with backslashes and entities. Mentions, references and bare addresses, which viewers make links of even
    then, are broken by an invisible joiner.
    """
    called = _CALLS.sub(lambda match: match.group() + _JOINER, visible(text).strip())
    marked = _MARKUP.sub(_backslashed, called)
    return re.sub("[&<>]", lambda match: _ENTITIES[match.group()], marked)


def code(text: str, in_table: bool = False) -> str:
    """A text as code; in a table the bars are escaped."""
    shown = visible(text)
    fence = "`" * (max((len(run) for run in _TICKS.findall(shown)), default=0) + 1)
    if in_table:
        shown = shown.replace("|", "\\|")
    needs_room = shown.startswith("`") or shown.endswith(("`", "\\")) or (shown.startswith(" ") and shown.endswith(" "))
    room = " " if needs_room else ""
    return f"{fence}{room}{shown}{room}{fence}" if shown.strip() else ""


def _backslashed(match: re.Match[str]) -> str:
    mark = match.group()
    return mark + _JOINER if mark.isdigit() else "\\" + mark
