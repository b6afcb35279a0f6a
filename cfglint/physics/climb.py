"""Climbing, diving, the launch and the transition of a wing."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import angle_of_sine, product, ratio, sine

_THRUST_LEFT_IN_FLIGHT = 0.6


@physics("best_climb_rate m/s 0.., speed m/s 0.. -> deg 0..90", growth="+ -", source="computed")
def climb_angle(best_climb_rate: float, speed: float) -> float:
    """Steepest climb a wing sustains, degrees: asin(climb rate / airspeed), both in m/s. Source: computed.

    Zero without a climb rate; 90 where the climb rate is not below the airspeed.
    """
    return 0.0 if best_climb_rate == 0.0 else angle_of_sine(ratio(best_climb_rate, speed))


@physics(
    "thrust_to_weight 1 0.., lift_to_drag 1 0.. -> deg 0..90",
    growth="+ +",
    source="computed, common practice",
)
def climb_angle_from_thrust(thrust_to_weight: float, lift_to_drag: float) -> float:
    """Steepest climb a wing sustains, degrees: asin(0.6 T/W - 1 / (L/D)), the sine held between 0 and 1.

    Source: computed from thrust, drag and weight; that about 0.6 of static thrust is left in flight is common
    practice.
    """
    if lift_to_drag == 0.0:
        return 0.0
    return angle_of_sine(_THRUST_LEFT_IN_FLIGHT * thrust_to_weight - 1.0 / lift_to_drag)


@physics(
    "cruise_speed m/s 0.., lift_to_drag 1 0.., pitch_down deg 0..90 -> m/s 0..",
    growth="+ + +",
    source="computed",
)
def dive_speed(cruise_speed: float, lift_to_drag: float, pitch_down: float) -> float:
    """Speed a wing settles at in a steady dive without power, m/s: V sqrt(L/D sin(pitch)). Source: computed.

    Drag grows with the square of the speed, and is weight / (L/D) at the cruise speed V.
    """
    return product(cruise_speed, math.sqrt(product(lift_to_drag, sine(pitch_down))))


@physics("time s 0.., speed m/s 0.., pitch deg 0..90 -> m 0..", growth="+ + +", source="computed")
def launch_height(time: float, speed: float, pitch: float) -> float:
    """Height gained in a launch climb, m: t V sin(pitch). Source: computed."""
    return product(product(time, speed), sine(pitch))


@physics("airspeed m/s 0.., thrust N 0.., mass kg 0.. -> s 0..", growth="+ - +", source="computed, common practice")
def transition_time(airspeed: float, thrust: float, mass: float) -> float:
    """Time to gather an airspeed on the forward motors, s: V m / (0.6 T).

    Source: computed from thrust and mass; that about 0.6 of static thrust is left in flight is common
    practice.
    """
    return 0.0 if airspeed == 0.0 else ratio(product(airspeed, mass), _THRUST_LEFT_IN_FLIGHT * thrust)
