"""A ruler: one scale, and below it a row for each mark, so that no label ever covers another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from cfglint.report.drawings.canvas import LINE, WIDTH, Box, Canvas, flags_width, style_of, text_width, wrapped
from cfglint.report.drawings.mark import Mark, nice_ceiling, nice_step

LEFT, RIGHT = 14.0, WIDTH - 14.0
TRACK = 12.0
GAP = 6.0


class Scale(NamedTuple):
    """The axis: from `low` to `high` in `unit`; `logarithmic` where the numbers span decades."""

    low: float
    high: float
    unit: str
    logarithmic: bool = False

    def place(self, value: float) -> float:
        """Where a value stands on the sheet, held within the scale."""
        held = min(max(value, self.low), self.high)
        if self.logarithmic:
            share = math.log(held / self.low) / math.log(self.high / self.low)
        else:
            share = (held - self.low) / (self.high - self.low)
        return LEFT + share * (RIGHT - LEFT)

    def ticks(self) -> list[float]:
        """The values that the axis is labelled with."""
        if self.logarithmic:
            decades = range(math.floor(math.log10(self.low)), math.ceil(math.log10(self.high)) + 1)
            return [10.0**d for d in decades if self.low <= 10.0**d <= self.high]
        step = nice_step(self.high - self.low, 7)
        first = math.ceil(self.low / step - 1e-9)
        return [step * n for n in range(first, math.floor(self.high / step + 1e-9) + 1)]


class Words(NamedTuple):
    """What stands around a ruler: its title, and a sentence that says what is seen."""

    title: str
    sentence: str


def scale_to(marks: Sequence[Mark], unit: str) -> Scale:
    """A scale from zero to just above all marks."""
    highest = max((m.high if math.isfinite(m.high) else m.low for m in marks), default=1.0)
    return Scale(0.0, nice_ceiling(max(highest, 0.1) * 1.02), unit)


def draw_ruler(words: Words, scale: Scale, marks: Sequence[Mark]) -> Canvas:
    """The whole ruler, marks in the order given."""
    canvas = Canvas(words.title, words.sentence)
    top = draw_axis(canvas, scale)
    bottom = top + sum(row_height(mark) for mark in marks)
    draw_grid(canvas, scale, top, bottom)
    for mark in marks:
        if mark.kind == "band":
            canvas.rectangle(Box(scale.place(mark.low), top, scale.place(mark.high), bottom), "shade")
    for mark in marks:
        top = draw_row(canvas, scale, mark, top)
    canvas.height = bottom + 4
    return canvas


def draw_row(canvas: Canvas, scale: Scale, mark: Mark, top: float) -> float:
    """One mark: its words, and under them its place on the scale. Returns where the next row begins."""
    y = top
    for line in _lines(mark):
        y += LINE
        canvas.text(LEFT, y - 3, line, "strong" if mark.level else "")
    canvas.flags(RIGHT, top + LINE - 3, mark.flags)
    _place(canvas, scale, mark, y)
    return top + row_height(mark)


def _place(canvas: Canvas, scale: Scale, mark: Mark, top: float) -> None:
    middle, left, right = top + TRACK / 2, scale.place(mark.low), scale.place(mark.high)
    canvas.line(LEFT, middle, RIGHT, middle, "track")
    style = style_of(mark)
    if mark.is_exact:
        canvas.add("path", {"d": _diamond(left, middle), "class": "point " + style})
    else:
        filled = "extent " if mark.kind in ("band", "extent") else "extent hatched "
        canvas.rectangle(Box(left, top + 1, max(right, left + 1.5), top + TRACK - 1), filled + style)
    if mark.high > scale.high:
        canvas.add("path", {"d": f"M{RIGHT:.0f} {top:.0f} l9 6 l-9 6 z", "class": "beyond " + style})
    if mark.low < scale.low:
        canvas.add("path", {"d": f"M{LEFT:.0f} {top:.0f} l-9 6 l9 6 z", "class": "beyond " + style})


def _diamond(x: float, y: float) -> str:
    return f"M{x:.2f} {y - 6:.2f} l5 6 l-5 6 l-5 -6 z"


def draw_axis(canvas: Canvas, scale: Scale) -> float:
    top = 4.0
    last = -math.inf
    for tick in scale.ticks():
        text, x = tick_text(tick), scale.place(tick)
        half = text_width(text) / 2
        x_text = min(max(x, half + 1), WIDTH - half - 1)
        if x_text - half > last + 4 and x_text + half < RIGHT - text_width(scale.unit) - 4:
            canvas.text(x_text, top + LINE - 4, text, "tick", "middle")
            last = x_text + half
    canvas.text(RIGHT, top + LINE - 4, scale.unit, "tick", "end")
    return top + LINE + 6


def draw_grid(canvas: Canvas, scale: Scale, top: float, bottom: float) -> None:
    canvas.line(LEFT, top - 4, RIGHT, top - 4, "axis")
    for tick in scale.ticks():
        canvas.line(scale.place(tick), top - 6, scale.place(tick), bottom, "grid")


def tick_text(value: float) -> str:
    """A round number as an axis shows it."""
    if value >= 1000 and value % 1000 == 0 and value >= 10000:
        return f"{value / 1000:.0f}k"
    return f"{value:.10g}" if abs(value) >= 1e-4 or value == 0 else "0"


def _lines(mark: Mark) -> list[str]:
    return wrapped(mark.text, RIGHT - LEFT - flags_width(mark.flags) - 8)


def row_height(mark: Mark) -> float:
    return LINE * len(_lines(mark)) + TRACK + GAP
