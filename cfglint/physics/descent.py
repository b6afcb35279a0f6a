"""On the way down: falling, thrown, or descending in two stages."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import STANDARD_GRAVITY, product, ratio


@physics("speed m/s 0.., height m 0.. -> m 0..", growth="+ +", source="VOL-8")
def ballistic_throw(speed: float, height: float) -> float:
    """Distance a craft flies on while it falls without drag, m: V sqrt(2 h / g). Source: VOL-8."""
    return product(speed, math.sqrt(2.0 * height / STANDARD_GRAVITY))


@physics("mass kg 0.., height m 0.. -> J 0..", growth="+ +", source="CLASS-1, computed")
def impact_energy(mass: float, height: float) -> float:
    """Energy of a fall without drag, J: m g h. Source: computed; the 80 J it is compared with are CLASS-1."""
    return product(mass, STANDARD_GRAVITY * height)


@physics(
    "height m 0.., final_below m 0.., initial_rate m/s 0.., final_rate m/s 0.. -> s 0..",
    growth="+ ? - -",
    source="computed",
)
def descent_time(height: float, final_below: float, initial_rate: float, final_rate: float) -> float:
    """Time of a landing from a height, s: at the initial rate down to `final_below`, from there at the final
    one.

    (h - b) / v1 + b / v2, b no more than h; endless where a stage has height but no rate. Source: computed.
    """
    last_stage = min(height, final_below)
    first_stage = 0.0 if height == last_stage else height - last_stage
    return _stage(first_stage, initial_rate) + _stage(last_stage, final_rate)


def _stage(height: float, rate: float) -> float:
    return 0.0 if height == 0.0 else ratio(height, rate)
