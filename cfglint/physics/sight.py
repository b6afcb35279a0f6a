"""How far away a craft, and its attitude, can still be seen."""

from __future__ import annotations

from cfglint.physics.declare import physics

_FARTHEST_VISIBILITY = 5000.0


@physics("dimension m 0.. -> m 20..", growth="+", source="VLOS-1")
def attitude_line_of_sight_rotary(dimension: float) -> float:
    """Distance at which a rotary wing's attitude is still seen, m: 327 CD + 20, CD the largest dimension.

    Source: VLOS-1.
    """
    return 327.0 * dimension + 20.0


@physics("dimension m 0.. -> m 30..", growth="+", source="VLOS-1")
def attitude_line_of_sight_fixed(dimension: float) -> float:
    """Distance at which a fixed wing's attitude is still seen, m: 490 CD + 30, CD the largest dimension.

    Source: VLOS-1.
    """
    return 490.0 * dimension + 30.0


@physics("visibility m 0.. -> m 0..1500", growth="+", source="VLOS-1")
def detection_line_of_sight(visibility: float) -> float:
    """Distance at which other traffic is still seen in time, m: 0.3 of the ground visibility, at most 5 km.

    Visual line of sight is the lesser of this and the attitude line of sight.

    Source: VLOS-1.
    """
    return 0.3 * min(visibility, _FARTHEST_VISIBILITY)
