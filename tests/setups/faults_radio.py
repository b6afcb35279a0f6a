"""Faults of the radio link, of what follows its loss, of arming, motors and switches."""

from __future__ import annotations

from collections.abc import Mapping

from tests.setups.craft import UNSEEN_TEXT
from tests.setups.fault import (
    ALL, HYBRID, MULTIROTOR, ROTORS, UNSET, WING, WINGS, Fault, Texts, always, computed, given, has_positioning, having,
    is_set, number, positioned, weighs,
)


def _motors_stay_on(texts: Texts) -> bool:
    """Whether a recovery of this craft ends in a landing, after which the motors must stop by themselves."""
    landing = ("land", "descend", "glide")
    by_action = any(texts.get(f"link_loss.{name}") in landing for name in ("action", "fallback_action", "next_action", "near_home_action"))
    return by_action or (texts.get("link_loss.action") == "return" and texts.get("return.at_home") in ("land", "approach_and_land"))


def _heavy_or_positioned(texts: Texts) -> bool:
    return weighs(0.9)(texts) or (has_positioning(texts) and weighs(0.25)(texts))


def _descending(pulse_over_hover: float) -> object:
    def change(texts: Texts) -> Mapping[str, str] | None:
        throttle = 1000 + (number(texts, "hover.throttle") - 1000) * pulse_over_hover
        return {"link_loss.action": "descend", "link_loss.fixed_throttle": f"{throttle:.0f} us"}

    return change


def _glide_under_power(texts: Texts) -> Mapping[str, str] | None:
    cruise = number(texts, "auto_throttle.cruise")
    return {"link_loss.action": "glide", "link_loss.fixed_throttle": f"{1000 + 0.78 * (cruise - 1000):.0f} us"}


def _takes(**texts: str) -> object:
    return always(**texts)


