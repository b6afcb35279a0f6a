"""Faults of the way home, the fence, the held modes, the wing, the launch and the transition, and of the site they meet."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tests.setups.craft import UNSEEN_TEXT
from tests.setups.fault import (
    ALL, HYBRID, MULTIROTOR, ROTORS, UNSET, WING, WINGS, Fault, Texts, always, computed, given, has_positioning, having,
    is_set, number, positioned, scaled, weighs,
)


def _return_height(texts: Texts) -> float:
    return number(texts, "return.altitude")


def _over_the_limit(factor: float) -> Callable[[Texts], bool]:
    return lambda texts: _return_height(texts) * factor > number(texts, "site.height_limit")


def _under_the_obstacles(texts: Texts) -> float | None:
    obstacles = number(texts, "site.obstacle_height")
    return obstacles + 2 if obstacles > 0 else None


def _sea_level_too_low(texts: Texts) -> bool:
    needed = number(texts, "site.elevation") + number(texts, "site.obstacle_height") + 10
    return has_positioning(texts) and _return_height(texts) < needed


def _windy(least: float) -> Callable[[Texts], bool]:
    return lambda texts: has_positioning(texts) and number(texts, "site.wind") >= least


HOME = (
    Fault("return height in centimetres", ALL, computed("return.altitude", lambda t: min(1000, 100 * _return_height(t)), "m"), ("return/above-height-limit",), "error"),
    Fault("return height in hundreds of metres", ALL, scaled("return.altitude", 0.01), ("return/below-obstacles", "return/too-low-to-be-safe"), "warning"),
    Fault("return height in feet", ALL, scaled("return.altitude", 3.2808, lambda t: _over_the_limit(3.2808)(t)), ("return/above-height-limit",), "error"),
    Fault("return height just over the trees", ALL, computed("return.altitude", _under_the_obstacles, "m"), ("return/below-obstacles",), "error"),
    Fault("a tower of a hundred metres", ALL, positioned(site__obstacle_height="100 m"), ("return/below-obstacles",), "error"),
    Fault(
        "heights counted from sea level", ALL, given(lambda t: is_set(t, "return.altitude") and _sea_level_too_low(t), altitude__reference="above_sea_level"),
        ("return/height-from-the-wrong-zero",), "error",
    ),
    Fault("return at the fence's ceiling", ALL, computed("return.altitude", lambda t: number(t, "fence.ceiling"), "m"), ("return/hits-the-ceiling",), "error"),
    Fault("fence ceiling below the way home", ALL, computed("fence.ceiling", lambda t: _return_height(t) - 5, "m"), ("return/hits-the-ceiling",), "error"),
    Fault("comes home at any height", ALL, positioned(return__height_rule="keep"), ("return/comes-home-at-any-height",), "warning"),
    Fault("climbs only at home", ALL, positioned(return__climb="at_home"), ("return/comes-home-at-any-height",), "warning"),
    Fault(
        "a gale", ALL, positioned(site__wind="22 m/s", site__gust="26 m/s"),
        ("return/rotors-cannot-beat-the-wind-home", "return/wing-cannot-beat-the-wind-home", "return/rotors-cannot-hold-their-place"), "error",
    ),
    Fault("tilt limit in tens of degrees", ROTORS, scaled("position_hold.max_tilt", 0.1, _windy(4)), ("return/rotors-cannot-beat-the-wind-home", "return/rotors-cannot-hold-their-place"), "error"),
    Fault("a multirotor's return speed on a wing", WINGS, having("return.speed", return__speed="6 m/s"), ("wing/too-slow",), "error"),
    Fault(
        "hardly any charge left for the way home", ALL,
        having("battery.capacity_warn", battery__capacity_warn="0.02 Ah", battery__capacity_critical="0.01 Ah"), ("return/not-enough-charge-to-get-home",), "error",
    ),
    Fault("lands hard", ROTORS, having("landing.final_rate", landing__final_rate="3.5 m/s"), ("landing/touches-down-hard",), "error"),
    Fault("landing rate in decimetres", ROTORS, scaled("landing.final_rate", 10), ("landing/touches-down-hard",), "error"),
    Fault("sinks into its own wake", ROTORS, having("landing.initial_rate", landing__initial_rate="7 m/s"), ("landing/descends-into-its-own-wake",), "warning"),
    Fault("slows down at one metre", ROTORS, having("landing.final_below", landing__final_below="1 m"), ("landing/slows-too-late",), "warning"),
    Fault("return refused within 300 m", ALL, positioned(return__least_distance="300 m"), ("return/refused-close-in", "fence/return-refused-at-the-fence"), "warning"),
    Fault("nothing ends a return that flies away", (MULTIROTOR,), positioned(return__fly_away_limit="0 m"), ("return/flies-away-unchecked",), "warning"),
    Fault("gives up a return after eight metres", ALL, positioned(return__fly_away_limit="8 m"), ("return/gives-up-in-its-own-turn", "return/gives-up-while-it-stops"), "warning"),
    Fault("a wing lands over home", (WING,), positioned(return__at_home="land"), ("return/lands-where-it-has-no-runway",), "warning"),
    Fault("the ground falls away", ALL, positioned(site__terrain_fall="110 m"), ("return/above-the-limit-over-falling-ground",), "warning"),
)

FENCE = (
    Fault("people at the fence", ALL, computed("site.clear_radius", lambda t: number(t, "fence.radius") if is_set(t, "fence.radius") else None, "m"), ("fence/no-room-to-stop", "fence/no-room-to-turn"), "error"),
    Fault("no fence at all", ALL, given(lambda t: has_positioning(t) and weighs(0.25)(t), fence__radius=UNSET, fence__ceiling=UNSET), ("fence/no-fence",), "warning"),
    Fault("a fence that does nothing", ALL, given(lambda t: has_positioning(t) and weighs(0.25)(t), fence__action="none"), ("fence/does-nothing",), "warning"),
    Fault("fence action unseen", ALL, given(lambda t: has_positioning(t) and weighs(0.25)(t), fence__action=UNSEEN_TEXT), ("fence/does-nothing",), "warning"),
    Fault("the fence cuts the motors", ROTORS, given(lambda t: has_positioning(t) and weighs(0.25)(t), fence__action="cut_motors"), ("fence/cuts-the-motors",), "error"),
    Fault("a multirotor's fence on a wing", WINGS, positioned(fence__radius="50 m"), ("fence/too-small-to-turn-in",), "error"),
    Fault("a wing's fence on a multirotor", (MULTIROTOR,), positioned(fence__radius="500 m"), ("fence/no-room-to-stop",), "error"),
    Fault("fence ceiling in feet", ALL, scaled("fence.ceiling", 3.2808), ("fence/ceiling-above-the-limit",), "warning"),
    Fault("fence floor at the way home", ALL, computed("fence.ceiling", lambda t: None, "m"), ("fence/floor-in-the-way",), "error"),
    Fault("positioning switched off", ALL, positioned(gnss__enabled="off"), ("fence/without-a-fix", "sensors/navigation-without-positioning"), "error"),
    Fault("no receiver for satellites on board", ALL, positioned(craft__position_fix="no"), ("fence/without-a-fix", "sensors/navigation-without-positioning"), "error"),
    Fault("missions may begin two kilometres out", ALL, positioned(mission__first_leg_limit="2000 m"), ("position/first-leg-too-far",), "warning"),
)


def _wake_of_the_stick(texts: Texts) -> Mapping[str, str] | None:
    if not has_positioning(texts) or number(texts, "hover.throttle") > 1350:
        return None
    return {"altitude_hold.neutral": "stick_centre", "altitude_hold.descent_rate": "4 m/s"}


def _thin_air(texts: Texts) -> Mapping[str, str] | None:
    lift = number(texts, "craft.max_thrust") / (number(texts, "craft.mass") * 9.80665)
    return {"site.elevation": "3000 m", "site.temperature": "30 degC"} if lift < 2 else None


def _twice_the_mass(texts: Texts) -> Mapping[str, str] | None:
    mass = number(texts, "craft.mass")
    lift = number(texts, "craft.max_thrust") / (mass * 9.80665)
    return {"craft.mass": f"{2 * mass:g} kg"} if lift / 2 < 1.35 else None


def _tilted(texts: Texts) -> bool:
    return number(texts, "craft.max_thrust") / (number(texts, "craft.mass") * 9.80665) < 6


HELD = (
    Fault("hover throttle left at its default", ROTORS, positioned(hover__throttle="1500 us"), ("lift/hover-throttle-unverified",), "warning", {"hover.throttle": "1500 us"}),
    Fault("no hover throttle", ROTORS, positioned(hover__throttle=UNSET), ("lift/hover-throttle-unverified",), "warning"),
    Fault("hover throttle unseen", ROTORS, positioned(hover__throttle=UNSEEN_TEXT), ("lift/hover-throttle-unverified",), "warning"),
    Fault("hover throttle in percent", ROTORS, always(hover__throttle="1050 us"), ("lift/hover-throttle-off-measured", "lift/hover-throttle-against-thrust"), "error"),
    Fault("hover throttle of a weaker craft", ROTORS, always(hover__throttle="1900 us"), ("lift/hover-throttle-off-measured", "lift/hover-throttle-against-thrust"), "error"),
    Fault("held modes can't descend", ROTORS, computed("altitude_hold.least_throttle", lambda t: number(t, "hover.throttle") - 10, "us"), ("lift/held-modes-cannot-descend",), "error"),
    Fault("held modes can't climb", ROTORS, computed("altitude_hold.most_throttle", lambda t: number(t, "hover.throttle") + 5, "us"), ("lift/held-modes-cannot-climb",), "error"),
    Fault("throttle limits swapped", ROTORS, swapped_limits := (lambda t: {"altitude_hold.least_throttle": t["altitude_hold.most_throttle"], "altitude_hold.most_throttle": t["altitude_hold.least_throttle"]} if has_positioning(t) else None), ("lift/throttle-limits-crossed",), "error"),
    Fault("tilted until it sinks", ROTORS, given(_tilted, level__tilt_limit="80 deg"), ("lift/tilt-leaves-too-little-lift",), "error"),
    Fault("sinks as altitude hold engages", ROTORS, _wake_of_the_stick, ("lift/moves-as-altitude-hold-engages",), "warning"),
    Fault("taken to a high, hot place", ROTORS, _thin_air, ("lift/too-little-thrust-here", "lift/tilt-leaves-too-little-lift"), "warning"),
    Fault("twice the mass", ROTORS, _twice_the_mass, ("lift/too-little-thrust-here",), "error"),
    Fault("barometer off and nothing else", ALL, having("switch.return.channel", barometer__enabled="off", altitude__source="barometer"), ("lift/height-without-barometer",), "error"),
    Fault("height from satellites alone", ALL, positioned(altitude__source="gnss"), ("lift/height-without-barometer",), "warning"),
    Fault("height from a rangefinder that is off", ROTORS, positioned(altitude__source="rangefinder"), ("lift/height-from-a-rangefinder-that-is-off",), "error"),
    Fault("barometer open to the light", ALL, positioned(craft__barometer_shielded="no"), ("lift/barometer-open",), "warning"),
    Fault("position hold at thirty metres a second", (MULTIROTOR,), positioned(position_hold__max_speed="30 m/s"), ("position/cannot-stop-in-the-field",), "warning"),
)


def _knots(texts: Texts) -> bool:
    return number(texts, "cruise.speed") * 1.94384 > number(texts, "airspeed.max")


WING_FAULTS = (
    Fault("a multirotor's loiter radius", WINGS, positioned(loiter__radius="6 m"), ("wing/loiter-inside-turn-radius",), "error"),
    Fault("loiter circle wider than the fence", WINGS, computed("loiter.radius", lambda t: number(t, "fence.radius"), "m"), ("wing/loiter-leaves-the-field", "fence/too-small-to-turn-in"), "error"),
    Fault("a multirotor's waypoint radius", WINGS, positioned(waypoint__radius="2 m", waypoint__reached_by="inside_radius"), ("wing/waypoint-radius-too-small",), "error"),
    Fault("waypoint radius of a quarter mile", WINGS, positioned(waypoint__radius="400 m"), ("wing/waypoint-radius-cuts-corners",), "warning"),
    Fault("hardly any bank", WINGS, always(limit__bank="5 deg"), ("wing/bank-limit-timid",), "warning"),
    Fault("banks to the stall", WINGS, always(limit__bank="70 deg"), ("wing/bank-limit-stalls",), "error"),
    Fault("least airspeed below the stall", WINGS, always(airspeed__min="5 m/s"), ("wing/too-slow",), "error"),
    Fault("cruise below the stall", WINGS, always(cruise__speed="7 m/s"), ("wing/too-slow",), "error"),
    Fault("cruise speed in knots", WINGS, scaled("cruise.speed", 1.94384, _knots), ("wing/speeds-out-of-order",), "warning"),
    Fault("cruise speed in km/h", WINGS, scaled("cruise.speed", 3.6), ("wing/speeds-out-of-order",), "warning"),
    Fault("pitches up like a rocket", WINGS, always(limit__pitch_up="45 deg"), ("wing/climbs-too-steeply",), "error"),
    Fault("cruise throttle beyond its limit", WINGS, always(auto_throttle__most="1200 us"), ("wing/throttle-limits-exclude-cruise",), "error"),
    Fault("twice the mass on the wing", WINGS, scaled("craft.mass", 2), ("wing/too-slow",), "warning"),
    Fault("dives past its limit", WINGS, always(limit__pitch_down="60 deg"), ("sensors/dives-past-its-greatest-airspeed",), "warning"),
    Fault("speed limits swapped", WINGS, lambda t: {"airspeed.min": t["airspeed.max"], "airspeed.max": t["airspeed.min"]}, ("wing/speeds-out-of-order",), "error"),
    Fault("flies by ground speed", WINGS, always(cruise__speed_reference="ground_speed"), ("sensors/stalls-downwind-by-ground-speed",), "warning"),
    Fault("gusts twice the wind and more", WINGS, computed("site.gust", lambda t: number(t, "site.wind") + 20, "m/s"), ("wing/no-margin-for-gusts",), "warning"),
    Fault("motor starts in the hand", (WING,), given(lambda t: t.get("craft.prop_position") == "pusher" and is_set(t, "launch.spin_up_delay"), launch__spin_up_delay="0 s"), ("launch/motor-starts-in-the-hand", "launch/motor-starts-on-the-bungee"), "error"),
    Fault("propeller turns before the throw", (WING,), having("launch.waiting_throttle", launch__waiting_throttle="1250 us"), ("launch/turns-before-the-throw",), "warning"),
    Fault("a stumble starts it", (WING,), having("launch.trigger_acceleration", launch__trigger_acceleration="6 m/s^2"), ("launch/a-stumble-starts-it",), "error"),
    Fault("no throw starts it", (WING,), having("launch.trigger_acceleration", launch__trigger_acceleration="80 m/s^2"), ("launch/no-throw-starts-it",), "warning"),
    Fault("launch climbs into a stall", (WING,), having("launch.climb_pitch", launch__climb_pitch="50 deg"), ("launch/climbs-into-a-stall",), "error"),
    Fault("launch ends after a second", (WING,), having("launch.climb_time", launch__climb_time="1 s"), ("launch/ends-too-low",), "warning"),
    Fault("transition below the stall", (HYBRID,), always(transition__airspeed="8 m/s"), ("transition/below-flying-speed",), "error"),
    Fault("transition by the clock, too short", (HYBRID,), always(transition__complete_by="time", transition__time="0.5 s"), ("transition/ends-on-the-clock",), "error"),
    Fault("transition never gives up", (HYBRID,), always(transition__timeout="0 s"), ("transition/never-gives-up",), "warning"),
    Fault("lift rotors help too late", (HYBRID,), always(transition__rotor_help_airspeed="5 m/s"), ("transition/rotors-help-too-late",), "error"),
    Fault("transition close to the ground", (HYBRID,), always(transition__min_height="5 m"), ("transition/too-low",), "warning"),
    Fault("broadside to the wind", (HYBRID,), given(lambda t: number(t, "site.wind") >= 5, hover__nose_into_wind="off"), ("transition/broadside-to-the-wind",), "warning"),
    Fault("airspeed sensor off in a transition", (HYBRID,), always(airspeed_sensor__enabled="off"), ("transition/waits-for-an-unseen-airspeed",), "warning"),
    Fault("lands in place on link loss", (HYBRID,), always(link_loss__action="land"), ("transition/lands-where-it-is",), "warning"),
)
