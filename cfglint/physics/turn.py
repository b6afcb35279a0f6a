"""Level turns: how wide they are, in still air and in wind, and how early one must begin."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import STANDARD_GRAVITY, product, ratio, tangent


@physics("speed m/s 0.., bank deg 0..90 -> m 0..", growth="+ -", source="TURN-1")
def turn_radius(speed: float, bank: float) -> float:
    """Radius of a level, coordinated turn in still air, m: V^2 / (g tan bank), V true airspeed in m/s.

    Without bank the radius is endless.

    Source: TURN-1.
    """
    return _radius(speed, bank)


@physics("speed m/s 0.., wind m/s 0.., bank deg 0..90 -> m 0..", growth="+ + -", source="TURN-4")
def turn_radius_in_wind(speed: float, wind: float, bank: float) -> float:
    """Radius within which a turn stays over the ground in any wind up to this one, m. Source: TURN-4.

    (V + wind)^2 / (g tan bank): true airspeed and wind in m/s, as though the wind were always behind.
    """
    return _radius(speed + wind, bank)


@physics("radius m 0.., track_change deg 0..180 -> m 0..", growth="+ +", source="TURN-5")
def turn_anticipation(radius: float, track_change: float) -> float:
    """Distance before a waypoint at which a fly-by turn begins, m: r tan(A / 2), A the change of track.

    Turning back on one's own track (180 degrees) has no fly-by: the distance is endless.

    Source: TURN-5.
    """
    return product(radius, tangent(track_change / 2.0))


def _radius(speed: float, bank: float) -> float:
    pull = STANDARD_GRAVITY * tangent(bank)
    if speed == 0.0 and pull > 0.0:
        return 0.0
    return math.inf if speed == math.inf else ratio(speed * speed, pull)
