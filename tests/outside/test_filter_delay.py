"""Filters and sampling against FILT-1 to FILT-4 and against a signal library."""

from __future__ import annotations

import math
from typing import Any

import pytest

from cfglint.physics.filters import alias_frequency, delay_phase, lowpass_delay, lowpass_phase, notch_delay


@pytest.mark.parametrize(("frequency", "rate", "alias"), [(108.8, 200, 91.2), (217.6, 400, 182.4)])
def test_alias(frequency: float, rate: float, alias: float) -> None:
    # FILT-1: the theorem is cited from memory, the values are computed
    assert alias_frequency(frequency, rate) == pytest.approx(alias)


@pytest.mark.parametrize(
    ("cutoff", "order", "milliseconds"),
    [(40, 1, 3.979), (20, 2, 11.254), (40, 2, 5.627), (80, 2, 2.813), (100, 2, 2.251)],
)
def test_lowpass_delay(cutoff: float, order: float, milliseconds: float) -> None:
    # FILT-2 (order 1), FILT-3 (order 2)
    assert lowpass_delay(cutoff, order) * 1000 == pytest.approx(milliseconds, abs=0.0006)


@pytest.mark.parametrize(
    ("frequency", "cutoff", "order", "lag"),
    [
        (20, 20, 1, 45),
        (20, 80, 1, 14.04),
        (20, 20, 2, 90),
        (10, 40, 2, 20.663),
        (20, 80, 2, 20.66),
    ],
)
def test_lowpass_phase(frequency: float, cutoff: float, order: float, lag: float) -> None:
    # FILT-2, FILT-3, as a positive lag
    assert lowpass_phase(frequency, cutoff, order) == pytest.approx(lag, abs=0.005)


@pytest.mark.parametrize(
    ("frequency", "delay", "lag"),
    [(10 / (2 * math.pi), 0.050, 28.65), (5, 0.010, 18.0), (10, 0.005627, 20.26)],
)
def test_delay_phase(frequency: float, delay: float, lag: float) -> None:
    # FILT-4
    assert delay_phase(frequency, delay) == pytest.approx(lag, abs=0.005)


def test_margin_of_an_integrator_with_delay() -> None:
    # FILT-4: integrator of 10/s, 90 degrees of margin, 61.352 with 50 ms
    assert 90 - delay_phase(10 / (2 * math.pi), 0.050) == pytest.approx(61.352, abs=0.0005)


@pytest.fixture(scope="module")
def signal() -> Any:
    return pytest.importorskip("scipy.signal", reason="the signal library (190 MB) is not installed")


@pytest.mark.parametrize("order", [1, 2, 3, 4, 6])
@pytest.mark.parametrize("frequency", [1.0, 17.0, 40.0, 90.0])
def test_phase_against_a_signal_library(signal: Any, order: int, frequency: float) -> None:
    poles = signal.butter(order, 2 * math.pi * 40.0, analog=True, output="zpk")[1]
    lag = sum(
        math.atan2((2j * math.pi * frequency - pole).imag, -pole.real) - math.atan2(-pole.imag, -pole.real) for pole in poles
    )
    assert lowpass_phase(frequency, 40.0, order) == pytest.approx(math.degrees(lag), abs=1e-6)


@pytest.mark.parametrize("order", [1, 2, 3, 4])
def test_delay_against_a_signal_library(signal: Any, order: int) -> None:
    numerator, denominator = signal.butter(order, 2 * math.pi * 40.0, analog=True)
    assert _slow_delay(signal, numerator, denominator) == pytest.approx(lowpass_delay(40.0, order), rel=1e-4)


def test_notch_against_a_signal_library(signal: Any) -> None:
    centre, edge = 200.0, 120.0
    turning = 2 * math.pi * centre
    quality = centre * edge / (centre**2 - edge**2)
    denominator = [1.0, turning / quality, turning**2]
    numerator = [1.0, 0.0, turning**2]
    assert _slow_delay(signal, numerator, denominator) == pytest.approx(notch_delay(centre, edge), rel=1e-4)
    at_edge = signal.freqs(numerator, denominator, worN=[2 * math.pi * edge])[1][0]
    assert abs(at_edge) == pytest.approx(math.sqrt(0.5), rel=1e-9)


def _slow_delay(signal: Any, numerator: Any, denominator: Any) -> float:
    """Delay of a signal of 0.01 Hz, s: its phase lag over its turns a second."""
    slow = 2 * math.pi * 0.01
    response = signal.freqs(numerator, denominator, worN=[slow])[1][0]
    return -math.atan2(response.imag, response.real) / slow
