"""Where the text of a drawing lies, estimated from its letters: to see that no label covers another or leaves the frame."""

from __future__ import annotations

from typing import NamedTuple
from xml.etree import ElementTree

FONT = 12.5
ASCENT, DESCENT = 0.72, 0.18
SVG = "{http://www.w3.org/2000/svg}"


class TextBox(NamedTuple):
    text: str
    left: float
    top: float
    right: float
    bottom: float


def width_of(text: str) -> float:
    """Advance widths of a common sans-serif, in hundredths of its size: rough, and independent of the drawing's own estimate."""
    narrow, wide = set("ijl.,:;'|!() "), set("mwMW%@✖▲●")
    return FONT / 100 * sum(30 if c in narrow else 88 if c in wide else 56 for c in text)


def boxes_of(svg: bytes) -> list[TextBox]:
    boxes = []
    for element in ElementTree.fromstring(svg).iter(SVG + "text"):
        text = element.text or ""
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        width = width_of(text)
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[element.get("text-anchor", "start")]
        boxes.append(TextBox(text, left, y - FONT * ASCENT, left + width, y + FONT * DESCENT))
    return boxes


def overlaps(svg: bytes) -> list[tuple[str, str]]:
    boxes = boxes_of(svg)
    return [
        (a.text, b.text)
        for index, a in enumerate(boxes)
        for b in boxes[index + 1 :]
        if a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom
    ]


def outside(svg: bytes) -> list[str]:
    _, _, width, height = (float(n) for n in ElementTree.fromstring(svg).get("viewBox", "").split())
    return [b.text for b in boxes_of(svg) if b.left < -0.5 or b.right > width + 0.5 or b.top < -0.5 or b.bottom > height + 0.5]
