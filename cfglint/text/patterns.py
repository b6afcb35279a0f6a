"""The line grammar as one pattern for `re`, built for a layout.

The terminals are those of `grammar/`, in lark's order of priority: BLANK, COMMENT, SECTION, ROW, ENTRY,
FAULT. Every repetition is possessive or bounded, so a line is read in time proportional to its length,
whatever it holds.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from cfglint.text.layout import Layout

KINDS = ("BLANK", "COMMENT", "SECTION", "ROW", "ENTRY", "FAULT")

_BLANKS = r" \t\x0b\x0c\xa0"
_END = r"(?:\r\n|[\r\n]|\Z)"
_QUOTED = r'"(?:[^"\\\r\n]++|\\[^\r\n]|"")*+"' r"|'(?:[^'\\\r\n]++|\\[^\r\n]|'')*+'"
_COLOUR = r"\#(?:[0-9A-Fa-f]{8}|[0-9A-Fa-f]{6}|[0-9A-Fa-f]{3})"
ESCAPE = r"\x1b(?:\[[0-?]*+[ -/]*+[@-~]|\][^\x07\x1b\r\n]*+(?:\x07|\x1b\\)|[ -/]++[0-~]|[0-Z\\^-~])"
_KEY_STARTS = r"(?=[\w$@%&./\[(<])"
_DECORATION = r"[-=*~_+.|<>\\/\#]{3,}+[-=*~_+.|<>\\/\#\ \t]*+"
_SEPARATORS = {"=": r"(?<![:<>!+*])=(?!=)", ":": r":(?!=)", ":=": ":=", ",": ",", "tab": r"\t", "blank": ""}
_KEY_STOPS = {"=": "=", ":": ":=", ":=": ":=", ",": ",=", "tab": r"=\t", "blank": "=,"}
_PROSE = r"(?:[A-Za-z]{2,}+[,.;:]?+[ \t]++){2}[A-Za-z]{2,}"


class _Parts(NamedTuple):
    """Pieces every terminal is put together from; `blanks` and `outside` stand inside character classes."""

    blanks: str
    outside: str
    gap: str
    head: str
    mark: str


@lru_cache(maxsize=64)
def line_pattern(layout: Layout, noisy: bool = False) -> re.Pattern[str]:
    """One pattern that matches any line, terminator included, with groups for its kind and its fields.

    With `noisy` a terminal's escape sequences count as blanks, and a prompt may stand before the line. What
    all kinds begin with stands in front of them once. The pattern matches nothing at the end of the text.
    """
    parts = _parts(layout, noisy)
    kinds = "|".join(f"(?P<{kind}>{body})" for kind, body in _bodies(layout, parts, noisy))
    return re.compile(rf"(?!\Z){parts.head}(?:{kinds})")


def terminals(layout: Layout, noisy: bool = False) -> list[tuple[str, str]]:
    """Every kind of line and what it looks like, complete, in the order in which they are tried."""
    parts = _parts(layout, noisy)
    return [(kind, rf"(?!\Z){parts.head}(?:{body})") for kind, body in _bodies(layout, parts, noisy)]


def _bodies(layout: Layout, parts: _Parts, noisy: bool) -> list[tuple[str, str]]:
    wide = _parts(layout._replace(separator="blank"), noisy)
    return [
        ("BLANK", _END),
        ("COMMENT", rf"(?P<remark>{parts.mark}[^\r\n]*+|{_DECORATION}(?={_END})){_END}"),
        ("SECTION", _section(layout, parts)),
        ("ROW", _row(layout, wide)),
        ("ENTRY", _table(layout, parts) if layout.columns else _entry(layout, parts, wide)),
        ("FAULT", rf"[^\r\n]*+{_END}"),
    ]


def _parts(layout: Layout, noisy: bool) -> _Parts:
    blanks = _BLANKS.replace(r"\t", "") if layout.separator == "tab" else _BLANKS
    indent = blanks if layout.columns else _BLANKS
    mark = _either(layout.comments)
    if not noisy:
        return _Parts(blanks, blanks, f"[{blanks}]*+", rf"\ufeff?+[{indent}]*+", mark)
    gap = rf"(?:[{blanks}]++|{ESCAPE})*+"
    indented = rf"(?:[{indent}]++|{ESCAPE})*+"
    prompt = rf"(?:(?:[A-Za-z][\w.@-]{{0,31}}+[>$]|[>$]{{1,3}}+)(?:[{_BLANKS}]++|(?={_END})))?+"
    return _Parts(blanks, rf"{blanks}\x1b", gap, rf"\ufeff?+{indented}{prompt}{indented}", mark)


def _either(words: tuple[str, ...]) -> str:
    if not words:
        return "(?!)"
    return "(?:" + "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True)) + ")"


def _trail(parts: _Parts, name: str) -> str:
    return rf"{parts.gap}(?P<{name}>{parts.mark}[^\r\n]*+)?+{_END}"


def _lead(layout: Layout) -> str:
    if not layout.lead_words:
        return ""
    return rf"(?:(?P<lead>{_either(layout.lead_words)})[{_BLANKS}]++(?=[^{_BLANKS}\r\n=:,]))?+"


def _key(layout: Layout, parts: _Parts) -> str:
    """Up to eight words before the separator; a quote around them is not part of the key."""
    word = rf"[^{parts.outside}\r\n\"'{_KEY_STOPS[layout.separator]}]++"
    if layout.separator == ":=":
        word = rf"(?:{word}|:(?!=))++"
    if layout.separator in (",", "tab", "blank"):
        word += "(?<!:)"
    more = "" if layout.separator == "blank" else rf"(?:[{parts.blanks}]++(?!{parts.mark}){word}){{0,7}}+"
    return rf"[\"']?+{_KEY_STARTS}(?P<key>{word}{more})[\"']?+"


def _value(layout: Layout, parts: _Parts, stop: str = "") -> str:
    """Everything up to a trailing comment, or up to `stop`. Blanks at its end are not part of it.

    A comment mark needs a blank before it, and a colour code right after the separator is no comment.
    """
    starts = "".join(sorted({re.escape(mark[0]) for mark in layout.comments}))
    outside = rf"{parts.outside}\r\n{stop}"
    end = rf"(?=[{parts.blanks}]*+(?:[\r\n{stop}]|\Z))"
    plain = rf"[^{outside}\"'{starts}]++{end}"
    colour = rf"{_COLOUR}(?![^{outside}])|" if "#" in layout.comments else ""
    openers = r"\[({" if stop == "," else r",\[({"
    piece = rf"[^{outside}{openers}]++|[{openers}]++(?:{_QUOTED})?+"
    word = rf"(?=[^{outside}])(?:{_QUOTED})?+(?:{piece})*+"
    noisy = parts.outside != parts.blanks
    remark = rf"(?!(?:{ESCAPE})*+[{parts.blanks}]{parts.gap}{parts.mark})" if noisy else ""
    return rf"(?:{plain}|{colour}(?:{remark}{parts.gap}(?!(?<=[{_BLANKS}]){parts.mark}){word})++)"


def _section(layout: Layout, parts: _Parts) -> str:
    trail = _trail(parts, "section_note")
    if layout.sections == "brackets":
        name = r"(?P<name>(?:[^\[\]\r\n]++|\[[^\[\]\r\n]*+\])++)"
        return rf"\[{{1,3}}+{name}\]{{1,3}}+{trail}"
    if layout.sections == "braces":
        name = rf"[\"']?+(?P<name>{_words(parts, '{}')})?+[\"']?+"
        return rf"(?:(?P<close>\}})[;,]?+|{name}{parts.gap}[=:]?+{parts.gap}\{{){trail}"
    if layout.sections == "word" and layout.section_word:
        word = rf"{re.escape(layout.section_word)}[{parts.blanks}]++"
        return rf"{word}[\"']?+(?P<name>{_words(parts, '')})[\"']?+:?+{trail}"
    return "(?!)"


def _words(parts: _Parts, stops: str) -> str:
    word = rf"[^{parts.outside}\r\n=:\"'{stops}]++"
    return rf"{word}(?:[{parts.blanks}]++(?!{parts.mark}){word}){{0,7}}+"


def _row(layout: Layout, wide: _Parts) -> str:
    """A lead word and columns; the cells reach to the end of the line, whatever stands between them."""
    if not layout.rows:
        return "(?!)"
    between = rf"[{wide.blanks}]++(?![=:])"
    if layout.separator == ",":
        between = rf"(?:{wide.gap},{wide.gap}|{between})"
    cells = f"(?P<cells>{_value(layout, wide)})"
    return rf"(?P<row>{_either(layout.rows)}){between}{cells}{_trail(wide, 'row_note')}"


def _entry(layout: Layout, parts: _Parts, wide: _Parts) -> str:
    """Lead word, key, separator, and a value that is the rest of the line, with tabs in it or not."""
    key, value, trail = f"{_lead(layout)}{_key(layout, parts)}", _value(layout, wide), _trail(wide, "note")
    if layout.separator == "blank":
        some = rf"(?=[{parts.outside}]){parts.gap}(?![=:])(?!{_PROSE})(?P<value>{value})"
        empty = "(?(lead)|(?!))" if layout.lead_words else "(?!)"
        return f"{key}(?:{some}|{empty}){trail}"
    return f"{key}{parts.gap}{_SEPARATORS[layout.separator]}{wide.gap}(?P<value>{value}|){trail}"


def _table(layout: Layout, parts: _Parts) -> str:
    """Key and value stand in columns of their own; the others are passed over."""
    between = f"{parts.gap}{_SEPARATORS[layout.separator]}{parts.gap}"
    cell = _value(layout, parts, _SEPARATORS[layout.separator])
    skipped = rf"(?:(?:{cell})?+{between})"
    key, value = _key(layout, parts), f"(?P<value>{cell}|)"
    first, last = sorted((layout.key_column, layout.value_column))
    left, right = (key, value) if layout.key_column <= layout.value_column else (value, key)
    lead = _lead(layout) if layout.key_column == 0 else ""
    rest = rf"(?:{between}(?:{cell})?+)*+"
    passed = rf"{skipped}{{{first}}}{left}{between}{skipped}{{{last - first - 1}}}{right}"
    return f"{lead}{passed}{rest}{_trail(parts, 'note')}"
