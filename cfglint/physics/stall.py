"""Load factor in a turn, and what it does to the stall speed."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import STANDARD_GRAVITY, cosine, product, ratio

SEA_LEVEL_DENSITY = 1.225
"""Density of the standard atmosphere at sea level, kg/m^3 (ISA-1)."""


@physics("bank deg 0..90 -> 1 1..", growth="+", source="LOAD-1")
def load_factor(bank: float) -> float:
    """Load factor of a level turn, a plain number: 1 / cos bank; endless at 90 degrees. Source: LOAD-1."""
    return ratio(1.0, cosine(bank))


@physics("stall_speed m/s 0.., bank deg 0..90 -> m/s 0..", growth="+ +", source="LOAD-3")
def stall_speed_in_turn(stall_speed: float, bank: float) -> float:
    """Stall speed in a level turn, m/s: Vs sqrt(1 / cos bank), in the airspeed Vs is given in.

    Source: LOAD-3.
    """
    return product(stall_speed, math.sqrt(ratio(1.0, cosine(bank))))


@physics("margin 1 0.. -> deg 0..90", growth="+", source="LOAD-7")
def bank_for_margin(margin: float) -> float:
    """Largest level bank at a speed of `margin` stall speeds, degrees: acos(1 / margin^2). Source: LOAD-7.

    At or below the stall speed there is no such bank: zero.
    """
    if margin <= 1.0:
        return 0.0
    return math.degrees(math.acos(1.0 / margin / margin))


@physics(
    "mass kg 0.., wing_area m^2 0.., lift_coefficient 1 0.. -> m/s 0..",
    growth="+ - -",
    source="computed, ISA-1",
)
def stall_speed(mass: float, wing_area: float, lift_coefficient: float) -> float:
    """Stall speed in level flight, m/s equivalent airspeed: lift equal to weight at the greatest lift
    coefficient.

    sqrt(2 m g / (1.225 S CL)), mass in kg, wing area in m^2. Source: computed; sea-level density of ISA-1.
    """
    lifting = product(wing_area, lift_coefficient)
    return math.sqrt(ratio(2.0 * mass * STANDARD_GRAVITY, SEA_LEVEL_DENSITY * lifting))
