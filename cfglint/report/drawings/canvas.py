"""A sheet to draw on: shapes, text whose width is estimated, flags that link to findings."""

from __future__ import annotations

from typing import NamedTuple

from cfglint.report.drawings.mark import GUESSED, Flag, Mark
from cfglint.report.drawings.markup import Attribute, Content, Markup, element, joined, trusted

WIDTH = 420.0
FONT = 12.5
LINE = 16.0
HATCH = trusted(
    '<svg width="0" height="0" aria-hidden="true" class="patterns"><defs><pattern id="hatch" width="6" height="6" '
    'patternUnits="userSpaceOnUse"><path d="M-1 1 L1 -1 M0 6 L6 0 M5 7 L7 5" class="hatch"/></pattern></defs></svg>'
)
"""The pattern of what is not known exactly; it stands once on a page."""
_GLYPHS = {"error": "✖", "warning": "▲", "note": "●"}
_NARROW = frozenset(" .,:;'|!()[]ijlftrI-")
_WIDE = frozenset("mwMW%✖▲●…")


class Box(NamedTuple):
    """A rectangle on the sheet."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether two boxes have area in common."""
        return self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom


class Canvas:
    """One drawing in the making. It holds no ids, so that any number of drawings may stand on one page.

    What is hatched refers to the one pattern of the page, `HATCH`.
    """

    def __init__(self, title: str, description: str) -> None:
        self.title, self.description = title, description
        self.height = 0.0
        self._parts: list[Markup] = []

    def add(self, tag: str, attributes: dict[str, Attribute], *content: Content) -> None:
        """Draw one element."""
        self._parts.append(element(tag, attributes, *content))

    def line(self, x1: float, y1: float, x2: float, y2: float, style: str) -> None:
        """Draw a straight line."""
        self.add("line", {"x1": float(x1), "y1": float(y1), "x2": float(x2), "y2": float(y2), "class": style})

    def rectangle(self, box: Box, style: str) -> None:
        """Draw a rectangle."""
        width, height = box.right - box.left, box.bottom - box.top
        sides: dict[str, Attribute] = {
            "x": float(box.left),
            "y": float(box.top),
            "width": float(width),
            "height": float(height),
        }
        self.add("rect", {**sides, "class": style})

    def text(self, x: float, y: float, text: str, style: str = "", anchor: str = "start") -> None:
        """Write text with its baseline at y."""
        self.add("text", {"x": float(x), "y": float(y), "class": style or None, "text-anchor": anchor}, text)

    def flags(self, right: float, y: float, flags: tuple[Flag, ...]) -> None:
        """Write the findings that object to something, right-aligned, each a link: shape for the level, number of the finding."""
        for flag in reversed(flags):
            text = flag_text(flag)
            label = f"{flag.level}, finding {flag.number}"
            inner = element("text", {"x": float(right), "y": float(y), "class": f"flag {flag.level}", "text-anchor": "end"}, text)
            self.add("a", {"href": "#" + flag.anchor, "aria-label": label}, inner)
            right -= text_width(text) + 6

    def svg(self) -> Markup:
        """The drawing, with its title and description for those who do not see it."""
        return element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {WIDTH:.0f} {self.height:.0f}",
                "role": "group",
                "aria-label": self.title,
                "class": "drawing",
            },
            element("title", None, self.title),
            element("desc", None, self.description),
            joined(self._parts),
        )


def flag_text(flag: Flag) -> str:
    """A finding in two characters or so."""
    return f"{_GLYPHS[flag.level]}{flag.number}"


def style_of(mark: Mark) -> str:
    """The classes of a mark: what a rule objects to, and what is guessed, look different."""
    words = [mark.kind or "plain"]
    words += [mark.level] if mark.level else []
    words += ["guessed"] if mark.origin == GUESSED else []
    return " ".join(words)


def text_width(text: str) -> float:
    """The width of a text in the sans-serif font of the page, estimated on the generous side."""
    return sum(FONT * (0.36 if c in _NARROW else 0.95 if c in _WIDE else 0.6) for c in text)


def flags_width(flags: tuple[Flag, ...]) -> float:
    """The room that flags take."""
    return sum(text_width(flag_text(flag)) + 6 for flag in flags)


def wrapped(text: str, room: float) -> list[str]:
    """A text in lines that fit; a word that is longer than a line is left whole."""
    lines: list[str] = []
    for word in text.split(" "):
        if lines and text_width(f"{lines[-1]} {word}") <= room:
            lines[-1] += " " + word
        else:
            lines.append(word)
    return lines
