"""Propellers: thrust, the frequency they turn at in hover, and the speed of their tips."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import STANDARD_GRAVITY, product, ratio


@physics(
    "mass kg 0.., rotors 1 0.., thrust_coefficient 1 0.., density kg/m^3 0.., diameter m 0.. -> Hz 0..",
    growth="+ - - - -",
    source="PROP-1, PROP-3",
)
def rotor_frequency(mass: float, rotors: float, thrust_coefficient: float, density: float, diameter: float) -> float:
    """Turns of a rotor in hover, Hz: sqrt(m g / (rotors CT rho D^4)), the once-per-turn vibration.

    Source: PROP-3 (thrust) solved for the turns; PROP-1 (once per turn).
    """
    carried = product(product(rotors, thrust_coefficient), product(density, _fourth_power(diameter)))
    return math.sqrt(ratio(mass * STANDARD_GRAVITY, carried))


@physics(
    "thrust_coefficient 1 0.., density kg/m^3 0.., frequency Hz 0.., diameter m 0.. -> N 0..",
    growth="+ + + +",
    source="PROP-3",
)
def propeller_thrust(thrust_coefficient: float, density: float, frequency: float, diameter: float) -> float:
    """Static thrust, N: CT rho n^2 D^4, n in turns a second. Source: PROP-3."""
    turning = product(frequency * frequency, _fourth_power(diameter))
    return product(product(thrust_coefficient, density), turning)


@physics("frequency Hz 0.., diameter m 0.. -> m/s 0..", growth="+ +", source="PROP-5")
def tip_speed(frequency: float, diameter: float) -> float:
    """Speed of a propeller's tips, m/s: pi D n, n in turns a second. Source: PROP-5."""
    return math.pi * product(frequency, diameter)


def _fourth_power(diameter: float) -> float:
    return diameter * diameter * diameter * diameter
