"""What a drawing shows: marks with a number or a range, where it came from, and the findings that object to it."""

from __future__ import annotations

import math
from typing import NamedTuple

STATED, DEFAULT, WORKED_OUT, ASSUMED, GUESSED = "stated", "default", "worked out", "assumed", "guess"
_SEVERITY = ("", "note", "warning", "error")


class Flag(NamedTuple):
    """A finding that objects to a mark: its level, its number in the report, and the anchor to jump to."""

    level: str
    number: int
    anchor: str


class Mark(NamedTuple):
    """One thing drawn. `low..high` is in the unit of the drawing, `shown` its value in words with the unit.

    `kind` tells a drawing how to draw it; `level` a range that is shaded through the whole drawing where it is "band".
    """

    label: str
    low: float
    high: float
    shown: str
    origin: str = STATED
    flags: tuple[Flag, ...] = ()
    kind: str = ""

    @property
    def is_exact(self) -> bool:
        """Whether it is one number."""
        return self.low == self.high

    @property
    def level(self) -> str:
        """The worst level of the findings that object to it, "" where none does."""
        return max((flag.level for flag in self.flags), key=_SEVERITY.index, default="")

    @property
    def text(self) -> str:
        """Label, value, and what kind of number it is where it is not simply stated."""
        beside = {STATED: "", DEFAULT: " (documented default)"}.get(self.origin, f" ({self.origin})")
        return f"{self.label} {self.shown}{beside}"


def nice_step(span: float, most: int) -> float:
    """A step of 1, 2 or 5 times a power of ten that divides a span into at most so many parts."""
    if not span > 1e-9 or math.isinf(span):
        return 1.0
    power = 10.0 ** math.floor(math.log10(span / most))
    return next((power * factor for factor in (1, 2, 5) if power * factor * most >= span), power * 10)


def nice_ceiling(value: float, most: int = 8) -> float:
    """The next whole step above a value, so that an axis ends on a tick."""
    step = nice_step(value, most)
    return step * math.ceil(value / step - 1e-9) if value > 0 else step
