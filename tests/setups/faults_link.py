"""Faults of the radio link and of what follows its loss."""

from __future__ import annotations

from collections.abc import Mapping

from tests.setups.craft import UNSEEN_TEXT
from tests.setups.fault import (
    ALL,
    MULTIROTOR,
    ROTORS,
    UNSET,
    WING,
    WINGS,
    Change,
    Fault,
    Texts,
    always,
    given,
    has_positioning,
    having,
    number,
    positioned,
    weighs,
)


def _motors_stay_on(texts: Texts) -> bool:
    """Whether a recovery of this craft ends in a landing, after which the motors must stop by themselves."""
    names = ("action", "fallback_action", "next_action", "near_home_action")
    actions = {texts.get(f"link_loss.{name}") for name in names}
    lands_at_home = texts.get("return.at_home") in ("land", "approach_and_land")
    return bool(actions & {"land", "descend", "glide"}) or ("return" in actions and lands_at_home)


def _heavy_or_positioned(texts: Texts) -> bool:
    return weighs(0.9)(texts) or (has_positioning(texts) and weighs(0.25)(texts))


def _descending(share: float) -> Change:
    def change(texts: Texts) -> Mapping[str, str] | None:
        throttle = 1000 + (number(texts, "hover.throttle") - 1000) * share
        return {"link_loss.action": "descend", "link_loss.fixed_throttle": f"{throttle:.0f} us"}

    return change


def _glide_under_power(texts: Texts) -> Mapping[str, str] | None:
    cruise = number(texts, "auto_throttle.cruise")
    return {"link_loss.action": "glide", "link_loss.fixed_throttle": f"{1000 + 0.78 * (cruise - 1000):.0f} us"}