LINK = (
    Fault("nothing is done on link loss", ALL, always(link_loss__action="none"), ("link-loss/no-action",), "error"),
    Fault("the flight just goes on without a link", ALL, always(link_loss__action="continue"), ("link-loss/no-action",), "error"),
    Fault("no link-loss action", ALL, always(link_loss__action=UNSET), ("link-loss/no-action",), "error"),
    Fault("link-loss action unseen", ALL, always(link_loss__action=UNSEEN_TEXT), ("link-loss/no-action",), "warning"),
    Fault("rotors are to circle", (MULTIROTOR,), always(link_loss__action="circle"), ("link-loss/action-unfit-for-airframe",), "error"),
    Fault("a wing is to hover", (WING,), always(link_loss__action="hold"), ("link-loss/action-unfit-for-airframe",), "error"),
    Fault("a wing is to sink on the spot", (WING,), always(link_loss__action="descend"), ("link-loss/action-unfit-for-airframe",), "error"),
    Fault(
        "return on link loss without positioning", ALL,
        given(lambda t: not has_positioning(t), link_loss__action="return"), ("link-loss/action-needs-fix",), "error",
    ),
    Fault("no fallback without a fix", ALL, positioned(link_loss__fallback_action=UNSET), ("link-loss/no-fallback",), "warning"),
    Fault("the fallback needs a fix too", ALL, positioned(link_loss__fallback_action="return"), ("link-loss/no-fallback",), "warning"),
    Fault(
        "receiver repeats the last sticks", ALL, always(receiver__loss_output="hold_last", receiver__loss_flag="off"),
        ("link-loss/receiver-hides-loss",), "error",
    ),
    Fault(
        "receiver's output on loss unseen", ALL, always(receiver__loss_output=UNSEEN_TEXT, receiver__loss_flag="off"),
        ("link-loss/receiver-hides-loss",), "warning",
    ),
    Fault(
        "the preset holds half throttle", ALL,
        always(receiver__loss_output="preset", receiver__loss_flag="off", receiver__loss_throttle="1500 us", receiver__loss_arm="on"),
        ("link-loss/preset-opens-the-throttle", "link-loss/preset-not-read-as-loss"), "error",
    ),
    Fault(
        "the preset disarms", ALL,
        given(
            lambda t: t["link_loss.action"] != "cut_motors",
            receiver__loss_output="preset", receiver__loss_flag="on", receiver__loss_arm="off",
        ),
        ("link-loss/preset-disarms-in-the-air",), "warning",
    ),
    Fault(
        "the preset calls a landing that no switch knows", ALL,
        always(receiver__loss_output="preset", receiver__loss_mode="land", receiver__loss_arm="on"),
        ("link-loss/preset-calls-an-unbound-mode",), "error",
    ),
    Fault("link loss follows a preset that is not sent", ALL, always(link_loss__action="follow_preset"), ("link-loss/nothing-to-follow",), "error"),
    Fault(
        "loss threshold inside the stick's travel", ALL, always(receiver__loss_flag="off", link_loss__throttle_threshold="1000 us"),
        ("link-loss/threshold-inside-stick-travel",), "error",
    ),
    Fault(
        "valid pulses end where the stick does", ALL,
        always(receiver__valid_low="1000 us", receiver__valid_high="2000 us", stick__end_low="988 us", stick__end_high="2012 us"),
        ("link-loss/full-stick-reads-as-loss",), "error",
    ),
    Fault("link loss noticed after ten seconds", ALL, always(link_loss__reaction_time="10 s"), ("link-loss/detected-late",), "warning"),
    Fault(
        "link loss noticed at once", ALL, always(link_loss__reaction_time="0.05 s", receiver__loss_delay="0.1 s"),
        ("link-loss/detected-hastily",), "note",
    ),
    Fault("the receiver takes five seconds", ALL, always(receiver__loss_delay="5 s"), ("link-loss/detected-late",), "warning"),
    Fault(
        "motors cut on link loss", ROTORS, given(_heavy_or_positioned, link_loss__action="cut_motors"),
        ("link-loss/motors-cut-in-the-air",), "error",
    ),
    Fault("motor cut on link loss", (WING,), positioned(link_loss__action="cut_motors"), ("link-loss/glides-off-uncontrolled",), "warning"),
    Fault(
        "motors cut when the pack is empty", ROTORS, given(_heavy_or_positioned, battery__critical_action="cut_motors"),
        ("link-loss/motors-cut-in-the-air",), "error",
    ),
    Fault("emergency throttle above hover", ROTORS, _descending(1.15), ("link-loss/emergency-throttle-climbs",), "error"),
    Fault("emergency throttle far below hover", ROTORS, _descending(0.45), ("link-loss/descent-drops",), "error"),
    Fault(
        "emergency descent of ten seconds", ROTORS, positioned(link_loss__descent_time_limit="10 s"),
        ("link-loss/descent-runs-out-of-time",), "error",
    ),
    Fault("glide at three quarters of cruise power", (WING,), _glide_under_power, ("link-loss/glide-under-power",), "error"),
    Fault("motors go on after the landing", ALL, given(_motors_stay_on, landing__auto_disarm="off"), ("link-loss/stays-armed-after-landing",), "warning"),
    Fault(
        "disarming after landing unseen", ALL, given(_motors_stay_on, landing__auto_disarm=UNSEEN_TEXT),
        ("link-loss/stays-armed-after-landing",), "warning",
    ),
    Fault("motors go on for a minute", ALL, having("landing.auto_disarm", landing__disarm_delay="60 s"), ("link-loss/disarms-late",), "warning"),
    Fault(
        "takes off when the transmitter is switched off", ALL,
        positioned(link_loss__near_home_action=UNSET, link_loss__low_throttle_action="return"),
        ("link-loss/takes-off-when-lost-on-the-ground",), "error",
    ),
    Fault(
        "nothing keeps it down on the ground", ALL, positioned(link_loss__near_home_action=UNSET, link_loss__low_throttle_action=UNSET),
        ("link-loss/takes-off-when-lost-on-the-ground",), "warning",
    ),
    Fault("nothing is done near home", ALL, positioned(link_loss__near_home_action="none"), ("link-loss/nothing-near-home",), "warning"),
    Fault(
        "a mission flies on, and no fence ends it", ALL, positioned(link_loss__mission_action="continue", fence__radius="0 m"),
        ("link-loss/mission-flies-on",), "error",
    ),
    Fault("sticks count at once after a link loss", ROTORS, given(weighs(0.25), link_loss__hand_back="at_once"), ("link-loss/falls-when-link-returns",), "note"),
    Fault("the radio reaches only a hundred metres", ALL, having("fence.radius", craft__link_range="0.09 km"), ("link-loss/fence-beyond-the-link",), "warning"),
    Fault(
        "hovers half a minute, then nothing", (MULTIROTOR,),
        positioned(link_loss__action="hold", link_loss__hold_time="30 s", link_loss__next_action=UNSET), ("link-loss/nothing-follows-the-wait",), "error",
    ),
    Fault(
        "circles half a minute, then nothing", WINGS,
        positioned(link_loss__action="loiter", link_loss__hold_time="30 s", link_loss__next_action=UNSET), ("link-loss/nothing-follows-the-wait",), "error",
    ),
    Fault(
        "hovers for ever over an empty pack", (MULTIROTOR,),
        positioned(link_loss__action="hold", link_loss__hold_time="0 s", battery__critical_action="warn"), ("battery/waits-until-empty",), "error",
    ),
)


