"""Battery: what is left where it warns and acts beside what the way home takes; and the voltage of one cell."""

from __future__ import annotations

from collections.abc import Sequence

from cfglint.report.drawings.mark import Mark
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import Scale, Words, draw_ruler, scale_to


def charge_scale(marks: Sequence[Mark]) -> Markup:
    """Marks in milliampere-hours left in the pack, least first."""
    ordered = sorted(marks, key=lambda m: (m.low, m.high, m.label))
    sentence = "Charge: " + "; ".join(mark.text for mark in ordered) + "."
    return draw_ruler(Words("Charge of the pack", sentence), scale_to(ordered, "mAh"), ordered).svg()


def voltage_scale(marks: Sequence[Mark]) -> Markup:
    """Marks in volts of one cell, lowest first."""
    ordered = sorted(marks, key=lambda m: (m.low, m.high, m.label))
    low = min([2.5, *(m.low for m in ordered)])
    high = max([4.5, *(m.high for m in ordered)])
    sentence = "Voltage of one cell: " + "; ".join(mark.text for mark in ordered) + "."
    return draw_ruler(Words("Voltage of one cell", sentence), Scale(low, high, "V"), ordered).svg()
