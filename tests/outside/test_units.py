"""The units that laws and handbooks write their thresholds in, against figures and a unit library."""

from __future__ import annotations

import pytest

from cfglint.quantity.unit import parse_unit


@pytest.mark.parametrize(
    ("amount", "unit", "si"),
    [
        (400, "ft", 121.92),  # LIM-3: 400 ft is 1.92 m above the 120 m of LIM-1
        (87, "kt", 44.76),  # LIM-4
        (300, "ft/min", 1.524),  # ROT-4
        (120, "kt", 61.7333),
        (10, "in", 0.254),
        (250, "g", 0.25),  # CLASS-1
        (2700, "rpm", 45.0),  # PROP-1
        (108, "km/h", 30.0),
    ],
)
def test_figures(amount: float, unit: str, si: float) -> None:
    assert amount * parse_unit(unit).factor == pytest.approx(si, abs=0.005)


@pytest.mark.parametrize(
    ("unit", "other"),
    [
        ("m/s", "meter / second"),
        ("kt", "knot"),
        ("ft", "foot"),
        ("in", "inch"),
        ("lb", "pound"),
        ("mph", "mile / hour"),
        ("km/h", "kilometer / hour"),
        ("ft/min", "foot / minute"),
        ("gn", "standard_gravity"),
        ("hPa", "hectopascal"),
        ("mAh", "milliampere * hour"),
        ("Wh", "watt * hour"),
        ("V", "volt"),
        ("nT", "nanotesla"),
        ("uT", "microtesla"),
        ("kg/m^3", "kilogram / meter ** 3"),
        ("m^2", "meter ** 2"),
    ],
)
def test_factor_against_a_unit_library(unit: str, other: str) -> None:
    pint = pytest.importorskip("pint", reason="the unit library is not installed")
    reference = pint.UnitRegistry().Quantity(1.0, other).to_base_units().magnitude
    assert parse_unit(unit).factor == pytest.approx(float(reference), rel=1e-12)
