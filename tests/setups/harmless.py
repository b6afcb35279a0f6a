"""Changes that leave a sound craft sound: whatever warning they bring is a false alarm."""

from __future__ import annotations

from typing import NamedTuple

from tests.setups.fault import (
    ALL,
    HYBRID,
    MULTIROTOR,
    ROTORS,
    WING,
    WINGS,
    Change,
    always,
    computed,
    having,
    number,
    positioned,
    scaled,
)


class Harmless(NamedTuple):
    """One change that a pilot may make on any craft of these families without a second thought."""

    name: str
    families: tuple[str, ...]
    change: Change


HARMLESS = (
    Harmless("a little heavier", ALL, scaled("craft.mass", 1.01)),
    Harmless("a little lighter", ALL, scaled("craft.mass", 0.99)),
    Harmless("no wind at all", ALL, always(site__wind="0 m/s", site__gust="0 m/s")),
    Harmless("a wider field", ALL, scaled("site.clear_radius", 3)),
    Harmless("a flat field", ALL, positioned(site__obstacle_height="0 m", site__terrain_fall="0 m")),
    Harmless(
        "a warmer day",
        ALL,
        computed("site.temperature", lambda t: number(t, "site.temperature") + 4, "degC"),
    ),
    Harmless(
        "a colder day",
        ALL,
        computed("site.temperature", lambda t: number(t, "site.temperature") - 15, "degC"),
    ),
    Harmless("two more satellites", ALL, positioned(gnss__min_satellites="9")),
    Harmless("a finer fix", ALL, positioned(gnss__max_hdop="1.4")),
    Harmless("slower fixes", ALL, positioned(gnss__rate="5 Hz")),
    Harmless(
        "warns a little earlier",
        ALL,
        computed("battery.cell_warn", lambda t: number(t, "battery.cell_warn") + 0.05, "V"),
    ),
    Harmless("a longer sag allowed", ALL, always(battery__low_delay="8 s")),
    Harmless("more charge kept back", ALL, scaled("battery.capacity_warn", 1.1)),
    Harmless("a bigger link margin", ALL, scaled("craft.link_range", 3)),
    Harmless("the receiver has more channels", ALL, always(receiver__channels="16")),
    Harmless("link loss noticed a little later", ALL, always(link_loss__reaction_time="0.7 s")),
    Harmless("a longer regain time", ALL, always(link_loss__regain_time="2 s")),
    Harmless("no log rate", ALL, always(log__rate="unset")),
    Harmless("hears wider pulses", ALL, always(receiver__valid_low="850 us", receiver__valid_high="2150 us")),
    Harmless("another dead band", ALL, always(stick__deadband="4 us")),
    Harmless("a surveyed home", ALL, positioned(home__stored="surveyed")),
    Harmless("a trim of a degree", ALL, always(trim__roll="1.5 deg", trim__pitch="1.5 deg")),
    Harmless("kill on another channel", (MULTIROTOR,), having("switch.kill.channel", switch__kill__channel="10")),
    Harmless(
        "kill needs no switch where arm stops the motors",
        ROTORS,
        always(
            disarm__in_flight="allowed",
            switch__kill__channel="unset",
            switch__kill__from="unset",
            switch__kill__to="unset",
        ),
    ),
    Harmless(
        "levelled wherever no other mode is",
        ALL,
        always(switch__level__from="900 us", switch__level__to="2100 us"),
    ),
    Harmless(
        "receiver sends nothing, and says nothing",
        ALL,
        always(receiver__loss_flag="off", receiver__loss_output="no_pulses"),
    ),
    Harmless(
        "a flagged preset that keeps it armed",
        ALL,
        always(
            receiver__loss_flag="on",
            receiver__loss_output="preset",
            receiver__loss_arm="on",
            receiver__loss_throttle="960 us",
        ),
    ),
    Harmless("lower throttle limit for link loss", ALL, always(link_loss__throttle_threshold="940 us")),
    Harmless(
        "hovers half a minute, then comes home",
        (MULTIROTOR,),
        positioned(link_loss__action="hold", link_loss__hold_time="20 s", link_loss__next_action="return"),
    ),
    Harmless(
        "loiters half a minute, then comes home",
        (WING,),
        positioned(link_loss__action="loiter", link_loss__hold_time="30 s", link_loss__next_action="return"),
    ),
    Harmless("sinks to the return height as well", ALL, positioned(return__height_rule="exact")),
    Harmless(
        "climbs on the way over flat land",
        ALL,
        positioned(return__climb="en_route", site__obstacle_height="0 m"),
    ),
    Harmless("the fence lands it", (MULTIROTOR,), positioned(fence__action="land")),
    Harmless("the fence only warns", ALL, positioned(fence__action="warn")),
    Harmless(
        "a low pack only warns, an empty one lands",
        (MULTIROTOR,),
        positioned(battery__low_action="warn", battery__critical_action="land"),
    ),
    Harmless("missions end a little nearer", ALL, scaled("mission.first_leg_limit", 0.8)),
    Harmless(
        "altitude hold about the hover throttle",
        ROTORS,
        positioned(altitude_hold__neutral="hover_throttle"),
    ),
    Harmless(
        "motors by short pulses",
        ROTORS,
        always(motor__protocol="short_pulse", motor__update_rate="2000 Hz"),
    ),
    Harmless(
        "motors by plain pulses, told often",
        ROTORS,
        always(motor__protocol="pulse", motor__update_rate="400 Hz"),
    ),
    Harmless("a derivative filter a little lower", ROTORS, scaled("derivative.lowpass_cutoff", 0.9)),
    Harmless("a transition given up after eight seconds", (HYBRID,), always(transition__timeout="8 s")),
    Harmless("softer landing", ROTORS, scaled("landing.final_rate", 0.9)),
    Harmless("slower descent", ROTORS, scaled("landing.initial_rate", 0.95)),
    Harmless("slower position hold", ROTORS, scaled("position_hold.max_speed", 0.9)),
    Harmless("brakes at a wider tolerance", ROTORS, positioned(position_hold__tolerance="4 m")),
    Harmless("nose where it was", ROTORS, positioned(return__heading="unchanged")),
    Harmless("a rotor notch as well", ROTORS, always(gyro__rotor_notch="on")),
    Harmless("idles a little faster", ROTORS, always(motor__idle="1075 us")),
    Harmless("hover throttle learned", ROTORS, always(hover__learned="on")),
    Harmless("climbs a little less steeply", WINGS, scaled("limit.pitch_up", 0.9)),
    Harmless("dives a little less steeply", WINGS, scaled("limit.pitch_down", 0.8)),
    Harmless("faster still before it breaks", WINGS, scaled("airspeed.max", 1.2)),
    Harmless("servos turned slower", WINGS, always(servo__update_rate="45 Hz")),
    Harmless(
        "digital servos at a hundred",
        WINGS,
        always(servo__update_rate="100 Hz", craft__servo_kind="digital"),
    ),
    Harmless("loiters the other way", WINGS, positioned(loiter__direction="right")),
    Harmless("passing abeam counts", WINGS, positioned(waypoint__reached_by="inside_radius_or_abeam")),
)
