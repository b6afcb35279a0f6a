"""Frequency scale: where the rotors turn, what the filters let through there, and what the sampling can hold."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cfglint.report.drawings.mark import Mark
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import Scale, Words, draw_ruler

_SLOWEST = 0.1


def frequency_scale(marks: Sequence[Mark]) -> Markup:
    """Marks in hertz, lowest first, on a logarithmic scale of whole decades. Marks below 0.1 Hz are left out."""
    ordered = sorted((m for m in marks if m.high >= _SLOWEST and math.isfinite(m.low)), key=lambda m: (m.low, m.high, m.label))
    lowest = min((max(m.low, _SLOWEST) for m in ordered), default=10.0)
    highest = max((m.high if math.isfinite(m.high) else m.low for m in ordered), default=100.0)
    low = 10.0 ** math.floor(math.log10(min(lowest, 1e5)) - 1e-9)
    scale = Scale(low, max(10.0 ** math.ceil(math.log10(max(highest, lowest)) + 1e-9), low * 10), "Hz", logarithmic=True)
    sentence = "Frequencies, lowest first, each decade as long as the next: " + "; ".join(m.text for m in ordered) + "."
    return draw_ruler(Words("Frequency scale", sentence), scale, ordered).svg()


def passed_share(frequency: float, cutoff: float, order: int) -> float:
    """Share of a vibration that a Butterworth low-pass lets through, a plain number: 1 / sqrt(1 + (f / fc)^(2 n)).

    Source: FILT-2 (order 1), FILT-3 (Butterworth). Nothing passes a cutoff of zero.
    """
    if cutoff <= 0:
        return 0.0
    ratio = min(frequency / cutoff, 1e6)
    return float(1.0 / math.sqrt(1.0 + ratio ** (2 * order)))
