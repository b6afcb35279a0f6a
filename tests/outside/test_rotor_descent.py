"""Induced velocity and the vortex ring state against ROT-1, ROT-2, ROT-4, ROT-7."""

from __future__ import annotations

import math

import pytest

from cfglint.physics.atmosphere import density_at
from cfglint.physics.rotor import disc_area, induced_velocity, vortex_ring_lower, vortex_ring_upper

INCH = 0.0254
SEA_LEVEL = 1.225
GRAVITY = 9.80665


@pytest.mark.parametrize(
    ("mass", "rotors", "inches", "velocity"),
    [(1.5, 4, 10, 5.443), (0.5, 4, 5, 6.29), (3, 4, 15, 5.13), (6, 6, 18, 4.94)],
)
def test_induced_velocity(mass: float, rotors: float, inches: float, velocity: float) -> None:
    # ROT-1
    area = disc_area(rotors, inches * INCH, 0)
    assert induced_velocity(mass, SEA_LEVEL, area) == pytest.approx(velocity, abs=0.0055)


def test_disc_loading_and_power() -> None:
    # ROT-1: 1.5 kg on four 10 in rotors: area 0.2027 m^2, loading 72.6 N/m^2, ideal power 80.1 W
    area = disc_area(4, 10 * INCH, 0)
    assert area == pytest.approx(0.2027, abs=5e-5)
    assert 1.5 * GRAVITY / area == pytest.approx(72.6, abs=0.05)
    assert 1.5 * GRAVITY * induced_velocity(1.5, SEA_LEVEL, area) == pytest.approx(80.1, abs=0.05)


def test_induced_velocity_in_thin_air() -> None:
    # ROT-1: 6.00 m/s at 2000 m in the standard atmosphere (2.0 degrees there)
    density = density_at(2000, 15.0 - 0.0065 * 2000)
    assert induced_velocity(1.5, density, disc_area(4, 10 * INCH, 0)) == pytest.approx(6.00, abs=0.005)


def test_coaxial_pairs_count_once() -> None:
    # ROT-7, from memory: 8 kg on four coaxial 15 in pairs 8.38 m/s, on eight separate rotors 5.93
    stacked = induced_velocity(8, SEA_LEVEL, disc_area(8, 15 * INCH, 1))
    spread = induced_velocity(8, SEA_LEVEL, disc_area(8, 15 * INCH, 0))
    assert stacked == pytest.approx(8.38, abs=0.005)
    assert spread == pytest.approx(5.93, abs=0.005)
    assert stacked / spread == pytest.approx(math.sqrt(2))


@pytest.mark.parametrize(("forward", "lower", "upper"), [(0, 0.450, 1.500), (0.5, 0.483, 1.298), (0.9, 0.642, 0.992)])
def test_vortex_ring_boundaries(forward: float, lower: float, upper: float) -> None:
    # ROT-2, sink rates as positive numbers
    assert vortex_ring_lower(forward) == pytest.approx(lower, abs=0.0006)
    assert vortex_ring_upper(forward) == pytest.approx(upper, abs=0.0006)


def test_no_vortex_ring_in_fast_forward_flight() -> None:
    # ROT-2: none above 0.95
    assert vortex_ring_lower(0.96) == math.inf > vortex_ring_upper(0.96)


def test_unstable_band_of_a_quadrotor() -> None:
    # ROT-2: induced velocity 5.44: unstable from 2.45 to 8.16 m/s
    assert 5.44 * vortex_ring_lower(0) == pytest.approx(2.45, abs=0.005)
    assert 5.44 * vortex_ring_upper(0) == pytest.approx(8.16, abs=0.005)


def test_critical_sink_of_a_helicopter() -> None:
    # ROT-4: 622 kg on one 7.67 m rotor: induced velocity 7.34 m/s; 300 ft/min is 0.21 of it
    velocity = induced_velocity(622, SEA_LEVEL, disc_area(1, 7.67, 0))
    assert velocity == pytest.approx(7.34, abs=0.01)
    assert 300 * 0.3048 / 60 / velocity == pytest.approx(0.21, abs=0.005)
