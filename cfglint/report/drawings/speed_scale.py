"""Speed scale: what carries it, what it is told to fly, and the wind it flies in."""

from __future__ import annotations

from collections.abc import Sequence

from cfglint.report.drawings.mark import Mark
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import Words, draw_ruler, scale_to


def speed_scale(marks: Sequence[Mark]) -> Markup:
    """Marks in metres a second, slowest first."""
    ordered = sorted(marks, key=lambda m: (m.low, m.high, m.label))
    sentence = "Speeds, slowest first: " + "; ".join(mark.text for mark in ordered) + "."
    return draw_ruler(Words("Speed scale", sentence), scale_to(ordered, "m/s"), ordered).svg()
