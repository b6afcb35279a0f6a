"""Filters in the control loop: how long they hold a signal back, and what sampling folds.

A lag is given as a positive angle.
"""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import ratio

_FULL_TURN = 360.0


@physics("cutoff Hz 0.., order 1 1..8 -> s 0..", growth="- +", source="FILT-2, FILT-3")
def lowpass_delay(cutoff: float, order: float) -> float:
    """Delay of a low-pass for slow signals, s.

    1 / (2 pi fc sin(90 deg / n)), n whole: 1 / (2 pi fc) for order 1, sqrt(2) / (2 pi fc) for order 2. The
    cutoff is in Hz; a cutoff of zero lets nothing pass: the delay is endless. A switched-off filter is not
    asked for its delay.

    Source: FILT-2 (first order), FILT-3 (second order, Butterworth).
    """
    return ratio(1.0, 2.0 * math.pi * cutoff * math.sin(math.pi / 2.0 / math.floor(order)))


@physics("frequency Hz 0.., cutoff Hz 0.., order 1 1..8 -> deg 0..720", growth="+ - +", source="FILT-2, FILT-3")
def lowpass_phase(frequency: float, cutoff: float, order: float) -> float:
    """Phase lag of a low-pass, degrees, at a frequency in Hz.

    atan(f / fc) for order 1, 90 degrees at the cutoff for order 2; n whole: the sum over the poles of the
    Butterworth filter.

    Source: FILT-2 (first order), FILT-3 (second, Butterworth).
    """
    share = 0.0 if frequency == 0.0 else ratio(frequency, cutoff)
    poles = math.floor(order)
    return math.fsum(_pole_lag(share, math.pi * (2 * pole + 1) / (2 * poles)) for pole in range(poles))


@physics("centre Hz 0.., lower_edge Hz 0.. -> s 0..", growth="+ -", source="FILT-2, computed")
def notch_delay(centre: float, lower_edge: float) -> float:
    """Delay of a notch for signals well below it, s: 1 / (2 pi fc Q), Q = fc f1 / (fc^2 - f1^2).

    Centre and lower -3 dB edge in Hz; zero where the edge is not below the centre (no notch has such edges),
    endless where the edge is zero. Source: computed from the notch's transfer function, by the definition of
    delay in FILT-2.
    """
    if lower_edge >= centre:
        return 0.0
    share = lower_edge / centre
    return ratio(1.0 - share * share, 2.0 * math.pi * lower_edge)


@physics("frequency Hz 0.., delay s 0.. -> deg 0..", growth="+ +", source="FILT-4")
def delay_phase(frequency: float, delay: float) -> float:
    """Phase lag of a pure delay, degrees: 360 f tau, frequency in Hz, delay in s. Source: FILT-4."""
    return 0.0 if frequency == 0.0 or delay == 0.0 else _FULL_TURN * frequency * delay


@physics("frequency Hz 0..1000000, sample_rate Hz 0.001..1000000 -> Hz 0..500000", growth="~1 ?", source="FILT-1")
def alias_frequency(frequency: float, sample_rate: float) -> float:
    """Frequency a sampled vibration appears at, Hz: the distance to the nearest multiple of the sample rate.

    Source: FILT-1.
    """
    return abs(math.remainder(frequency, sample_rate))


def _pole_lag(share: float, angle: float) -> float:
    """Lag of one pole on the unit circle, `angle` from the axis of frequency, degrees: its growth since
    frequency zero.
    """
    run, height = math.cos(angle), math.sin(angle)
    if share == math.inf:
        return 90.0 + math.degrees(math.atan2(run, height))
    return math.degrees(math.atan2(share - run, height) + math.atan2(run, height))
