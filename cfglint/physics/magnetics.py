"""Magnetic disturbance by power wires, and what it does to a compass."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import angle_of_sine, product, ratio

_WIRE_FIELD = 0.2
"""mu0 / (2 pi), in uT m / A."""


@physics("current A 0.., distance m 0.. -> uT 0..", growth="+ -", source="MAGI-1")
def wire_field(current: float, distance: float) -> float:
    """Field of one long straight wire, uT: mu0 I / (2 pi d) = 0.2 I / d, current in A, distance in m.

    Source: MAGI-1.
    """
    return _WIRE_FIELD * _disturbance(current, distance)


@physics("current A 0.., gap m 0.., distance m 0.. -> uT 0..", growth="+ + -", source="MAGI-1, MAGI-2")
def wire_pair_field(current: float, gap: float, distance: float) -> float:
    """Field of a pair of power leads, out and back, uT: mu0 I s / (2 pi d^2), gap s and distance d in m.

    Leads that run farther apart than half the distance no longer cancel: they count as one wire (MAGI-1).

    Source: MAGI-2.
    """
    if gap > distance / 2.0 or gap == math.inf:
        return wire_field(current, distance)
    return _WIRE_FIELD * _disturbance(product(current, ratio(gap, distance)), distance)


@physics("disturbance uT 0.., horizontal_field uT 0.. -> deg 0..90", growth="+ -", source="MAGI-4")
def heading_error(disturbance: float, horizontal_field: float) -> float:
    """Worst heading error by a horizontal disturbance, degrees: asin(B / H), 90 from B = H on.

    Source: MAGI-4.
    """
    return angle_of_sine(ratio(disturbance, horizontal_field))


@physics("horizontal_field uT 0.. -> deg 0..180", growth="-", source="MAG-4")
def declination_uncertainty(horizontal_field: float) -> float:
    """Uncertainty of the model's declination, one standard deviation, degrees: sqrt(0.26^2 + (5.417 uT /
    H)^2).

    At most 180. Source: MAG-4.
    """
    return min(180.0, math.hypot(0.26, ratio(5.417, horizontal_field)))


def _disturbance(current: float, distance: float) -> float:
    return 0.0 if current == 0.0 else ratio(current, distance)
