"""Faults of arming, motors, servos and switches."""

from __future__ import annotations

from collections.abc import Mapping

from tests.setups.craft import UNSEEN_TEXT
from tests.setups.fault import (
    ALL,
    ROTORS,
    UNSET,
    WING,
    WINGS,
    Change,
    Fault,
    Texts,
    always,
    given,
    having,
    number,
    positioned,
    weighs,
)


def _more_motors(texts: Texts) -> Mapping[str, str] | None:
    return {"motor.count": str(int(number(texts, "motor.count")) + 3)}


def _first_servo(low: str, high: str) -> Change:
    def change(texts: Texts) -> Mapping[str, str] | None:
        name = next(id for id in texts if id.startswith("servo.") and id.endswith(".low") and "tilt" not in id)
        return {name: low, name.replace(".low", ".high"): high}

    return change


def _reversed_servo(texts: Texts) -> Mapping[str, str] | None:
    name = next(id for id in texts if id.startswith("servo.") and id.endswith(".reversed"))
    return {name: "on"}


ARMING = (
    Fault("arms without a fix", ALL, positioned(arming__needs_fix="off"), ("arming/without-a-fix",), "error"),
    Fault("arming checks off", ALL, always(arming__checks="none"), ("arming/checks-off",), "error"),
    Fault("some arming checks off", ALL, always(arming__checks="some"), ("arming/checks-off",), "warning"),
    Fault("arming checks unseen", ALL, always(arming__checks=UNSEEN_TEXT), ("arming/checks-off",), "warning"),
    Fault(
        "sticks arm it",
        ALL,
        given(weighs(0.25), arming__method="sticks"),
        ("arming/sticks-can-arm",),
        "warning",
    ),
    Fault(
        "arms as the pack is plugged in",
        ALL,
        always(arming__needs_switch_off_at_start="off"),
        ("arming/powers-up-armed",),
        "error",
    ),
    Fault(
        "no arm switch",
        ALL,
        always(switch__arm__channel=UNSET, switch__arm__from=UNSET, switch__arm__to=UNSET),
        ("arming/no-arm-switch",),
        "error",
    ),
    Fault(
        "nothing stops the motors",
        ROTORS,
        always(
            disarm__in_flight="refused",
            switch__kill__channel=UNSET,
            switch__kill__from=UNSET,
            switch__kill__to=UNSET,
        ),
        ("arming/nothing-stops-the-motors",),
        "warning",
    ),
    Fault(
        "arms with the throttle open",
        ROTORS,
        always(arming__needs_low_throttle="off"),
        ("arming/with-open-throttle",),
        "error",
    ),
    Fault(
        "full throttle in the hand",
        (WING,),
        having("launch.kind", launch__detection="off", launch__kind="hand", arming__needs_low_throttle="off"),
        ("launch/full-throttle-in-the-hand",),
        "error",
    ),
    Fault(
        "disarms in a throttle chop",
        ROTORS,
        always(disarm__low_throttle_time="1 s"),
        ("arming/disarms-in-a-throttle-chop",),
        "warning",
    ),
    Fault(
        "fights on after a crash",
        ROTORS,
        given(weighs(0.9), disarm__on_crash="off"),
        ("arming/fights-on-after-a-crash",),
        "warning",
    ),
    Fault(
        "throttle never counts as down",
        ALL,
        always(stick__counts_low="980 us"),
        ("arming/throttle-never-counts-as-down",),
        "error",
    ),
    Fault(
        "stick ends short of travel",
        ALL,
        always(stick__end_low="1150 us"),
        ("arming/stick-ends-off",),
        "warning",
    ),
    Fault(
        "disarms while it glides",
        (WING,),
        always(craft__glides_throttle_down="yes", disarm__low_throttle_time="5 s"),
        ("link-loss/disarms-while-gliding",),
        "warning",
    ),
    Fault(
        "a glide is taken for parked",
        (WING,),
        always(
            craft__glides_throttle_down="yes",
            link_loss__low_throttle_action="cut_motors",
            link_loss__low_throttle_time="5 s",
        ),
        ("link-loss/glide-taken-for-parked",),
        "error",
    ),
    Fault(
        "arms anew in a glide, and home moves",
        (WING,),
        positioned(craft__glides_throttle_down="yes", home__stored="at_each_arming"),
        ("arming/moves-home-in-a-glide",),
        "warning",
    ),
    Fault(
        "never disarms on the ground",
        ROTORS,
        always(disarm__low_throttle_time="0 s"),
        ("arming/never-disarms-on-the-ground",),
        "note",
    ),
    Fault(
        "refuses to arm for the throw",
        (WING,),
        having("launch.kind", launch__kind="hand", arming__tilt_limit="10 deg"),
        ("arming/refuses-on-a-throw",),
        "warning",
    ),
    Fault("arms upside down", ALL, always(arming__tilt_limit="180 deg"), ("arming/upside-down",), "note"),
    Fault(
        "motors of another craft",
        ROTORS,
        _more_motors,
        ("motors/count-is-another-crafts", "motors/count-is-another-hybrids"),
        "error",
    ),
    Fault(
        "motors stop in the air",
        ROTORS,
        always(motor__at_zero_throttle="stopped", stabilise__at_zero_throttle="off"),
        ("motors/stop-in-the-air",),
        "error",
    ),
    Fault("idle too low", ROTORS, always(motor__idle="1010 us"), ("motors/idle-too-low",), "warning"),
    Fault("idle too high", ROTORS, always(motor__idle="1250 us"), ("motors/idle-too-high",), "warning"),
    Fault(
        "pulse ends swapped",
        ALL,
        always(motor__pulse_min="2000 us", motor__pulse_max="1000 us"),
        ("motors/pulse-ends-crossed",),
        "error",
    ),
    Fault(
        "motors told too seldom",
        ROTORS,
        always(motor__protocol="pulse", motor__update_rate="50 Hz"),
        ("motors/refreshed-slowly",),
        "error",
    ),
    Fault(
        "analogue servos driven fast",
        WINGS,
        always(servo__update_rate="300 Hz", craft__servo_kind="analogue"),
        ("motors/servos-too-fast",),
        "warning",
    ),
    Fault(
        "servo ends swapped",
        WINGS,
        _first_servo("1900 us", "1100 us"),
        ("motors/servo-ends-crossed",),
        "error",
    ),
    Fault(
        "a surface reversed since it was proven",
        WINGS,
        _reversed_servo,
        ("motors/surfaces-unproven",),
        "warning",
    ),
    Fault(
        "controller turned since it was proven",
        ALL,
        always(mounting__yaw="90 deg"),
        ("motors/board-orientation-unproven",),
        "warning",
        {"mounting.yaw": "0 deg"},
    ),
    Fault(
        "another motor layout since it was proven",
        ROTORS,
        always(motor__layout="h"),
        ("motors/order-or-direction-unproven",),
        "warning",
        {"motor.layout": "cross"},
    ),
)


