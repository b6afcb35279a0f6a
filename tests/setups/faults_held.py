"""Faults of lift and of the modes that hold height and place."""

from __future__ import annotations

from collections.abc import Mapping

from tests.setups.craft import UNSEEN_TEXT
from tests.setups.fault import (
    ALL,
    MULTIROTOR,
    ROTORS,
    UNSET,
    Fault,
    Texts,
    always,
    computed,
    given,
    has_positioning,
    having,
    number,
    positioned,
    swapped,
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
    Fault(
        "hover throttle left at its default",
        ROTORS,
        positioned(hover__throttle="1500 us"),
        ("lift/hover-throttle-unverified",),
        "warning",
        {"hover.throttle": "1500 us"},
    ),
    Fault(
        "no hover throttle",
        ROTORS,
        positioned(hover__throttle=UNSET),
        ("lift/hover-throttle-unverified",),
        "warning",
    ),
    Fault(
        "hover throttle unseen",
        ROTORS,
        positioned(hover__throttle=UNSEEN_TEXT),
        ("lift/hover-throttle-unverified",),
        "warning",
    ),
    Fault(
        "hover throttle in percent",
        ROTORS,
        always(hover__throttle="1050 us"),
        ("lift/hover-throttle-off-measured", "lift/hover-throttle-against-thrust"),
        "error",
    ),
    Fault(
        "hover throttle of a weaker craft",
        ROTORS,
        always(hover__throttle="1900 us"),
        ("lift/hover-throttle-off-measured", "lift/hover-throttle-against-thrust"),
        "error",
    ),
    Fault(
        "held modes can't descend",
        ROTORS,
        computed("altitude_hold.least_throttle", lambda t: number(t, "hover.throttle") - 10, "us"),
        ("lift/held-modes-cannot-descend",),
        "error",
    ),
    Fault(
        "held modes can't climb",
        ROTORS,
        computed("altitude_hold.most_throttle", lambda t: number(t, "hover.throttle") + 5, "us"),
        ("lift/held-modes-cannot-climb",),
        "error",
    ),
    Fault(
        "throttle limits swapped",
        ROTORS,
        swapped("altitude_hold.least_throttle", "altitude_hold.most_throttle"),
        ("lift/throttle-limits-crossed",),
        "error",
    ),
    Fault(
        "tilted until it sinks",
        ROTORS,
        given(_tilted, level__tilt_limit="80 deg"),
        ("lift/tilt-leaves-too-little-lift",),
        "error",
    ),
    Fault(
        "sinks as altitude hold engages",
        ROTORS,
        _wake_of_the_stick,
        ("lift/moves-as-altitude-hold-engages",),
        "warning",
    ),
    Fault(
        "taken to a high, hot place",
        ROTORS,
        _thin_air,
        ("lift/too-little-thrust-here", "lift/tilt-leaves-too-little-lift"),
        "warning",
    ),
    Fault("twice the mass", ROTORS, _twice_the_mass, ("lift/too-little-thrust-here",), "error"),
    Fault(
        "barometer off and nothing else",
        ALL,
        having("switch.return.channel", barometer__enabled="off", altitude__source="barometer"),
        ("lift/height-without-barometer",),
        "error",
    ),
    Fault(
        "height from satellites alone",
        ALL,
        positioned(altitude__source="gnss"),
        ("lift/height-without-barometer",),
        "warning",
    ),
    Fault(
        "height from a rangefinder that is off",
        ROTORS,
        positioned(altitude__source="rangefinder"),
        ("lift/height-from-a-rangefinder-that-is-off",),
        "error",
    ),
    Fault(
        "height from a rangefinder that reaches eight metres",
        ROTORS,
        positioned(altitude__source="rangefinder", rangefinder__enabled="on", craft__rangefinder_range="8 m"),
        ("sensors/rangefinder-beyond-its-reach",),
        "error",
    ),
    Fault(
        "dead zone of five microseconds",
        ROTORS,
        positioned(altitude_hold__deadband="5 us"),
        ("lift/altitude-dead-zone-size",),
        "note",
    ),
    Fault(
        "barometer open to the light",
        ALL,
        positioned(craft__barometer_shielded="no"),
        ("lift/barometer-open",),
        "warning",
    ),
    Fault(
        "position hold at thirty metres a second",
        (MULTIROTOR,),
        positioned(position_hold__max_speed="30 m/s"),
        ("position/cannot-stop-in-the-field",),
        "warning",
    ),
)
