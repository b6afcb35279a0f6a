"""The unit table against an independent units library (pint), and how units are read and shown."""

from __future__ import annotations

import pint
import pytest

from cfglint.quantity.range import Range
from cfglint.quantity.show import show_number, show_range
from cfglint.quantity.unit import UnitError, dimension_name, from_base, parse_unit, to_base
from cfglint.quantity.units import AMOUNTS, UNITS

REGISTRY = pint.UnitRegistry()
SPELLED = {
    "%": "percent", "in": "inch", "min": "minute", "h": "hour", "kt": "knot", "gn": "standard_gravity", "deg": "degree",
    "rad": "radian", "uT": "microtesla", "nT": "nanotesla", "mT": "millitesla", "T": "tesla", "Ah": "ampere*hour",
    "mAh": "milliampere*hour", "Wh": "watt*hour", "lb": "pound", "rpm": "revolution/minute", "g": "gram", "1": "",
    "degC": "degC", "K": "kelvin",
}  # fmt: skip
BASES = {"m": "meter", "kg": "kilogram", "s": "second", "A": "ampere", "K": "kelvin", "deg": "degree"}
OURS_ALONE = {"us", "% of travel", "of travel", "% from centre"}


@pytest.mark.parametrize("symbol", sorted(set(UNITS) - OURS_ALONE))
def test_factor_agrees_with_the_units_library(symbol: str) -> None:
    unit = parse_unit(symbol)
    theirs = REGISTRY.Quantity(1.0, SPELLED.get(symbol, symbol))
    if symbol == "rpm":
        theirs = REGISTRY.Quantity(1 / 60, "1/second")
    base = "*".join(f"{BASES[name]}**{e}" for name, e in zip(BASES, unit.dimension, strict=False) if e) or "dimensionless"
    assert to_base(1, 1, unit) == pytest.approx(theirs.to(base).magnitude, rel=1e-12)


@pytest.mark.parametrize(
    ("ours", "theirs", "base"),
    [
        ("0.1 V", "0.1 volt", "volt"),
        ("km/h", "kilometer/hour", "meter/second"),
        ("ft/min", "foot/minute", "meter/second"),
        ("kg/m^3", "kilogram/meter**3", "kilogram/meter**3"),
        ("rpm/V", "1/60/second/volt", "1/second/volt"),
        ("m/s^2", "meter/second**2", "meter/second**2"),
        ("mAh", "milliampere_hour", "ampere*second"),
    ],
)
def test_compound_units_agree_with_the_units_library(ours: str, theirs: str, base: str) -> None:
    assert to_base(1, 1, parse_unit(ours)) == pytest.approx(REGISTRY.Quantity(theirs).to(base).magnitude, rel=1e-12)


def test_published_conversions() -> None:
    assert to_base(120, 1, parse_unit("kt")) == pytest.approx(61.7333, abs=5e-5)
    assert to_base(300, 1, parse_unit("ft/min")) == pytest.approx(1.524, abs=1e-12)


def test_travel_is_a_pulse_with_its_own_zero() -> None:
    assert to_base(0, 1, parse_unit("% of travel")) == 1000
    assert to_base(54, 1, parse_unit("% of travel")) == 1540
    assert to_base(52, 100, parse_unit("of travel")) == 1520
    assert to_base(-100, 1, parse_unit("% from centre")) == 1000


def test_the_same_value_in_another_unit_is_the_same_number() -> None:
    assert to_base(33, 10, parse_unit("V")) == to_base(33, 1, parse_unit("0.1 V")) == to_base(3300, 1, parse_unit("mV"))
    assert to_base(35, 1, parse_unit("m")) == to_base(3500, 1, parse_unit("cm"))


@pytest.mark.parametrize("text", ["metres", "m//", "m/furlong", "degC/s", "m^0", "m^99", "0 m", "x" * 50])
def test_a_unit_nobody_knows_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        parse_unit(text)


@pytest.mark.parametrize(("name", "symbol"), AMOUNTS)
def test_every_amount_has_a_name_and_a_unit(name: str, symbol: str) -> None:
    assert dimension_name(parse_unit(symbol).dimension) == name


@pytest.mark.parametrize(
    ("low", "high", "unit", "shown"),
    [
        (1540, 1540, "us", "1540 µs"),
        (27.3412, 27.3412, "m", "27.34 m"),
        (40, 40, "deg", "40°"),
        (0.64, 0.68, "kg", "0.64..0.68 kg"),
        (216.4, 298.2, "Hz", "216..299 Hz"),
        (3.0, float("inf"), "m", "at least 3 m"),
        (float("-inf"), float("inf"), "m", "any"),
        (288.15, 288.15, "degC", "15 °C"),
        (0.2, 0.2, "%", "20 %"),
    ],
)
def test_quantities_are_shown_with_few_digits(low: float, high: float, unit: str, shown: str) -> None:
    assert show_range(Range(low, high), parse_unit(unit)) == shown


def test_a_shown_range_never_claims_more_than_is_known() -> None:
    shown = show_range(Range(7.121, 7.189), parse_unit("m"))
    low, high = shown.removesuffix(" m").split("..")
    assert float(low) <= 7.121 and float(high) >= 7.189


def test_small_and_large_numbers_need_no_exponent() -> None:
    assert show_number(0.00012346) == "0.0001235"
    assert show_number(1234567.0) == "1234567"
    assert from_base(3600.0, parse_unit("Ah")) == 1.0