def _more_motors(texts: Texts) -> Mapping[str, str] | None:
    return {"motor.count": str(int(number(texts, "motor.count")) + 3)}


def _first_servo(low: str, high: str) -> object:
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
    Fault("sticks arm it", ALL, given(weighs(0.25), arming__method="sticks"), ("arming/sticks-can-arm",), "warning"),
    Fault("arms as the pack is plugged in", ALL, always(arming__needs_switch_off_at_start="off"), ("arming/powers-up-armed",), "error"),
    Fault(
        "no arm switch", ALL, always(switch__arm__channel=UNSET, switch__arm__from=UNSET, switch__arm__to=UNSET),
        ("arming/no-arm-switch",), "error",
    ),
    Fault(
        "nothing stops the motors", ROTORS,
        always(disarm__in_flight="refused", switch__kill__channel=UNSET, switch__kill__from=UNSET, switch__kill__to=UNSET),
        ("arming/nothing-stops-the-motors",), "warning",
    ),
    Fault("arms with the throttle open", ROTORS, always(arming__needs_low_throttle="off"), ("arming/with-open-throttle",), "error"),
    Fault(
        "full throttle in the hand", (WING,),
        having("launch.kind", launch__detection="off", launch__kind="hand", arming__needs_low_throttle="off"),
        ("launch/full-throttle-in-the-hand",), "error",
    ),
    Fault("disarms in a throttle chop", ROTORS, always(disarm__low_throttle_time="1 s"), ("arming/disarms-in-a-throttle-chop",), "warning"),
    Fault("fights on after a crash", ROTORS, given(weighs(0.9), disarm__on_crash="off"), ("arming/fights-on-after-a-crash",), "warning"),
    Fault("throttle never counts as down", ALL, always(stick__counts_low="980 us"), ("arming/throttle-never-counts-as-down",), "error"),
    Fault("stick ends short of travel", ALL, always(stick__end_low="1150 us"), ("arming/stick-ends-off",), "warning"),
    Fault(
        "disarms while it glides", (WING,), always(craft__glides_throttle_down="yes", disarm__low_throttle_time="5 s"),
        ("link-loss/disarms-while-gliding",), "warning",
    ),
    Fault(
        "a glide is taken for parked", (WING,),
        always(craft__glides_throttle_down="yes", link_loss__low_throttle_action="cut_motors", link_loss__low_throttle_time="5 s"),
        ("link-loss/glide-taken-for-parked",), "error",
    ),
    Fault("motors of another craft", ROTORS, _more_motors, ("motors/count-is-another-crafts", "motors/count-is-another-hybrids"), "error"),
    Fault(
        "motors stop in the air", ROTORS, always(motor__at_zero_throttle="stopped", stabilise__at_zero_throttle="off"),
        ("motors/stop-in-the-air",), "error",
    ),
    Fault("idle too low", ROTORS, always(motor__idle="1010 us"), ("motors/idle-too-low",), "warning"),
    Fault("idle too high", ROTORS, always(motor__idle="1250 us"), ("motors/idle-too-high",), "warning"),
    Fault("pulse ends swapped", ALL, always(motor__pulse_min="2000 us", motor__pulse_max="1000 us"), ("motors/pulse-ends-crossed",), "error"),
    Fault("motors told too seldom", ROTORS, always(motor__protocol="pulse", motor__update_rate="50 Hz"), ("motors/refreshed-slowly",), "error"),
    Fault("analogue servos driven fast", WINGS, always(servo__update_rate="300 Hz", craft__servo_kind="analogue"), ("motors/servos-too-fast",), "warning"),
    Fault("servo ends swapped", WINGS, _first_servo("1900 us", "1100 us"), ("motors/servo-ends-crossed",), "error"),
    Fault("a surface reversed since it was proven", WINGS, _reversed_servo, ("motors/surfaces-unproven",), "warning"),
    Fault(
        "controller turned since it was proven", ALL, always(mounting__yaw="90 deg"), ("motors/board-orientation-unproven",), "warning",
        {"mounting.yaw": "0 deg"},
    ),
    Fault(
        "another motor layout since it was proven", ROTORS, always(motor__layout="h"), ("motors/order-or-direction-unproven",), "warning",
        {"motor.layout": "cross"},
    ),
)


