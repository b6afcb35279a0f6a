"""Throttle ruler: every pulse that means something, on one scale from 800 to 2200 microseconds."""

from __future__ import annotations

from collections.abc import Sequence

from cfglint.report.drawings.mark import Mark
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import Scale, Words, draw_ruler

PULSES = Scale(800.0, 2200.0, "µs")


def throttle_ruler(marks: Sequence[Mark]) -> Markup:
    """Marks in microseconds of pulse, lowest first."""
    ordered = sorted(marks, key=lambda m: (m.low, m.high, m.label))
    sentence = "Pulses from 800 to 2200 µs, lowest first: " + "; ".join(mark.text for mark in ordered) + "."
    return draw_ruler(Words("Throttle ruler", sentence), PULSES, ordered).svg()