LINK = (
    Fault(
        "nothing is done on link loss",
        ALL,
        always(link_loss__action="none"),
        ("link-loss/no-action",),
        "error",
    ),
    Fault(
        "the flight just goes on without a link",
        ALL,
        always(link_loss__action="continue"),
        ("link-loss/no-action",),
        "error",
    ),
    Fault("no link-loss action", ALL, always(link_loss__action=UNSET), ("link-loss/no-action",), "error"),
    Fault(
        "link-loss action unseen",
        ALL,
        always(link_loss__action=UNSEEN_TEXT),
        ("link-loss/no-action",),
        "warning",
    ),
    Fault(
        "rotors are to circle",
        (MULTIROTOR,),
        always(link_loss__action="circle"),
        ("link-loss/action-unfit-for-airframe",),
        "error",
    ),
    Fault(
        "a wing is to hover",
        (WING,),
        always(link_loss__action="hold"),
        ("link-loss/action-unfit-for-airframe",),
        "error",
    ),
    Fault(
        "a wing is to sink on the spot",
        (WING,),
        always(link_loss__action="descend"),
        ("link-loss/action-unfit-for-airframe",),
        "error",
    ),
    Fault(
        "return on link loss without positioning",
        ALL,
        given(lambda t: not has_positioning(t), link_loss__action="return"),
        ("link-loss/action-needs-fix",),
        "error",
    ),
    Fault(
        "no fallback without a fix",
        ALL,
        positioned(link_loss__fallback_action=UNSET),
        ("link-loss/no-fallback",),
        "warning",
    ),
    Fault(
        "the fallback needs a fix too",
        ALL,
        positioned(link_loss__fallback_action="return"),
        ("link-loss/no-fallback",),
        "warning",
    ),
    Fault(
        "receiver repeats the last sticks",
        ALL,
        always(receiver__loss_output="hold_last", receiver__loss_flag="off"),
        ("link-loss/receiver-hides-loss",),
        "error",
    ),
    Fault(
        "receiver's output on loss unseen",
        ALL,
        always(receiver__loss_output=UNSEEN_TEXT, receiver__loss_flag="off"),
        ("link-loss/receiver-hides-loss",),
        "warning",
    ),
    Fault(
        "the preset holds half throttle",
        ALL,
        always(
            receiver__loss_output="preset",
            receiver__loss_flag="off",
            receiver__loss_throttle="1500 us",
            receiver__loss_arm="on",
        ),
        ("link-loss/preset-opens-the-throttle", "link-loss/preset-not-read-as-loss"),
        "error",
    ),
    Fault(
        "the preset disarms",
        ALL,
        given(
            lambda t: t["link_loss.action"] != "cut_motors",
            receiver__loss_output="preset",
            receiver__loss_flag="on",
            receiver__loss_arm="off",
        ),
        ("link-loss/preset-disarms-in-the-air",),
        "warning",
    ),
    Fault(
        "the preset calls a landing that no switch knows",
        ALL,
        always(receiver__loss_output="preset", receiver__loss_mode="land", receiver__loss_arm="on"),
        ("link-loss/preset-calls-an-unbound-mode",),
        "error",
    ),
    Fault(
        "link loss follows a preset that is not sent",
        ALL,
        always(link_loss__action="follow_preset"),
        ("link-loss/nothing-to-follow",),
        "error",
    ),
    Fault(
        "loss threshold inside the stick's travel",
        ALL,
        always(receiver__loss_flag="off", link_loss__throttle_threshold="1000 us"),
        ("link-loss/threshold-inside-stick-travel",),
        "error",
    ),
    Fault(
        "valid pulses end where the stick does",
        ALL,
        always(
            receiver__valid_low="1000 us",
            receiver__valid_high="2000 us",
            stick__end_low="988 us",
            stick__end_high="2012 us",
        ),
        ("link-loss/full-stick-reads-as-loss",),
        "error",
    ),
    Fault(
        "link loss noticed after ten seconds",
        ALL,
        always(link_loss__reaction_time="10 s"),
        ("link-loss/detected-late",),
        "warning",
    ),
    Fault(
        "link loss noticed at once",
        ALL,
        always(link_loss__reaction_time="0.05 s", receiver__loss_delay="0.1 s"),
        ("link-loss/detected-hastily",),
        "note",
    ),
    Fault(
        "the receiver takes five seconds",
        ALL,
        always(receiver__loss_delay="5 s"),
        ("link-loss/detected-late",),
        "warning",
    ),
    Fault(
        "motors cut on link loss",
        ROTORS,
        given(_heavy_or_positioned, link_loss__action="cut_motors"),
        ("link-loss/motors-cut-in-the-air",),
        "error",
    ),
    Fault(
        "motor cut on link loss",
        (WING,),
        positioned(link_loss__action="cut_motors"),
        ("link-loss/glides-off-uncontrolled",),
        "warning",
    ),
    Fault(
        "motors cut when the pack is empty",
        ROTORS,
        given(_heavy_or_positioned, battery__critical_action="cut_motors"),
        ("link-loss/motors-cut-in-the-air",),
        "error",
    ),
    Fault(
        "emergency throttle above hover",
        ROTORS,
        _descending(1.15),
        ("link-loss/emergency-throttle-climbs",),
        "error",
    ),
    Fault(
        "emergency throttle far below hover",
        ROTORS,
        _descending(0.45),
        ("link-loss/descent-drops",),
        "error",
    ),
    Fault(
        "emergency descent of ten seconds",
        ROTORS,
        positioned(link_loss__descent_time_limit="10 s"),
        ("link-loss/descent-runs-out-of-time",),
        "error",
    ),
    Fault(
        "glide at three quarters of cruise power",
        (WING,),
        _glide_under_power,
        ("link-loss/glide-under-power",),
        "error",
    ),
    Fault(
        "motors go on after the landing",
        ALL,
        given(_motors_stay_on, landing__auto_disarm="off"),
        ("link-loss/stays-armed-after-landing",),
        "warning",
    ),
    Fault(
        "disarming after landing unseen",
        ALL,
        given(_motors_stay_on, landing__auto_disarm=UNSEEN_TEXT),
        ("link-loss/stays-armed-after-landing",),
        "warning",
    ),
    Fault(
        "motors go on for a minute",
        ALL,
        having("landing.auto_disarm", landing__disarm_delay="60 s"),
        ("link-loss/disarms-late",),
        "warning",
    ),
    Fault(
        "takes off when the transmitter is switched off",
        ALL,
        positioned(link_loss__near_home_action=UNSET, link_loss__low_throttle_action="return"),
        ("link-loss/takes-off-when-lost-on-the-ground",),
        "error",
    ),
    Fault(
        "nothing keeps it down on the ground",
        ALL,
        positioned(link_loss__near_home_action=UNSET, link_loss__low_throttle_action=UNSET),
        ("link-loss/takes-off-when-lost-on-the-ground",),
        "warning",
    ),
    Fault(
        "nothing is done near home",
        ALL,
        positioned(link_loss__near_home_action="none"),
        ("link-loss/nothing-near-home",),
        "warning",
    ),
    Fault(
        "a mission flies on, and no fence ends it",
        ALL,
        positioned(link_loss__mission_action="continue", fence__radius="0 m"),
        ("link-loss/mission-flies-on",),
        "error",
    ),
    Fault(
        "sticks count at once after a link loss",
        ROTORS,
        given(weighs(0.25), link_loss__hand_back="at_once"),
        ("link-loss/falls-when-link-returns",),
        "note",
    ),
    Fault(
        "the radio reaches only a hundred metres",
        ALL,
        having("fence.radius", craft__link_range="0.09 km"),
        ("link-loss/fence-beyond-the-link",),
        "warning",
    ),
    Fault(
        "hovers half a minute, then nothing",
        (MULTIROTOR,),
        positioned(link_loss__action="hold", link_loss__hold_time="30 s", link_loss__next_action=UNSET),
        ("link-loss/nothing-follows-the-wait",),
        "error",
    ),
    Fault(
        "circles half a minute, then nothing",
        WINGS,
        positioned(link_loss__action="loiter", link_loss__hold_time="30 s", link_loss__next_action=UNSET),
        ("link-loss/nothing-follows-the-wait",),
        "error",
    ),
    Fault(
        "a gap in the link drops it",
        ROTORS,
        given(
            weighs(0.25),
            link_loss__action="cut_motors",
            link_loss__reaction_time="0.05 s",
            receiver__loss_delay="0.1 s",
        ),
        ("link-loss/hiccup-drops-it",),
        "warning",
    ),
    Fault(
        "sticks believed after a tenth of a second",
        ALL,
        always(link_loss__regain_time="0.1 s"),
        ("link-loss/sticks-believed-too-soon",),
        "note",
    ),
    Fault(
        "motors stop as it touches",
        ALL,
        having("landing.auto_disarm", landing__disarm_delay="0.1 s"),
        ("link-loss/disarms-early",),
        "note",
    ),
    Fault(
        "hovers an hour before it comes home",
        (MULTIROTOR,),
        positioned(
            link_loss__action="hold",
            link_loss__hold_time="3600 s",
            link_loss__next_action="return",
            battery__low_action="warn",
        ),
        ("link-loss/wait-uses-up-the-way-home",),
        "warning",
    ),
    Fault(
        "hovers for ever over an empty pack",
        (MULTIROTOR,),
        positioned(link_loss__action="hold", link_loss__hold_time="0 s", battery__critical_action="warn"),
        ("battery/waits-until-empty",),
        "error",
    ),
)
