"""Keys and their legend: a letter where the thing is drawn, its words in a row below, so that no label hides another."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cfglint.report.drawings.canvas import LINE, WIDTH, Box, Canvas, flags_width, style_of, wrapped
from cfglint.report.drawings.mark import Mark

SIZE = 17.0
_LEFT = 14.0
_TEXT = 64.0


def letter(index: int) -> str:
    """The key of the thing with this index: A to Z, then A2 and on."""
    turn, place = divmod(index, 26)
    return chr(65 + place) + (str(turn + 1) if turn else "")


def key(canvas: Canvas, x: float, y: float, index: int, mark: Mark) -> None:
    """Draw the key of a mark around a point; a mark that a rule objects to has its key filled."""
    canvas.rectangle(_box(x, y), f"key {mark.level}".strip())
    canvas.text(x, y + 4.5, letter(index), f"letter {mark.level}".strip(), "middle")


def key_place(boxes: list[Box], frame: Box, wanted: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """The first wanted place whose key would cover no other and lie in the frame; it is taken. The last one if none is free."""
    for x, y in wanted:
        box = _box(x, y)
        inside = box.left >= frame.left and box.right <= frame.right and box.top >= frame.top and box.bottom <= frame.bottom
        if inside and not any(box.meets(other) for other in boxes):
            boxes.append(box)
            return x, y
    boxes.append(_box(*wanted[-1]))
    return wanted[-1]


def spread(places: Sequence[float], low: float, high: float) -> list[float]:
    """Places of keys along a line, in the order given, moved apart as far as it takes, kept between two ends if they fit."""
    order = sorted(range(len(places)), key=lambda i: (places[i], i))
    moved = [0.0] * len(places)
    last = -math.inf
    for i in order:
        last = moved[i] = max(places[i], last + SIZE + 1, low)
    limit = high
    for i in reversed(order):
        moved[i] = min(moved[i], limit)
        limit = moved[i] - SIZE - 1
    return moved


def legend(canvas: Canvas, marks: Sequence[Mark], top: float) -> float:
    """The rows of all marks, in order, below a drawing. Returns where they end."""
    for index, mark in enumerate(marks):
        lines = wrapped(mark.text, WIDTH - 14 - _TEXT - flags_width(mark.flags) - 8)
        middle = top + LINE / 2 + 1
        key(canvas, _LEFT + SIZE / 2, middle, index, mark)
        sample = "area" if mark.kind == "obstacle" else "stroke"
        canvas.line(_LEFT + SIZE + 4, middle, _TEXT - 6, middle, f"{sample} {style_of(mark)}")
        for number, line in enumerate(lines):
            canvas.text(_TEXT, top + LINE * (number + 1) - 3, line, "strong" if mark.level else "")
        canvas.flags(WIDTH - 14, top + LINE - 3, mark.flags)
        top += max(LINE * len(lines), SIZE) + 4
    return top


def _box(x: float, y: float) -> Box:
    return Box(x - SIZE / 2, y - SIZE / 2, x + SIZE / 2, y + SIZE / 2)
