"""Time line of a link loss: one step after the other, from the last good pulse to motors that stand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from cfglint.report.drawings.mark import Flag, Mark
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import Words, draw_ruler, scale_to


class Step(NamedTuple):
    """One step: how long it lasts at least and at most, in seconds, and the same in words."""

    label: str
    least: float
    most: float
    shown: str
    origin: str = ""
    flags: tuple[Flag, ...] = ()


def link_loss_time_line(steps: Sequence[Step]) -> Markup:
    """Steps in the order they happen, each from where the one before it ends."""
    marks = _in_turn(steps)
    sentence = "From the last good pulse, in order: " + "; ".join(mark.text for mark in marks) + "."
    return draw_ruler(Words("Time line of a link loss", sentence), scale_to(marks, "s"), marks).svg()


def _in_turn(steps: Sequence[Step]) -> list[Mark]:
    marks: list[Mark] = []
    least = most = 0.0
    for step in steps:
        first, least, most = least, least + step.least, most + step.most
        kind = "extent" if step.least == step.most else ""
        marks.append(Mark(step.label, first, most, step.shown, step.origin, step.flags, kind))
        if math.isinf(most):
            break
    return marks
