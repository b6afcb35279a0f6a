"""Faults of the way home, the landing and the fence, and of the site they meet."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tests.setups.craft import UNSEEN_TEXT
from tests.setups.fault import (
    ALL,
    MULTIROTOR,
    ROTORS,
    UNSET,
    WING,
    WINGS,
    Fault,
    Texts,
    computed,
    given,
    has_positioning,
    having,
    is_set,
    number,
    positioned,
    scaled,
    weighs,
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
    Fault(
        "return height in centimetres",
        ALL,
        computed("return.altitude", lambda t: min(1000, 100 * _return_height(t)), "m"),
        ("return/above-height-limit",),
        "error",
    ),
    Fault(
        "return height in hundreds of metres",
        ALL,
        scaled("return.altitude", 0.01),
        ("return/below-obstacles", "return/too-low-to-be-safe"),
        "warning",
    ),
    Fault(
        "return height in feet",
        ALL,
        scaled("return.altitude", 3.2808, lambda t: _over_the_limit(3.2808)(t)),
        ("return/above-height-limit",),
        "error",
    ),
    Fault(
        "return height just over the trees",
        ALL,
        computed("return.altitude", _under_the_obstacles, "m"),
        ("return/below-obstacles",),
        "error",
    ),
    Fault(
        "a tower of a hundred metres",
        ALL,
        positioned(site__obstacle_height="100 m"),
        ("return/below-obstacles",),
        "error",
    ),
    Fault(
        "heights counted from sea level",
        ALL,
        given(
            lambda t: is_set(t, "return.altitude") and _sea_level_too_low(t),
            altitude__reference="above_sea_level",
        ),
        ("return/height-from-the-wrong-zero",),
        "error",
    ),
    Fault(
        "return at the fence's ceiling",
        ALL,
        computed("return.altitude", lambda t: number(t, "fence.ceiling"), "m"),
        ("return/hits-the-ceiling",),
        "error",
    ),
    Fault(
        "fence ceiling below the way home",
        ALL,
        computed("fence.ceiling", lambda t: _return_height(t) - 5, "m"),
        ("return/hits-the-ceiling",),
        "error",
    ),
    Fault(
        "comes home at any height",
        ALL,
        positioned(return__height_rule="keep"),
        ("return/comes-home-at-any-height",),
        "warning",
    ),
    Fault(
        "climbs only at home",
        ALL,
        positioned(return__climb="at_home"),
        ("return/comes-home-at-any-height",),
        "warning",
    ),
    Fault(
        "a gale",
        ALL,
        positioned(site__wind="22 m/s", site__gust="26 m/s"),
        (
            "return/rotors-cannot-beat-the-wind-home",
            "return/wing-cannot-beat-the-wind-home",
            "return/rotors-cannot-hold-their-place",
        ),
        "error",
    ),
    Fault(
        "tilt limit in tens of degrees",
        ROTORS,
        scaled("position_hold.max_tilt", 0.1, _windy(4)),
        ("return/rotors-cannot-beat-the-wind-home", "return/rotors-cannot-hold-their-place"),
        "error",
    ),
    Fault(
        "a multirotor's return speed on a wing",
        WINGS,
        having("return.speed", return__speed="6 m/s"),
        ("wing/too-slow",),
        "error",
    ),
    Fault(
        "hardly any charge left for the way home",
        ALL,
        having(
            "battery.capacity_warn",
            battery__capacity_warn="0.02 Ah",
            **{"battery.capacity_critical": "0.01 Ah"},
        ),
        ("return/not-enough-charge-to-get-home",),
        "error",
    ),
    Fault(
        "lands hard",
        ROTORS,
        having("landing.final_rate", landing__final_rate="3.5 m/s"),
        ("landing/touches-down-hard",),
        "error",
    ),
    Fault(
        "landing rate of tenths taken for whole metres",
        ROTORS,
        scaled("landing.final_rate", 10, lambda t: number(t, "landing.final_rate") <= 1),
        ("landing/touches-down-hard",),
        "error",
    ),
    Fault(
        "sinks into its own wake",
        ROTORS,
        having("landing.initial_rate", landing__initial_rate="7 m/s"),
        ("landing/descends-into-its-own-wake",),
        "warning",
    ),
    Fault(
        "slows down at one metre",
        ROTORS,
        having("landing.final_below", landing__final_below="1 m"),
        ("landing/slows-too-late",),
        "warning",
    ),
    Fault(
        "return refused within 300 m",
        ALL,
        positioned(return__least_distance="300 m"),
        ("return/refused-close-in", "fence/return-refused-at-the-fence"),
        "warning",
    ),
    Fault(
        "nothing ends a return that flies away",
        (MULTIROTOR,),
        positioned(return__fly_away_limit="0 m"),
        ("return/flies-away-unchecked",),
        "warning",
    ),
    Fault(
        "gives up a return after eight metres",
        ALL,
        positioned(return__fly_away_limit="8 m"),
        ("return/gives-up-in-its-own-turn", "return/gives-up-while-it-stops"),
        "warning",
    ),
    Fault(
        "home moves with each arming",
        ALL,
        positioned(home__stored="at_each_arming"),
        ("return/home-moves-with-each-arming", "fence/moves-with-home"),
        "note",
    ),
    Fault(
        "lands too softly to be noticed",
        ROTORS,
        having("landing.final_rate", landing__final_rate="0.1 m/s", landing__disarm_delay="1 s"),
        ("landing/slower-than-it-can-notice-the-ground",),
        "warning",
    ),
    Fault(
        "a wing lands over home",
        (WING,),
        positioned(return__at_home="land"),
        ("return/lands-where-it-has-no-runway",),
        "warning",
    ),
    Fault(
        "the ground falls away",
        ALL,
        positioned(site__terrain_fall="110 m"),
        ("return/above-the-limit-over-falling-ground",),
        "warning",
    ),
)


def _floor_at_return_height(texts: Texts) -> Mapping[str, str] | None:
    return {"fence.floor": texts["return.altitude"]} if is_set(texts, "return.altitude") else None


FENCE = (
    Fault(
        "people at the fence",
        ALL,
        computed(
            "site.clear_radius",
            lambda t: number(t, "fence.radius") if is_set(t, "fence.radius") else None,
            "m",
        ),
        ("fence/no-room-to-stop", "fence/no-room-to-turn"),
        "error",
    ),
    Fault(
        "no fence at all",
        ALL,
        given(lambda t: has_positioning(t) and weighs(0.25)(t), fence__radius=UNSET, fence__ceiling=UNSET),
        ("fence/no-fence",),
        "warning",
    ),
    Fault(
        "a fence that does nothing",
        ALL,
        given(lambda t: has_positioning(t) and weighs(0.25)(t), fence__action="none"),
        ("fence/does-nothing",),
        "warning",
    ),
    Fault(
        "fence action unseen",
        ALL,
        given(lambda t: has_positioning(t) and weighs(0.25)(t), fence__action=UNSEEN_TEXT),
        ("fence/does-nothing",),
        "warning",
    ),
    Fault(
        "the fence cuts the motors",
        ROTORS,
        given(lambda t: has_positioning(t) and weighs(0.25)(t), fence__action="cut_motors"),
        ("fence/cuts-the-motors",),
        "error",
    ),
    Fault(
        "a multirotor's fence on a wing",
        WINGS,
        positioned(fence__radius="50 m"),
        ("fence/too-small-to-turn-in",),
        "error",
    ),
    Fault(
        "a wing's fence on a multirotor",
        (MULTIROTOR,),
        positioned(fence__radius="500 m"),
        ("fence/no-room-to-stop",),
        "error",
    ),
    Fault(
        "a fence beyond sight",
        WINGS,
        positioned(fence__radius="5000 m"),
        ("fence/wing-beyond-sight",),
        "warning",
    ),
    Fault(
        "a ceiling of the held modes above the limit",
        ALL,
        positioned(altitude__ceiling="400 m"),
        ("lift/ceiling-above-limit",),
        "warning",
    ),
    Fault(
        "fence ceiling in feet",
        ALL,
        scaled("fence.ceiling", 3.2808),
        ("fence/ceiling-above-the-limit",),
        "warning",
    ),
    Fault("fence floor at the way home", ALL, _floor_at_return_height, ("fence/floor-in-the-way",), "error"),
    Fault(
        "positioning switched off",
        ALL,
        positioned(gnss__enabled="off"),
        ("fence/without-a-fix", "sensors/navigation-without-positioning"),
        "error",
    ),
    Fault(
        "no receiver for satellites on board",
        ALL,
        positioned(craft__position_fix="no"),
        ("fence/without-a-fix", "sensors/navigation-without-positioning"),
        "error",
    ),
    Fault(
        "missions may begin two kilometres out",
        ALL,
        positioned(mission__first_leg_limit="2000 m"),
        ("position/first-leg-too-far",),
        "warning",
    ),
)
