"""Throttle and thrust, from the throttle a craft hovers at.

How thrust follows the throttle differs: some controllers and motors make it proportional, others come near
the measured power of 2.2 of the propeller. So each question has a low and a high answer, and the truth lies
between.
"""

from __future__ import annotations

from cfglint.physics.declare import physics
from cfglint.physics.limits import power, ratio

_STOPPED = 1000.0
_FULL = 2000.0
_TRAVEL = _FULL - _STOPPED
_MEASURED_EXPONENT = 2.2


@physics("throttle us 1000.., hover us 1000.. -> 1 0..", growth="+ -", source="HOV-2")
def throttle_share(throttle: float, hover: float) -> float:
    """Throttle as a share of the hover throttle, a plain number: (x - 1000) / (hover - 1000), pulses in us.

    Endless where the hover throttle is no throttle at all.

    Source: HOV-2.
    """
    return ratio(throttle - _STOPPED, hover - _STOPPED)


@physics("throttle us 1000.., hover us 1000.. -> 1 0..", growth="+ -", source="HOV-2, HOV-3")
def thrust_share_low(throttle: float, hover: float) -> float:
    """Least thrust over weight at a throttle, a plain number: the lesser of f and f^2.2, f the throttle
    share.

    Pulses in us, at the density the hover throttle was found at. Source: HOV-2 (proportional), HOV-3
    (measured power).
    """
    share = throttle_share(throttle, hover)
    return min(share, power(share, _MEASURED_EXPONENT))


@physics("throttle us 1000.., hover us 1000.. -> 1 0..", growth="+ -", source="HOV-2, HOV-3")
def thrust_share_high(throttle: float, hover: float) -> float:
    """Greatest thrust over weight at a throttle, a plain number: the greater of f and f^2.2, f the throttle
    share.

    Pulses in us, at the density the hover throttle was found at. Source: HOV-2 (proportional), HOV-3
    (measured power).
    """
    share = throttle_share(throttle, hover)
    return max(share, power(share, _MEASURED_EXPONENT))


@physics("hover us 1000.. -> 1 0..", growth="-", source="HOV-2, HOV-3")
def hover_thrust_low(hover: float) -> float:
    """Least thrust to weight at full throttle, a plain number, from the hover throttle in us.

    1000 / (hover - 1000): thrust proportional to throttle (its power of 2.2 where the craft can't hover at
    full throttle).

    Source: HOV-2, HOV-3.
    """
    return thrust_share_low(_FULL, hover)


@physics("hover us 1000.. -> 1 0..", growth="-", source="HOV-2, HOV-3")
def hover_thrust_high(hover: float) -> float:
    """Greatest thrust to weight at full throttle, a plain number, from the hover throttle in us.

    (1000 / (hover - 1000))^2.2: thrust by the measured power of the throttle.

    Source: HOV-2, HOV-3.
    """
    return thrust_share_high(_FULL, hover)


@physics("thrust_to_weight 1 0.. -> us 1000..", growth="-", source="HOV-2, HOV-3")
def hover_throttle_low(thrust_to_weight: float) -> float:
    """Least throttle it hovers at, us, from thrust to weight: 1000 + 1000 W/T, thrust proportional.

    Source: HOV-2, HOV-3.
    """
    share = ratio(1.0, thrust_to_weight)
    return _STOPPED + _TRAVEL * min(share, power(share, 1.0 / _MEASURED_EXPONENT))


@physics("thrust_to_weight 1 0.. -> us 1000..", growth="-", source="HOV-2, HOV-3")
def hover_throttle_high(thrust_to_weight: float) -> float:
    """Greatest throttle it hovers at, us, from thrust to weight: 1000 + 1000 (W/T)^(1/2.2).

    Source: HOV-2, HOV-3.
    """
    share = ratio(1.0, thrust_to_weight)
    return _STOPPED + _TRAVEL * max(share, power(share, 1.0 / _MEASURED_EXPONENT))
