"""The standard atmosphere against ISA-1 to ISA-5 and against reference libraries."""

from __future__ import annotations

import math

import pytest

from cfglint.physics.atmosphere import density_at, density_ratio, pressure_at, true_airspeed

EARTH_RADIUS = 6356766.0


def standard_temperature(height: float) -> float:
    """Temperature of the standard atmosphere, degrees Celsius, at a geometric height."""
    return 15.0 - 0.0065 * EARTH_RADIUS * height / (EARTH_RADIUS + height)


@pytest.mark.parametrize(
    ("height", "pressure", "density"),
    [
        (0, 101325.00, 1.22500),
        (500, 95461.29, 1.16727),
        (1000, 89876.28, 1.11166),
        (2000, 79501.41, 1.00655),
        (3000, 70121.14, 0.90925),
    ],
)
def test_geometric_table(height: float, pressure: float, density: float) -> None:
    # ISA-1
    assert pressure_at(height) == pytest.approx(pressure, abs=0.01)
    assert density_at(height, standard_temperature(height)) == pytest.approx(density, abs=6e-6)


@pytest.mark.parametrize(("geopotential", "pressure"), [(500, 95460.84), (1000, 89874.56), (2000, 79495.20), (3000, 70108.53)])
def test_geopotential_table(geopotential: float, pressure: float) -> None:
    # ISA-2
    height = EARTH_RADIUS * geopotential / (EARTH_RADIUS - geopotential)
    assert pressure_at(height) == pytest.approx(pressure, abs=0.02)


def test_pressure_gradient_at_the_ground() -> None:
    # ISA-3: -12.01 Pa/m at sea level; -1195.5 Pa over the first 100 m
    assert pressure_at(1) - pressure_at(0) == pytest.approx(-12.01, abs=0.005)
    assert pressure_at(100) - pressure_at(0) == pytest.approx(-1195.5, abs=0.5)


@pytest.mark.parametrize(
    ("height", "sigma", "rotor_factor"),
    [
        (500, 0.9529, 1.024),
        (1000, 0.9075, 1.050),
        (1500, 0.8638, 1.076),
        (2000, 0.8217, 1.103),
        (3000, 0.7423, 1.161),
    ],
)
def test_density_ratio(height: float, sigma: float, rotor_factor: float) -> None:
    # ISA-4: rotor speed and true airspeed grow by 1 / sqrt(sigma)
    ratio = density_ratio(height, standard_temperature(height))
    assert ratio == pytest.approx(sigma, abs=6e-5)
    assert true_airspeed(1.0, ratio) == pytest.approx(rotor_factor, abs=6e-4)


@pytest.mark.parametrize(
    ("elevation", "temperature", "density", "sigma"),
    [
        (2000, 30, 0.9136, 0.746),
        (1000, 25, 1.0501, 0.857),
        (500, 30, 1.0970, 0.896),
        (0, 35, 1.1455, 0.935),
    ],
)
def test_density_at_a_site(elevation: float, temperature: float, density: float, sigma: float) -> None:
    # ISA-5
    assert density_at(elevation, temperature) == pytest.approx(density, abs=6e-5)
    assert density_ratio(elevation, temperature) == pytest.approx(sigma, abs=6e-4)


@pytest.mark.parametrize("height", [-400, 0, 250, 1500, 3333, 6000, 10000])
def test_against_a_library_of_the_same_standard(height: float) -> None:
    ambiance = pytest.importorskip("ambiance", reason="the reference atmosphere (215 MB) is not installed")
    reference = ambiance.Atmosphere(height)
    assert pressure_at(height) == pytest.approx(float(reference.pressure[0]), rel=1e-6)
    celsius = float(reference.temperature[0]) - 273.15
    assert density_at(height, celsius) == pytest.approx(float(reference.density[0]), rel=1e-6)


@pytest.mark.parametrize("geopotential", [0, 1000, 3000, 9000])
def test_against_a_second_library(geopotential: float) -> None:
    stdatm = pytest.importorskip("stdatm", reason="the second reference atmosphere (215 MB) is not installed")
    reference = float(stdatm.Atmosphere(geopotential, altitude_in_feet=False).pressure)
    height = EARTH_RADIUS * geopotential / (EARTH_RADIUS - geopotential)
    assert math.isclose(pressure_at(height), reference, rel_tol=2e-6)
