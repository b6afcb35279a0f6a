"""Room that a craft needs beyond where it means to fly: to stop, to turn back, to level off."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import STANDARD_GRAVITY, ratio, tangent
from cfglint.physics.turn import turn_radius

_STEEPEST_STOP = 45.0
_FIX_PATH_AND_MAP_ERROR = 3.0 + 3.0 + 1.0
_REACTION_TIME = 1.0
_CLIMB_SHARE = 0.7
_PULL_UP_SHARE = 0.3


@physics("speed m/s 0.., tilt deg 0..90 -> m 0..", growth="+ -", source="VOL-2")
def stopping_distance(speed: float, tilt: float) -> float:
    """Distance in which a multirotor stops, m: V^2 / (2 g tan tilt), speed in m/s. Source: VOL-2.

    A tilt beyond 45 degrees counts as 45, as the source has it; without tilt it never stops.
    """
    pull = 2.0 * STANDARD_GRAVITY * tangent(min(tilt, _STEEPEST_STOP))
    return ratio(speed * speed, pull)


@physics("speed m/s 0.., tilt deg 0..90 -> m 7..", growth="+ -", source="VOL-1, VOL-2")
def horizontal_contingency_multirotor(speed: float, tilt: float) -> float:
    """Width of a multirotor's contingency volume, m. Source: VOL-1, VOL-2.

    Fix 3 m, path keeping 3 m and map 1 m, one second of reaction at the speed, and the stop.
    """
    return _FIX_PATH_AND_MAP_ERROR + speed * _REACTION_TIME + stopping_distance(speed, tilt)


@physics("speed m/s 0.., bank deg 0..90 -> m 7..", growth="+ -", source="VOL-1, VOL-3")
def horizontal_contingency_fixed_wing(speed: float, bank: float) -> float:
    """Width of a fixed wing's contingency volume, m. Source: VOL-1, VOL-3.

    Fix 3 m, path keeping 3 m and map 1 m, one second of reaction at the speed, and the radius of the turn
    back.
    """
    return _FIX_PATH_AND_MAP_ERROR + speed * _REACTION_TIME + turn_radius(speed, bank)


@physics("speed m/s 0.., height_error m 0.. -> m 0..", growth="+ +", source="VOL-5, VOL-6")
def vertical_contingency_multirotor(speed: float, height_error: float) -> float:
    """Height of a multirotor's contingency volume above its flight geography, m. Source: VOL-5, VOL-6.

    Height error (1 m by barometer, 4 m by satellites), 0.7 V for one second of reaction, and 0.5 V^2 / g to
    level off.
    """
    return height_error + _CLIMB_SHARE * speed * _REACTION_TIME + 0.5 * speed * speed / STANDARD_GRAVITY


@physics("speed m/s 0.., height_error m 0.. -> m 0..", growth="+ +", source="VOL-5, VOL-6")
def vertical_contingency_fixed_wing(speed: float, height_error: float) -> float:
    """Height of a fixed wing's contingency volume above its flight geography, m. Source: VOL-5, VOL-6.

    Height error (1 m by barometer, 4 m by satellites), 0.7 V for one second of reaction, and 0.3 V^2 / g to
    level off.
    """
    levelling = _PULL_UP_SHARE * speed * speed / STANDARD_GRAVITY
    return height_error + _CLIMB_SHARE * speed * _REACTION_TIME + levelling


@physics("vertical_speed m/s 0.., height_error m 0.. -> m 0..", growth="+ +", source="VOL-5, VOL-6, computed")
def vertical_contingency(vertical_speed: float, height_error: float) -> float:
    """Height passed before a climb or sink at a given vertical speed is stopped, m.

    Height error + v for one second of reaction + v^2 / (2 g). Source: computed after VOL-5 and VOL-6, with
    the vertical speed itself instead of the share of the flight speed they assume.
    """
    return height_error + vertical_speed * _REACTION_TIME + _rise(vertical_speed)


def _rise(vertical_speed: float) -> float:
    return math.inf if vertical_speed == math.inf else vertical_speed * vertical_speed / (2.0 * STANDARD_GRAVITY)
