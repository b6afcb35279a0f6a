"""The magnetic model against its test values (MAG-2, MAG-3), MAG-4, MAG-5 and a second implementation."""

from __future__ import annotations

import math
import sys
from importlib import resources

import pytest

from cfglint.physics import DECLARATIONS, NoValue
from cfglint.physics.earth_field import (
    magnetic_declination,
    magnetic_horizontal_field,
    magnetic_total_field,
)
from cfglint.physics.magnetics import declination_uncertainty

pytest.importorskip("pygeomag", reason="the magnetic model is not installed")

ROUNDING = 0.00501
"""Half of the last printed digit of an angle, degrees."""

REPORT = [
    (2025.0, 0, 80, 0, 1.28),
    (2025.0, 0, 0, 120, -0.16),
    (2025.0, 0, -80, 240, 68.78),
    (2025.0, 100, 80, 0, 0.85),
    (2025.0, 100, 0, 120, -0.15),
    (2025.0, 100, -80, 240, 68.21),
    (2027.5, 0, 80, 0, 2.59),
    (2027.5, 0, 0, 120, -0.24),
    (2027.5, 0, -80, 240, 68.49),
    (2027.5, 100, 80, 0, 2.16),
    (2027.5, 100, 0, 120, -0.23),
    (2027.5, 100, -80, 240, 67.93),
]
"""MAG-3: year, km, latitude, longitude, declination."""

SAMPLES = [
    (2025.0, 65, 43, 93, 0.50, 64.10, 55626.6),
    (2025.0, 51, -33, 109, -5.49, -67.50, 57054.8),
    (2025.0, 18, 0, 21, 1.29, -26.06, 32594.8),
    (2025.0, 66, 14, 143, -0.19, 12.82, 35898.7),
    (2025.5, 44, 33, -118, 11.10, 57.89, 44542.8),
    (2025.5, 69, 38, -144, 12.93, 56.97, 42373.8),
    (2026.0, 46, -24, -122, 14.01, -34.17, 32194.9),
    (2027.5, 8, 62, 53, 19.39, 76.67, 56368.8),
    (2029.5, 77, -18, 138, 4.45, -47.55, 47186.0),
]
"""MAG-2: year, km, latitude, longitude, declination, inclination, total field in nT."""

CITIES = [
    (51.5, -0.12, 1.08),
    (47.37, 8.54, 3.55),
    (40.71, -74.0, -12.50),
    (-33.87, 151.21, 12.81),
    (35.68, 139.69, -7.91),
    (-23.55, -46.63, -21.85),
    (-33.92, 18.42, -26.62),
]
"""Latitude, longitude, declination at 2026.0; an independent model agrees within 0.03 degrees."""


@pytest.mark.parametrize(("year", "kilometres", "latitude", "longitude", "declination"), REPORT)
def test_declination_of_the_report(year: float, kilometres: float, latitude: float, longitude: float, declination: float) -> None:
    value = magnetic_declination(latitude, longitude, kilometres * 1000, year)
    assert value == pytest.approx(declination, abs=ROUNDING)


@pytest.mark.parametrize(("year", "kilometres", "latitude", "longitude", "declination", "inclination", "total"), SAMPLES)
def test_official_samples(
    year: float,
    kilometres: float,
    latitude: float,
    longitude: float,
    declination: float,
    inclination: float,
    total: float,
) -> None:
    place = (latitude, longitude, kilometres * 1000, year)
    assert magnetic_declination(*place) == pytest.approx(declination, abs=ROUNDING)
    field = magnetic_total_field(*place)
    assert field * 1000 == pytest.approx(total, abs=0.051)
    dip = math.degrees(math.acos(magnetic_horizontal_field(*place) / field))
    assert dip == pytest.approx(abs(inclination), abs=ROUNDING)


@pytest.mark.parametrize(("latitude", "longitude", "declination"), CITIES)
def test_cities(latitude: float, longitude: float, declination: float) -> None:
    assert magnetic_declination(latitude, longitude, 0, 2026.0) == pytest.approx(declination, abs=ROUNDING)


def test_blackout_and_caution_zones() -> None:
    # MAG-5: 28 km, 89N 121W: 1504 nT; 48 km, 80N 96W: 2164 nT
    assert magnetic_horizontal_field(89, -121, 28_000, 2025.0) * 1000 == pytest.approx(1504, abs=0.6)
    with pytest.raises(NoValue, match=r"1\.5 uT"):
        magnetic_declination(89, -121, 28_000, 2025.0)
    caution = magnetic_horizontal_field(80, -96, 48_000, 2025.0) * 1000
    assert caution == pytest.approx(2164, abs=0.6)
    assert -180 <= magnetic_declination(80, -96, 48_000, 2025.0) <= 180


