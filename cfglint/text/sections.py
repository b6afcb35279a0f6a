"""Which section every line of a dump stands in, kept as the few places where it changes."""

from __future__ import annotations

import re
from array import array
from bisect import bisect_right

_DEEPEST = 40
_LONGEST = 200


class Sections:
    """Places where the section changes: from line `lines[i]` (from 0) on, the section is `names[i]`.

    Sections in braces nest, and their names are joined by "/"; what is nested deeper than 40 keeps the name
    of the 40th. A name is cut after 200 characters.
    """

    __slots__ = ("_beyond", "_known", "_stack", "lines", "names")

    def __init__(self) -> None:
        self.lines = array("Q")
        self.names: list[str] = []
        self._known: dict[str, str] = {}
        self._stack: list[str] = []
        self._beyond = 0

    def enter(self, line: int, header: re.Match[str]) -> None:
        """Take note of a header; a closing brace still stands in the section it closes."""
        nests = "close" in header.re.groupindex
        if nests and header["close"]:
            self._leave()
            self._change(line + 1)
            return
        name = (header["name"] or "").strip()[:_LONGEST]
        if not nests:
            self._stack = [name]
        elif len(self._stack) < _DEEPEST:
            self._stack.append(name)
        else:
            self._beyond += 1
        self._change(line)

    def at(self, line: int) -> str:
        """Name of the section a line (from 0) stands in; empty when it stands in none."""
        place = bisect_right(self.lines, line)
        return self.names[place - 1] if place else ""

    def _leave(self) -> None:
        if self._beyond:
            self._beyond -= 1
        elif self._stack:
            self._stack.pop()

    def _change(self, line: int) -> None:
        name = "/".join(part for part in self._stack if part)
        self.lines.append(line)
        self.names.append(self._known.setdefault(name, name))