SWITCHES = (
    Fault("always armed", ALL, always(switch__arm__from="900 us", switch__arm__to="2100 us"), ("switches/always-on",), "error"),
    Fault("channel that is not delivered", ALL, always(switch__level__channel="16"), ("switches/channel-out-of-reach",), "error"),
    Fault("empty range", ALL, always(switch__level__from="1400 us", switch__level__to="1200 us"), ("switches/range-empty",), "error"),
    Fault("narrow range", ALL, always(switch__level__from="1200 us", switch__level__to="1220 us"), ("switches/range-narrow",), "warning"),
    Fault("range that no switch reaches", ALL, always(switch__level__from="2050 us", switch__level__to="2150 us"), ("switches/range-out-of-travel",), "warning"),
    Fault(
        "no levelled mode", ROTORS, always(switch__level__channel=UNSET, switch__level__from=UNSET, switch__level__to=UNSET),
        ("switches/no-levelled-mode",), "warning",
    ),
    Fault(
        "no way out by hand", WINGS,
        always(**{f"switch__{mode}__{end}": UNSET for mode in ("manual", "rate") for end in ("channel", "from", "to")}),
        ("switches/no-way-out-by-hand",), "warning",
    ),
    Fault(
        "position hold and return at once", ROTORS,
        positioned(switch__return__channel="6", switch__return__from="1700 us", switch__return__to="2100 us"),
        ("switches/one-position-two-modes",), "error",
    ),
    Fault(
        "loiter and return at once", WINGS,
        having("switch.loiter.channel", switch__loiter__from="1700 us", switch__loiter__to="2100 us"), ("switches/one-position-two-modes",), "error",
    ),
    Fault("arm on a stick", ALL, always(switch__arm__channel="3"), ("switches/mode-on-a-stick-channel",), "error"),
    Fault(
        "kill where arm is", ROTORS, always(switch__kill__channel="5", switch__kill__from="1700 us", switch__kill__to="2100 us"),
        ("switches/one-position-two-modes",), "error",
    ),
    Fault(
        "kill one click beyond the held modes", ROTORS,
        positioned(switch__kill__channel="8", switch__kill__from="900 us", switch__kill__to="1300 us"),
        ("switches/kill-beyond-a-mode",), "warning",
    ),
    Fault(
        "a mission disarms it", ALL, positioned(switch__mission__channel="5", switch__mission__from="900 us", switch__mission__to="1300 us"),
        ("switches/disarmed-by-a-mode",), "error",
    ),
    Fault(
        "position hold without altitude hold", ROTORS,
        positioned(
            position_hold__holds_altitude="off", switch__altitude_hold__channel=UNSET, switch__altitude_hold__from=UNSET,
            switch__altitude_hold__to=UNSET,
        ),
        ("switches/position-hold-without-altitude-hold",), "warning",
    ),
    Fault(
        "no switch for return", ALL, positioned(switch__return__channel=UNSET, switch__return__from=UNSET, switch__return__to=UNSET),
        ("return/no-switch",), "error",
    ),
    Fault("no flight log", ALL, always(log__enabled="off"), ("switches/no-flight-log",), "note"),
)
