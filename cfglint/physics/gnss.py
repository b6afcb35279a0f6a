"""Statistics of a position fix."""

from __future__ import annotations

from cfglint.physics.declare import physics
from cfglint.physics.limits import product


@physics("horizontal_dilution 1 0.., range_error m 0.. -> m 0..", growth="+ +", source="GNSS-4")
def horizontal_error(horizontal_dilution: float, range_error: float) -> float:
    """Twice the root mean square error of a fix over the ground, m: 2 HDOP UERE. Source: GNSS-4.

    The range error (UERE) is one standard deviation, m; about 95 in 100 fixes are nearer than the result.
    """
    return 2.0 * product(horizontal_dilution, range_error)
