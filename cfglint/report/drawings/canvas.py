"""A sheet to draw on: shapes, text whose width is estimated, flags that link to findings."""

from __future__ import annotations

from typing import NamedTuple

from cfglint.report.drawings.mark import GUESSED, Flag, Mark
from cfglint.report.drawings.markup import Attribute, Content, Markup, element, joined

WIDTH = 420.0
FONT = 12.5
LINE = 16.0
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
    """One drawing in the making. `id` keeps the ids inside it apart from those of other drawings on the page."""

    def __init__(self, id: str, title: str, description: str, height: float = 0.0) -> None:
        self.id, self.title, self.description = id, title, description
        self.height = height
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
        sides: dict[str, Attribute] = {"x": float(box.left), "y": float(box.top), "width": float(width), "height": float(height)}
        self.add("rect", {**sides, "class": style, "fill": self.pattern(style)})

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

    def pattern(self, style: str) -> str | None:
        """The fill of a style that is hatched; None for any other."""
        return f"url(#{self.id}-hatch)" if "hatched" in style.split() else None

    def svg(self) -> Markup:
        """The drawing, with its title and description for those who do not see it."""
        names = {"title": f"{self.id}-title", "desc": f"{self.id}-desc"}
        return element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {WIDTH:.0f} {self.height:.0f}",
                "role": "group",
                "aria-labelledby": f"{names['title']} {names['desc']}",
                "class": "drawing",
            },
            element("title", {"id": names["title"]}, self.title),
            element("desc", {"id": names["desc"]}, self.description),
            element("defs", None, self._hatch()),
            joined(self._parts),
        )

    def _hatch(self) -> Markup:
        lines = element("path", {"d": "M0 6 L6 0", "class": "hatch"})
        frame: dict[str, Attribute] = {"id": f"{self.id}-hatch", "width": 6, "height": 6, "patternUnits": "userSpaceOnUse"}
        return element("pattern", frame, lines)


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