SWITCHES = (
    Fault(
        "always armed",
        ALL,
        always(switch__arm__from="900 us", switch__arm__to="2100 us"),
        ("switches/always-on",),
        "error",
    ),
    Fault(
        "channel that is not delivered",
        ALL,
        always(switch__level__channel="16"),
        ("switches/channel-out-of-reach",),
        "error",
    ),
    Fault(
        "empty range",
        ALL,
        always(switch__level__from="1400 us", switch__level__to="1200 us"),
        ("switches/range-empty",),
        "error",
    ),
    Fault(
        "narrow range",
        ALL,
        always(switch__level__from="1200 us", switch__level__to="1220 us"),
        ("switches/range-narrow",),
        "warning",
    ),
    Fault(
        "range that no switch reaches",
        ALL,
        always(switch__level__from="2050 us", switch__level__to="2150 us"),
        ("switches/range-out-of-travel",),
        "warning",
    ),
    Fault(
        "no levelled mode",
        ROTORS,
        always(switch__level__channel=UNSET, switch__level__from=UNSET, switch__level__to=UNSET),
        ("switches/no-levelled-mode",),
        "warning",
    ),
    Fault(
        "no way out by hand",
        WINGS,
        always(
            **{f"switch__{mode}__{end}": UNSET for mode in ("manual", "rate") for end in ("channel", "from", "to")},
        ),
        ("switches/no-way-out-by-hand",),
        "warning",
    ),
    Fault(
        "position hold and return at once",
        ROTORS,
        positioned(switch__return__channel="6", switch__return__from="1700 us", switch__return__to="2100 us"),
        ("switches/one-position-two-modes",),
        "error",
    ),
    Fault(
        "loiter and return at once",
        WINGS,
        having("switch.loiter.channel", switch__loiter__from="1700 us", switch__loiter__to="2100 us"),
        ("switches/one-position-two-modes",),
        "error",
    ),
    Fault(
        "arm on a stick",
        ALL,
        always(switch__arm__channel="3"),
        ("switches/mode-on-a-stick-channel",),
        "error",
    ),
    Fault(
        "kill where arm is",
        ROTORS,
        always(switch__kill__channel="5", switch__kill__from="1700 us", switch__kill__to="2100 us"),
        ("switches/one-position-two-modes",),
        "error",
    ),
    Fault(
        "kill one click beyond the held modes",
        ROTORS,
        positioned(switch__kill__channel="8", switch__kill__from="900 us", switch__kill__to="1300 us"),
        ("switches/kill-beyond-a-mode",),
        "warning",
    ),
    Fault(
        "a mission disarms it",
        ALL,
        positioned(
            switch__mission__channel="5",
            switch__mission__from="900 us",
            switch__mission__to="1300 us",
        ),
        ("switches/disarmed-by-a-mode",),
        "error",
    ),
    Fault(
        "position hold without altitude hold",
        ROTORS,
        positioned(
            position_hold__holds_altitude="off",
            switch__altitude_hold__channel=UNSET,
            switch__altitude_hold__from=UNSET,
            switch__altitude_hold__to=UNSET,
        ),
        ("switches/position-hold-without-altitude-hold",),
        "warning",
    ),
    Fault(
        "no switch for return",
        ALL,
        positioned(switch__return__channel=UNSET, switch__return__from=UNSET, switch__return__to=UNSET),
        ("return/no-switch",),
        "error",
    ),
    Fault("no flight log", ALL, always(log__enabled="off"), ("switches/no-flight-log",), "note"),
)
