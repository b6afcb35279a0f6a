"""Lines of text with styles, wrapped to a width; written plain, or in colour where a terminal wants it."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from typing import TextIO

from cfglint.text.visible import visible

Piece = tuple[str, str]
StyledLine = list[Piece]

PLAIN, STRONG, FAINT, ERROR, WARNING, NOTE, GOOD = "", "strong", "faint", "error", "warning", "note", "good"
_RICH = {STRONG: "bold", FAINT: "dim", ERROR: "bold red", WARNING: "bold yellow", NOTE: "bold cyan", GOOD: "green"}
_ASCII = {
    "\u00b5": "u",
    "\u00b0": " deg",
    "\u00b2": "^2",
    "\u00b7": "-",
    "\u2026": "...",
    "\u2192": "->",
    "\u00d7": "x",
}
_ASCII |= {"\u2013": "-", "\u2014": "-", "\u2018": "'", "\u2019": "'", "\u201c": '"', "\u201d": '"', "\u2264": "<="}


def wrapped(text: str, width: int, indent: str, hang: str = "") -> Iterator[str]:
    """A text in lines of at most `width` characters, broken at blanks; a word too long is broken where it must."""
    line, room = indent, max(10, width)
    for word in visible(text).split(" "):
        candidate = line + (" " if line.strip() else "") + word
        if len(candidate) <= room or not line.strip():
            line = candidate if line.strip() else line + word
        else:
            yield line
            line = indent + hang + word
        while len(line) > room:
            yield line[:room]
            line = indent + hang + line[room:]
    if line.strip():
        yield line


def styled(text: str, style: str, width: int, indent: str = "", hang: str = "") -> Iterator[StyledLine]:
    """A text wrapped, in one style."""
    for line in wrapped(text, width, indent, hang):
        yield [(line, style)]


def wants_colour(stream: TextIO, choice: str = "auto") -> bool:
    """Whether a stream is to be coloured: as chosen; else by FORCE_COLOR, NO_COLOR, TERM and whether it is a terminal."""
    if choice in ("always", "never"):
        return choice == "always"
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR"):
        return True
    return os.environ.get("TERM", "") not in ("", "dumb") and stream.isatty()


def terminal_width(stream: TextIO) -> int:
    """The width to wrap at: the terminal's, at least 40 and at most 100; 80 where there is no terminal."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isascii() and columns.isdigit() and len(columns) < 5:
        return max(40, min(100, int(columns)))
    try:
        return max(40, min(100, os.get_terminal_size(stream.fileno()).columns)) if stream.isatty() else 80
    except (OSError, ValueError):
        return 80


def write_lines(lines: Iterable[StyledLine], stream: TextIO, colour: bool) -> None:
    """Write lines, in colour through rich, or plain; never more than the stream's encoding can say."""
    if colour:
        _write_rich(lines, stream)
        return
    text = "".join("".join(piece for piece, _ in line).rstrip() + "\n" for line in lines)
    stream.write(encodable(text, stream.encoding or "ascii"))


def encodable(text: str, encoding: str) -> str:
    """The text with what an encoding lacks written in plain words or escapes."""
    try:
        text.encode(encoding)
        return text
    except (UnicodeEncodeError, LookupError):
        pass
    spelled = "".join(_ASCII.get(c, c) for c in text)
    try:
        return spelled.encode(encoding, "backslashreplace").decode(encoding)
    except (UnicodeError, LookupError):
        return spelled.encode("ascii", "backslashreplace").decode("ascii")


def _write_rich(lines: Iterable[StyledLine], stream: TextIO) -> None:
    from rich.console import Console
    from rich.text import Text

    console = Console(file=stream, force_terminal=True, color_system="standard", soft_wrap=True, highlight=False)
    for line in lines:
        text = Text(end="\n")
        for piece, style in line:
            text.append(encodable(piece, stream.encoding or "ascii"), _RICH.get(style, ""))
        console.print(text, soft_wrap=True, highlight=False)
