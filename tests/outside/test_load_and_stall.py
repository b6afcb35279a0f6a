"""Load factor, stall speed in turns and margins above it, against LOAD-1 to LOAD-7, APP-1, APP-2."""

from __future__ import annotations

import math

import pytest

from cfglint.physics.stall import bank_for_margin, load_factor, stall_speed_in_turn


@pytest.mark.parametrize(
    ("bank", "printed", "relative"),
    [
        (0, 1.0, 1e-9),
        (10, 1.015, 5e-4),
        (30, 1.154, 1e-3),
        (45, 1.414, 5e-4),
        (60, 2.000, 1e-9),
        (70, 2.923, 5e-4),
        (80, 5.747, 3e-3),  # the chart prints 5.747 for 5.7588
        (85, 11.473, 5e-4),
    ],
)
def test_load_factor_of_the_chart(bank: float, printed: float, relative: float) -> None:
    # LOAD-1: airman test chart
    assert load_factor(bank) == pytest.approx(printed, rel=relative)


@pytest.mark.parametrize(("pounds", "bank", "carried", "relative"), [(2300, 60, 4600, 1e-9), (3300, 30, 3960, 0.04)])
def test_supported_weight(pounds: float, bank: float, carried: float, relative: float) -> None:
    # LOAD-2: the second answer is printed with the load factor rounded up to 1.2
    assert pounds * load_factor(bank) == pytest.approx(carried, rel=relative)


@pytest.mark.parametrize(("stall", "load", "in_turn"), [(50, 4, 100), (50, 9, 150), (60, 2.89, 102), (45, 4, 90)])
def test_stall_speed_under_load(stall: float, load: float, in_turn: float) -> None:
    # LOAD-3, LOAD-6: Vs sqrt(n)
    bank = math.degrees(math.acos(1.0 / load))
    assert stall_speed_in_turn(stall, bank) == pytest.approx(in_turn, rel=1e-9)


def test_stall_speed_doubles_just_over_75_degrees() -> None:
    # LOAD-3: x1.966 at 75 deg, x2 at 75.52 deg
    assert stall_speed_in_turn(1.0, 75) == pytest.approx(1.966, abs=0.0005)
    assert stall_speed_in_turn(45.0, 75.52) == pytest.approx(90, abs=0.01)


@pytest.mark.parametrize(
    ("bank", "rise"),
    [
        (15, 1.7),
        (20, 3.2),
        (30, 7.5),
        (40, 14.3),
        (45, 18.9),
        (50, 24.7),
        (55, 32.0),
        (60, 41.4),
        (70, 71.0),
    ],
)
def test_rise_of_stall_speed_with_bank(bank: float, rise: float) -> None:
    # LOAD-4, per cent
    assert (stall_speed_in_turn(1.0, bank) - 1.0) * 100 == pytest.approx(rise, abs=0.05)


@pytest.mark.parametrize(("load", "bank"), [(3.8, 74.74), (3.0, 70.5)])
def test_bank_of_a_load_limit(load: float, bank: float) -> None:
    # LOAD-5
    assert load_factor(bank) == pytest.approx(load, abs=0.006)


@pytest.mark.parametrize(("margin", "bank"), [(1.1, 34.3), (1.2, 46.0), (1.3, 53.7), (1.4, 59.3), (1.5, 63.6)])
def test_bank_for_margin(margin: float, bank: float) -> None:
    # LOAD-7
    assert bank_for_margin(margin) == pytest.approx(bank, abs=0.06)


@pytest.mark.parametrize(
    ("stall", "margin", "approach"),
    [
        (60, 1.3, 78),  # APP-1: final approach, kt
        (10, 1.3, 13),  # APP-1, m/s
        (60, 1.4, 84),  # APP-2: base leg
    ],
)
def test_approach_speed_is_the_stall_speed_of_its_margins_bank(stall: float, margin: float, approach: float) -> None:
    assert stall_speed_in_turn(stall, bank_for_margin(margin)) == pytest.approx(approach, rel=1e-9)