@pytest.mark.parametrize("year", [2024.9, 2030.1, -math.inf, math.inf, math.nan])
def test_no_value_outside_the_span(year: float) -> None:
    # MAG-1
    for function in (magnetic_declination, magnetic_horizontal_field, magnetic_total_field):
        with pytest.raises(NoValue):
            function(47.0, 8.0, 400, year)


def test_no_value_without_the_package(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cfglint.physics.earth_field._loaded", [])
    monkeypatch.setitem(sys.modules, "pygeomag", None)
    with pytest.raises(NoValue, match="pygeomag"):
        magnetic_declination(47.0, 8.0, 400, 2026.0)


@pytest.mark.parametrize(("nanotesla", "degrees"), [(40000, 0.293), (20000, 0.375), (10000, 0.601), (6000, 0.94), (2000, 2.72)])
def test_uncertainty(nanotesla: float, degrees: float) -> None:
    # MAG-4
    assert declination_uncertainty(nanotesla / 1000) == pytest.approx(degrees, abs=0.0051)


@pytest.mark.parametrize(("latitude", "longitude", "field"), [(-25, -60, 22.06), (-60, 130, 66.86)])
def test_weakest_and_strongest_place(latitude: float, longitude: float, field: float) -> None:
    # MAGI-3, 2026.0
    assert magnetic_total_field(latitude, longitude, 0, 2026.0) == pytest.approx(field, abs=0.005)


def test_field_of_the_earth_is_22_to_67_microtesla() -> None:
    """On a grid of 5 degrees, 2026.0: from 22.06 uT at 25S 60W to 66.94 at 60S 135E (above MAGI-3)."""
    field = [
        magnetic_total_field(latitude, longitude, 0, 2026.0)
        for latitude in range(-90, 91, 5)
        for longitude in range(-180, 180, 5)
    ]
    assert min(field) == pytest.approx(22.06, abs=0.005)
    assert max(field) == pytest.approx(66.94, abs=0.005)


def test_declared_slopes_hold_everywhere_by_the_coefficients() -> None:
    """Add up how fast each degree of the model can fall with height, at its strongest from 2025 to 2030.

    At radius r the field of degree n falls by (n + 2) / r of itself a metre; its horizontal part is at most
    sqrt(n (n + 1) / 2) and its vertical part at most n + 1 times the root sum of squares of its coefficients.
    """
    reference, lowest = 6371200.0, 6355000.0
    squares = _squares_by_degree()
    assert sorted(squares) == list(range(1, 13))
    horizontal = whole = 0.0
    for degree, square in squares.items():
        falling = (degree + 2) / lowest * (reference / lowest) ** (degree + 2) * math.sqrt(square) / 1000
        across = math.sqrt(degree * (degree + 1) / 2)
        horizontal += falling * across
        whole += falling * math.hypot(across, degree + 1)
    assert horizontal < _declared_slope("magnetic_horizontal_field")
    assert whole < _declared_slope("magnetic_total_field")
    assert math.degrees(horizontal / 2.0) < _declared_slope("magnetic_declination")


@pytest.mark.filterwarnings("ignore:Caution")
@pytest.mark.parametrize("year", [2025.0, 2026.7, 2029.9])
@pytest.mark.parametrize("latitude", [-85, -60, -33, 0, 21, 47, 65, 78])
def test_against_a_second_implementation(latitude: float, year: float) -> None:
    wmm = pytest.importorskip("wmm", reason="the second implementation (87 MB) is not installed")
    for longitude in (-170, -95, -20, 8, 77, 150):
        model = wmm.wmm_calc()
        model.setup_env(latitude, longitude, 0.8, msl=False)
        model.setup_time(dyear=year)
        other = model.get_all()
        place = (latitude, longitude, 800.0, year)
        assert magnetic_horizontal_field(*place) * 1000 == pytest.approx(float(other["h"][0]), abs=0.01)
        assert magnetic_total_field(*place) * 1000 == pytest.approx(float(other["f"][0]), abs=0.01)
        if other["h"][0] >= 2000:
            assert magnetic_declination(*place) == pytest.approx(float(other["dec"][0]), abs=1e-5)


def _squares_by_degree() -> dict[int, float]:
    """For each degree the sum of squares of its coefficients, nT^2, each at its greatest in 2025 to 2030."""
    squares: dict[int, float] = {}
    text = (resources.files("pygeomag") / "wmm" / "WMM_2025.COF").read_text(encoding="ascii")
    for line in text.splitlines()[1:]:
        words = line.split()
        if len(words) == 6:
            g, h, g_a_year, h_a_year = map(float, words[2:])
            for start, change in ((g, g_a_year), (h, h_a_year)):
                greatest = max(abs(start), abs(start + 5 * change))
                squares[int(words[0])] = squares.get(int(words[0]), 0.0) + greatest * greatest
    return squares


def _declared_slope(name: str) -> float:
    slope = DECLARATIONS[name].parameters[2].slope
    assert slope is not None
    return slope
