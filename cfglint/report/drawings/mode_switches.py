"""Mode switches: for each channel, the positions that turn a mode on, where two are on, and where none is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from cfglint.report.drawings.canvas import LINE, Canvas
from cfglint.report.drawings.mark import Mark
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import LEFT, RIGHT, Scale, draw_axis, draw_grid, draw_row, row_height

PULSES = Scale(800.0, 2200.0, "µs")
_TRAVEL = (1000.0, 2000.0)


class Channel(NamedTuple):
    """One channel and the ranges that turn modes on, in microseconds."""

    name: str
    modes: tuple[Mark, ...]


def mode_switches(channels: Sequence[Channel]) -> Markup:
    """All channels below each other."""
    groups = [(channel.name, [*channel.modes, *overlaps(channel.modes), *gaps(channel.modes)]) for channel in channels]
    words = "; ".join(f"{name}: " + ", ".join(mark.text for mark in marks) for name, marks in groups)
    canvas = Canvas("Mode switches", f"What each position turns on. {words}.")
    top = draw_axis(canvas, PULSES)
    bottom = top + sum(LINE + 6 + sum(row_height(mark) for mark in marks) for _, marks in groups)
    draw_grid(canvas, PULSES, top, bottom)
    for name, marks in groups:
        canvas.text(LEFT, top + LINE, name, "strong")
        canvas.line(LEFT, top + LINE + 3, RIGHT, top + LINE + 3, "axis")
        top += LINE + 6
        for mark in marks:
            top = draw_row(canvas, PULSES, mark, top)
    canvas.height = bottom + 4
    return canvas.svg()


def overlaps(modes: Sequence[Mark]) -> list[Mark]:
    """Where two modes are on at once: each pair with ground in common."""
    found = []
    for index, first in enumerate(modes):
        for second in modes[index + 1 :]:
            low, high = max(first.low, second.low), min(first.high, second.high)
            if low < high and first.label != second.label:
                shown = f"{low:.0f}..{high:.0f} µs"
                found.append(Mark(f"both on: {first.label} and {second.label}", low, high, shown, kind="overlap"))
    return found


def gaps(modes: Sequence[Mark]) -> list[Mark]:
    """Where the channel turns nothing on, within 1000 to 2000 microseconds."""
    found, reached = [], _TRAVEL[0]
    for mark in sorted(modes, key=lambda m: m.low):
        if mark.low > reached:
            found.append(_gap(reached, min(mark.low, _TRAVEL[1])))
        reached = max(reached, mark.high)
    if reached < _TRAVEL[1]:
        found.append(_gap(reached, _TRAVEL[1]))
    return [gap for gap in found if gap.low < gap.high]


def _gap(low: float, high: float) -> Mark:
    return Mark("nothing turned on", low, high, f"{low:.0f}..{high:.0f} µs", kind="gap")
