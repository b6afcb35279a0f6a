"""Descent scale: sink rates beside the band in which rotors meet the air they have just pushed down."""

from __future__ import annotations

from collections.abc import Sequence

from cfglint.report.drawings.mark import Mark
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import Words, draw_ruler, scale_to


def descent_scale(marks: Sequence[Mark]) -> Markup:
    """Marks in metres a second of sink, slowest first; bands are shaded through the whole height."""
    ordered = sorted(marks, key=lambda m: (m.kind != "band", m.low, m.high, m.label))
    sentence = "Sink rates: " + "; ".join(mark.text for mark in ordered) + "."
    return draw_ruler(Words("Descent scale", sentence), scale_to(ordered, "m/s"), ordered).svg()
