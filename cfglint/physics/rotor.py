"""Rotors in hover and descent: disc area, induced velocity, and the band of sink rates that recirculate."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import STANDARD_GRAVITY, product, ratio

_FASTEST_RECIRCULATION = 0.95
_MIDDLE = 0.975
_HALF_BAND = 0.525
_LOWEST = 0.45


@physics("rotors 1 0.., diameter m 0.., coaxial 1 0..1 -> m^2 0..", growth="+ + -", source="ROT-1, ROT-7")
def disc_area(rotors: float, diameter: float, coaxial: float) -> float:
    """Disc area seen from above, m^2: rotors pi D^2 / 4, half of it where rotors are stacked in pairs
    (coaxial 1).

    Source: ROT-1; ROT-7 (from memory): a coaxial pair counts once.
    """
    discs = rotors / (1.0 + coaxial)
    return product(discs, math.pi / 4.0 * diameter * diameter)


@physics("mass kg 0.., density kg/m^3 0.., disc_area m^2 0.. -> m/s 0..", growth="+ - -", source="ROT-1")
def induced_velocity(mass: float, density: float, disc_area: float) -> float:
    """Induced velocity in hover, m/s: sqrt(m g / (2 rho A)), by momentum theory. Source: ROT-1."""
    return math.sqrt(ratio(mass * STANDARD_GRAVITY, 2.0 * product(density, disc_area)))


@physics("forward_ratio 1 0.. -> 1 0.45..", growth="+", source="ROT-2")
def vortex_ring_lower(forward_ratio: float) -> float:
    """Sink rate over induced velocity at which the vortex ring state begins, a plain number. Source: ROT-2.

    0.975 - 0.525 (1 - (x / 0.95)^2)^0.2 with x = forward speed over induced velocity; endless above x = 0.95,
    where the state does not arise.
    """
    if forward_ratio > _FASTEST_RECIRCULATION:
        return math.inf
    return max(_LOWEST, _MIDDLE - _HALF_BAND * math.pow(_band(forward_ratio), 0.2))


@physics("forward_ratio 1 0.. -> 1 0..1.5", growth="-", source="ROT-2")
def vortex_ring_upper(forward_ratio: float) -> float:
    """Sink rate over induced velocity at which the vortex ring state ends, a plain number. Source: ROT-2.

    0.975 + 0.525 (1 - (x / 0.95)^2)^1.5 with x = forward speed over induced velocity; zero above x = 0.95,
    where the state does not arise.
    """
    if forward_ratio > _FASTEST_RECIRCULATION:
        return 0.0
    return _MIDDLE + _HALF_BAND * math.pow(_band(forward_ratio), 1.5)


def _band(forward_ratio: float) -> float:
    share = forward_ratio / _FASTEST_RECIRCULATION
    return max(0.0, 1.0 - share * share)
