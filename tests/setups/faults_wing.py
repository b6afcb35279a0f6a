"""Faults of the wing, the launch and the transition."""

from __future__ import annotations

from tests.setups.fault import (
    HYBRID,
    WING,
    WINGS,
    Fault,
    Texts,
    always,
    computed,
    given,
    having,
    is_set,
    number,
    positioned,
    scaled,
)


def _knots(texts: Texts) -> bool:
    return number(texts, "cruise.speed") * 1.94384 > number(texts, "airspeed.max")


WING_FAULTS = (
    Fault(
        "a multirotor's loiter radius", WINGS, positioned(loiter__radius="6 m"),
        ("wing/loiter-inside-turn-radius",), "error",
    ),
    Fault(
        "loiter radius left at its default", WINGS, positioned(loiter__radius="10 m"),
        ("wing/radius-left-at-default",), "warning", {"loiter.radius": "10 m"},
    ),
    Fault(
        "loiter circle wider than the fence", WINGS,
        computed("loiter.radius", lambda t: number(t, "fence.radius"), "m"),
        ("wing/loiter-leaves-the-field", "fence/too-small-to-turn-in"), "error",
    ),
    Fault(
        "a multirotor's waypoint radius", WINGS,
        positioned(waypoint__radius="2 m", waypoint__reached_by="inside_radius"),
        ("wing/waypoint-radius-too-small",), "error",
    ),
    Fault(
        "waypoint radius of a quarter mile", WINGS, positioned(waypoint__radius="400 m"),
        ("wing/waypoint-radius-cuts-corners",), "warning",
    ),
    Fault("hardly any bank", WINGS, always(limit__bank="5 deg"), ("wing/bank-limit-timid",), "warning"),
    Fault("banks to the stall", WINGS, always(limit__bank="80 deg"), ("wing/bank-limit-stalls",), "error"),
    Fault(
        "least airspeed below the stall", WINGS, always(airspeed__min="5 m/s"), ("wing/too-slow",), "error",
    ),
    Fault("cruise below the stall", WINGS, always(cruise__speed="7 m/s"), ("wing/too-slow",), "error"),
    Fault(
        "cruise speed in knots", WINGS, scaled("cruise.speed", 1.94384, _knots),
        ("wing/speeds-out-of-order",), "warning",
    ),
    Fault(
        "cruise speed in km/h", WINGS, scaled("cruise.speed", 3.6), ("wing/speeds-out-of-order",), "warning",
    ),
    Fault(
        "pitches up like a rocket", WINGS, always(limit__pitch_up="45 deg"), ("wing/climbs-too-steeply",),
        "error",
    ),
    Fault(
        "cruise throttle beyond its limit", WINGS, always(auto_throttle__most="1200 us"),
        ("wing/throttle-limits-exclude-cruise",), "error",
    ),
    Fault("twice the mass on the wing", WINGS, scaled("craft.mass", 2), ("wing/too-slow",), "warning"),
    Fault(
        "dives past its limit", WINGS, always(limit__pitch_down="60 deg"),
        ("sensors/dives-past-its-greatest-airspeed",), "warning",
    ),
    Fault(
        "speed limits swapped", WINGS,
        lambda t: {"airspeed.min": t["airspeed.max"], "airspeed.max": t["airspeed.min"]},
        ("wing/speeds-out-of-order",), "error",
    ),
    Fault(
        "flies by ground speed", WINGS, always(cruise__speed_reference="ground_speed"),
        ("sensors/stalls-downwind-by-ground-speed",), "warning",
    ),
    Fault(
        "gusts twice the wind and more", WINGS,
        computed("site.gust", lambda t: number(t, "site.wind") + 20, "m/s"), ("wing/no-margin-for-gusts",),
        "warning",
    ),
    Fault(
        "motor starts in the hand", (WING,),
        given(
            lambda t: t.get("craft.prop_position") == "pusher" and is_set(t, "launch.spin_up_delay"),
            launch__spin_up_delay="0 s",
        ),
        ("launch/motor-starts-in-the-hand", "launch/motor-starts-on-the-bungee"), "error",
    ),
    Fault(
        "propeller turns before the throw", (WING,),
        having("launch.waiting_throttle", launch__waiting_throttle="1250 us"),
        ("launch/turns-before-the-throw",), "warning",
    ),
    Fault(
        "a stumble starts it", (WING,),
        having("launch.trigger_acceleration", launch__trigger_acceleration="6 m/s^2"),
        ("launch/a-stumble-starts-it",), "error",
    ),
    Fault(
        "no throw starts it", (WING,),
        having("launch.trigger_acceleration", launch__trigger_acceleration="80 m/s^2"),
        ("launch/no-throw-starts-it",), "warning",
    ),
    Fault(
        "launch climbs into a stall", (WING,), having("launch.climb_pitch", launch__climb_pitch="50 deg"),
        ("launch/climbs-into-a-stall",), "error",
    ),
    Fault(
        "motor starts three seconds after the throw", (WING,),
        having("launch.kind", launch__detection="on", launch__kind="hand", launch__spin_up_delay="3 s"),
        ("launch/motor-starts-too-late",), "warning",
    ),
    Fault(
        "launch ends after a second", (WING,), having("launch.climb_time", launch__climb_time="1 s"),
        ("launch/ends-too-low",), "warning",
    ),
    Fault(
        "transition below the stall", (HYBRID,), always(transition__airspeed="8 m/s"),
        ("transition/below-flying-speed",), "error",
    ),
    Fault(
        "transition by the clock, too short", (HYBRID,),
        always(transition__complete_by="time", transition__time="0.5 s"), ("transition/ends-on-the-clock",),
        "error",
    ),
    Fault(
        "transition never gives up", (HYBRID,), always(transition__timeout="0 s"),
        ("transition/never-gives-up",), "warning",
    ),
    Fault(
        "lift rotors help too late", (HYBRID,), always(transition__rotor_help_airspeed="5 m/s"),
        ("transition/rotors-help-too-late",), "error",
    ),
    Fault(
        "transition close to the ground", (HYBRID,), always(transition__min_height="5 m"),
        ("transition/too-low",), "warning",
    ),
    Fault(
        "transition above the ceiling", (HYBRID,), always(transition__min_height="118 m"),
        ("transition/never-high-enough",), "warning",
    ),
    Fault(
        "broadside to the wind", (HYBRID,),
        given(lambda t: number(t, "site.wind") >= 5, hover__nose_into_wind="off"),
        ("transition/broadside-to-the-wind",), "warning",
    ),
    Fault(
        "airspeed sensor off in a transition", (HYBRID,), always(airspeed_sensor__enabled="off"),
        ("transition/waits-for-an-unseen-airspeed",), "warning",
    ),
    Fault(
        "lands in place on link loss", (HYBRID,), always(link_loss__action="land"),
        ("transition/lands-where-it-is",), "warning",
    ),
)
