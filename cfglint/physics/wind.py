"""Wind aloft, and what it leaves of a craft's speed over the ground."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import power, product, ratio

_MEASURED_AT = 10.0


@physics("wind m/s 0.., height m 0.. -> m/s 0..", growth="+ +", source="WIND-5")
def wind_at_height(wind: float, height: float) -> float:
    """Wind at a height above ground, m/s, from the wind at 10 m: u (h / 10 m)^(1/7). Source: WIND-5.

    Neutral air over open ground. Below 10 m the wind at 10 m is kept: it is gustier there, not safer.
    """
    return product(wind, power(max(1.0, height / _MEASURED_AT), 1.0 / 7.0))


@physics("airspeed m/s 0.., wind m/s 0.. -> m/s", growth="+ -", source="WIND-1")
def ground_speed_against(airspeed: float, wind: float) -> float:
    """Speed over the ground straight into the wind, m/s: true airspeed less wind. Source: WIND-1.

    Below zero where the wind carries the craft away.
    """
    if wind == math.inf:
        return -math.inf
    return airspeed - wind


@physics("distance m 0.., ground_speed m/s -> s 0..", growth="+ -", source="WIND-3")
def return_time(distance: float, ground_speed: float) -> float:
    """Time to fly a distance home, s; endless where the ground speed is not above zero. Source: WIND-3."""
    return ratio(distance, ground_speed)
