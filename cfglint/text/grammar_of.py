"""The line grammar of a layout, and the value grammar, in lark's notation: what the patterns are held against."""

from __future__ import annotations

import re
from pathlib import Path

from cfglint.text.layout import Layout

_FOLDER = Path(__file__).parent / "grammar"
_BLANKS = r" \t\x0b\x0c\xa0"
_ESCAPE = r"\x1b(?:\[[0-?]*+[ -\/]*+[@-~]|\][^\x07\x1b\r\n]*+(?:\x07|\x1b\\)|[ -\/]++[0-~]|[0-Z\\^-~])"
_SIGNS = {"=": r"(?<![:<>!+*])=(?!=)", ":": ":(?!=)", ":=": ":=", ",": ",", "tab": r"\t", "blank": ""}
_WORD_STOPS = {"=": "=", ":": "=:", ":=": "=:", ",": "=,", "tab": r"=\t", "blank": "=,"}
_CELL = (
    r"""[^@outside@\r\n@sign@"'@mark_starts@]++@end@|(?=@marks@)#(?:[0-9A-Fa-f]{8}|[0-9A-Fa-f]{6}|[0-9A-Fa-f]{3})(?![^@outside@\r\n@sign@])"""
    r"""|(?:@remark@@gap@(?!(?<=[ \t\x0b\x0c\xa0])@marks@)(?=[^@outside@\r\n@sign@])@quoted@"""
    r"""(?:[^@outside@\r\n@sign@@openers@]++|[@openers@]++@quoted@)*+)++"""
)
_QUOTED = r"""(?:"(?:[^"\\\r\n]++|\\[^\r\n]|"")*+"|'(?:[^'\\\r\n]++|\\[^\r\n]|'')*+')?+"""
_END_OF_CELL = r"(?=[@blanks@]*+(?:[\r\n@sign@]|\Z))"


def grammar_of(layout: Layout, noisy: bool = False) -> str:
    """The grammar of a layout's lines; with `noisy` a terminal's escape sequences and prompts may stand in them."""
    names = ["lines", _family(layout)]
    kinds = ["BLANK", "COMMENT", "ENTRY", "FAULT"]
    if layout.sections != "none" and (layout.sections != "word" or layout.section_word):
        names.append(layout.sections)
        kinds.append("SECTION")
    if layout.rows:
        names.append("rows")
        kinds.append("ROW")
    text = "\n".join((_FOLDER / f"{name}.lark").read_text(encoding="utf-8") for name in names)
    if not layout.lead_words:
        text = text.replace(" | HEAD LED KEY WIDE_TRAIL", "")
    fields = {"kinds": " | ".join(kinds), **_fields(layout, noisy)}
    while re.search(r"@[a-z_]+@", text):
        text = re.sub(r"@([a-z_]+)@", lambda found: fields[found[1]], text)
    return text


def value_grammar() -> str:
    """The grammar of values."""
    return (_FOLDER / "value.lark").read_text(encoding="utf-8")


def _family(layout: Layout) -> str:
    if layout.separator == "blank":
        return "blanks"
    return "tables" if layout.columns else "signs"


def _fields(layout: Layout, noisy: bool) -> dict[str, str]:
    blanks = _BLANKS.replace(r"\t", "") if layout.separator == "tab" else _BLANKS
    escape = r"\x1b" if noisy else ""
    key_first = layout.key_column < layout.value_column
    first, last = sorted((layout.key_column, layout.value_column))
    return {
        "blanks": blanks,
        "wide": _BLANKS,
        "outside": blanks + escape,
        "wide_outside": _BLANKS + escape,
        "gap": _gap(blanks, noisy),
        "wide_gap": _gap(_BLANKS, noisy),
        "remark": _remark(blanks, noisy),
        "wide_remark": _remark(_BLANKS, noisy),
        "head": _head(blanks if layout.columns else _BLANKS, noisy),
        "marks": _either(layout.comments),
        "remarks": "MARK REST | " if layout.comments else "",
        "mark_starts": "".join(sorted({_literal(mark[0]) for mark in layout.comments})),
        "leads": _either(layout.lead_words),
        "rows": _either(layout.rows),
        "row_gap": _row_gap(layout, noisy),
        "section_word": _literal(layout.section_word),
        "separator": _SIGNS[layout.separator],
        "sign": _SIGNS[layout.separator] if layout.separator in (",", "tab") else "",
        "word": _word(layout.separator),
        "cell": _CELL,
        "quoted": _QUOTED,
        "end": _END_OF_CELL,
        "openers": r"\[({" if layout.separator == "," else r",\[({",
        "table_lead": "LEAD" if layout.key_column == 0 else "",
        "first": str(first),
        "apart": str(last - first - 1),
        "left": "KEY" if key_first else "CELL?",
        "right": "CELL?" if key_first else "KEY",
    }


def _gap(blanks: str, noisy: bool) -> str:
    return rf"(?:[{blanks}]++|{_ESCAPE})*+" if noisy else f"[{blanks}]*+"


def _remark(blanks: str, noisy: bool) -> str:
    """No comment may begin behind a blank, even with an escape sequence between the two."""
    return rf"(?!(?:{_ESCAPE})*+[{blanks}]{_gap(blanks, noisy)}@marks@)" if noisy else ""


def _head(blanks: str, noisy: bool) -> str:
    """A byte-order mark and blanks; a pasted prompt is a word and a mark, or a mark alone, and a blank."""
    gap = _gap(blanks, noisy)
    if not noisy:
        return rf"\ufeff?+{gap}"
    prompt = rf"(?:(?:[A-Za-z][\w.@-]{{0,31}}+[>$]|[>$]{{1,3}}+)(?:[{_BLANKS}]++|(?=\r\n|[\r\n]|\Z)))?+"
    return rf"\ufeff?+{gap}{prompt}{gap}"


def _row_gap(layout: Layout, noisy: bool) -> str:
    blanks = f"[{_BLANKS}]++(?![=:])"
    wide = _gap(_BLANKS, noisy)
    return f"(?:{wide},{wide}|{blanks})" if layout.separator == "," else blanks


def _word(separator: str) -> str:
    word = rf"[^@outside@\r\n\"'{_WORD_STOPS[separator]}]++"
    if separator == ":=":
        return f"(?:{word}|:(?!=))++"
    return f"{word}(?<!:)" if separator in (",", "tab") else word


def _either(words: tuple[str, ...]) -> str:
    if not words:
        return "(?!)"
    return "(?:" + "|".join(_literal(word) for word in sorted(words, key=len, reverse=True)) + ")"


def _literal(word: str) -> str:
    return re.escape(word).replace("/", r"\/")
