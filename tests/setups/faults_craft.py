"""Faults of the pack, the sensors, the filters and the gains."""

from __future__ import annotations

from tests.setups.fault import (
    ALL,
    HYBRID,
    MULTIROTOR,
    ROTORS,
    UNSET,
    WING,
    WINGS,
    Change,
    Fault,
    Texts,
    always,
    computed,
    given,
    has_positioning,
    having,
    number,
    positioned,
    scaled,
    swapped,
)

ACTS = ("none", "warn", UNSET)


def _acts_on_voltage(texts: Texts) -> bool:
    return texts["battery.low_action"] not in ACTS


def _of_lithium_polymer(texts: Texts) -> bool:
    return texts["craft.battery_chemistry"] in ("lipo", "lihv")


def _many_cells(texts: Texts) -> bool:
    return number(texts, "craft.battery_cells") >= 5


BATTERY = (
    Fault(
        "voltages swapped",
        ALL,
        swapped("battery.cell_warn", "battery.cell_critical"),
        ("battery/thresholds-out-of-order",),
        "error",
    ),
    Fault(
        "charges swapped",
        ALL,
        swapped("battery.capacity_warn", "battery.capacity_critical"),
        ("battery/thresholds-out-of-order",),
        "error",
    ),
    Fault(
        "another pack's cells",
        ALL,
        computed("battery.cells", lambda t: number(t, "battery.cells") + 1, ""),
        ("battery/cells-of-another-pack",),
        "error",
    ),
    Fault(
        "flown with a cell less",
        ALL,
        computed("craft.battery_cells", lambda t: number(t, "craft.battery_cells") - 1, ""),
        ("battery/cells-of-another-pack",),
        "error",
    ),
    Fault(
        "cells counted at power-up",
        ALL,
        given(_many_cells, battery__cells="0"),
        ("battery/cells-counted-one-short",),
        "warning",
    ),
    Fault(
        "flown on iron phosphate",
        ALL,
        always(craft__battery_chemistry="lifepo4"),
        ("battery/full-voltage-of-other-cells",),
        "error",
    ),
    Fault(
        "lithium-ion thresholds on lithium polymer",
        ALL,
        given(_of_lithium_polymer, battery__cell_warn="3.1 V", battery__cell_critical="2.7 V"),
        ("battery/stops-too-late", "battery/wing-stops-too-late"),
        "error",
    ),
    Fault(
        "critical voltage of a dead cell",
        ALL,
        always(battery__cell_critical="2.3 V"),
        ("battery/stops-too-late", "battery/wing-stops-too-late"),
        "error",
    ),
    Fault(
        "warns with a full pack",
        ALL,
        always(battery__cell_warn="4.0 V"),
        ("battery/warns-from-the-start",),
        "warning",
    ),
    Fault(
        "warning voltage far too low",
        ALL,
        always(battery__cell_warn="2.95 V", battery__cell_critical="2.6 V"),
        ("battery/warns-too-late", "battery/wing-warns-too-late"),
        "warning",
    ),
    Fault(
        "nothing at critical",
        ALL,
        always(battery__critical_action="none"),
        ("battery/nothing-at-critical",),
        "warning",
    ),
    Fault(
        "a sag brings it home",
        ALL,
        given(_acts_on_voltage, battery__low_delay="0 s"),
        ("battery/a-sag-lands-it",),
        "warning",
    ),
    Fault(
        "home on the last drops",
        ALL,
        positioned(battery__low_action="warn", battery__critical_action="return"),
        ("battery/home-on-the-last-drops",),
        "warning",
    ),
    Fault(
        "takes off again from its landing",
        (MULTIROTOR, WING),
        positioned(battery__low_action="land", battery__critical_action="return"),
        ("battery/critical-undoes-the-landing",),
        "warning",
    ),
    Fault(
        "twice the pack's charge",
        ALL,
        computed("battery.capacity", lambda t: 2 * number(t, "craft.battery_capacity"), "Ah"),
        ("battery/capacity-of-another-pack",),
        "error",
    ),
    Fault(
        "flown with half the pack",
        ALL,
        scaled("craft.battery_capacity", 0.5, lambda t: "battery.capacity" in t),
        ("battery/capacity-of-another-pack",),
        "error",
    ),
    Fault(
        "charge thresholds without a charge",
        ALL,
        having("battery.capacity_warn", battery__capacity="0 Ah"),
        ("battery/capacity-missing",),
        "error",
    ),
    Fault(
        "actions that nothing starts",
        ALL,
        always(battery__cell_warn=UNSET, battery__cell_critical=UNSET, current__enabled="off"),
        ("battery/action-never-started",),
        "error",
    ),
    Fault(
        "a wing lands wherever it is when low",
        (WING,),
        always(battery__low_action="land"),
        ("battery/lands-wherever-it-is",),
        "warning",
    ),
    Fault(
        "current sensor left as delivered",
        ALL,
        having("current.scale", current__scale="40"),
        ("battery/sensor-scales-never-set",),
        "warning",
        {"current.scale": "40"},
    ),
    Fault(
        "a reserve too small to land on",
        (MULTIROTOR,),
        given(lambda t: t["battery.critical_action"] == "land", **{"battery.capacity_critical": "0.02 Ah"}),
        ("battery/reserve-shorter-than-the-landing",),
        "error",
    ),
    Fault(
        "a reserve too small to hover down",
        (HYBRID,),
        always(**{"battery.capacity_critical": "0.1 Ah"}),
        ("transition/hovers-home-on-a-cruise-reserve",),
        "error",
    ),
    Fault(
        "a cold day",
        ALL,
        given(lambda t: number(t, "site.temperature") >= 10, site__temperature="-5 degC"),
        ("battery/pack-too-cold",),
        "note",
    ),
)


def _has_place(texts: Texts) -> bool:
    return has_positioning(texts) and "site.latitude" in texts


def _offsets(text: str) -> Change:
    return positioned(compass__offset_x=text, compass__offset_y=text, compass__offset_z=text)


SENSORS = (
    Fault("compass off", ROTORS, positioned(compass__enabled="off"), ("position/no-compass",), "error"),
    Fault(
        "four satellites will do",
        ALL,
        positioned(gnss__min_satellites="4"),
        ("sensors/too-few-satellites",),
        "error",
    ),
    Fault(
        "any geometry will do",
        ALL,
        positioned(gnss__max_hdop="9"),
        ("sensors/poor-geometry-accepted",),
        "error",
    ),
    Fault(
        "nothing planned for a lost fix",
        ALL,
        positioned(fix_loss__action="none"),
        ("sensors/lost-fix-unplanned",),
        "warning",
    ),
    Fault(
        "a lost fix answered by a return",
        ALL,
        positioned(fix_loss__action="return"),
        ("sensors/lost-fix-answered-by-a-fix",),
        "error",
    ),
    Fault(
        "a lost fix answered after half a minute",
        ALL,
        positioned(fix_loss__delay="30 s"),
        ("sensors/lost-fix-answered-late",),
        "warning",
    ),
    Fault(
        "compass never calibrated",
        ROTORS,
        _offsets("0 uT"),
        ("sensors/compass-never-calibrated",),
        "error",
    ),
    Fault(
        "compass never calibrated on a wing",
        (WING,),
        _offsets("0 uT"),
        ("sensors/compass-never-calibrated",),
        "note",
    ),
    Fault(
        "compass on a magnet",
        ROTORS,
        positioned(compass__offset_y="160 uT"),
        ("sensors/compass-in-a-strong-field",),
        "error",
    ),
    Fault(
        "compass inside",
        ALL,
        positioned(compass__location="internal"),
        ("sensors/compass-inside-the-power-wiring",),
        "warning",
    ),
    Fault(
        "compass turned since it was proven",
        ROTORS,
        positioned(compass__orientation="nose right"),
        ("sensors/compass-orientation-unproven",),
        "warning",
    ),
    Fault(
        "declination of another continent",
        ROTORS,
        given(_has_place, compass__declination_source="entered", compass__declination="60 deg"),
        ("sensors/declination-wrong-here",),
        "error",
    ),
    Fault(
        "compass beside the power leads",
        ROTORS,
        having("craft.compass_to_power_wire", craft__compass_to_power_wire="0.02 m"),
        ("sensors/power-wire-bends-the-compass",),
        "warning",
    ),
    Fault(
        "flown near the magnetic pole",
        ALL,
        given(_has_place, site__latitude="85.8 deg", site__longitude="139 deg"),
        ("sensors/compass-unusable-here",),
        "warning",
    ),
    Fault(
        "holds an airspeed that nothing measures",
        (WING,),
        always(cruise__speed_reference="airspeed", airspeed_sensor__enabled="off"),
        ("sensors/airspeed-held-without-a-sensor",),
        "warning",
    ),
    Fault(
        "airspeed sensor scaled anew",
        WINGS,
        having("airspeed_sensor.scale", airspeed_sensor__scale="1.5"),
        ("sensors/airspeed-sensor-unproven",),
        "warning",
    ),
    Fault(
        "waits for twenty satellites",
        ALL,
        positioned(gnss__min_satellites="20"),
        ("sensors/too-many-satellites-asked",),
        "note",
    ),
    Fault("a large trim", ALL, always(trim__pitch="14 deg"), ("sensors/large-level-trim",), "warning"),
    Fault(
        "one fix a second",
        ROTORS,
        positioned(gnss__rate="1 Hz"),
        ("sensors/slow-fixes-in-position-hold",),
        "warning",
    ),
    Fault(
        "home stored without a fix",
        ALL,
        positioned(home__stored="at_first_fix", arming__needs_fix="off"),
        ("sensors/home-stored-on-a-poor-fix",),
        "warning",
    ),
    Fault(
        "vibration reaches the height",
        ROTORS,
        positioned(accelerometer__lowpass_cutoff="300 Hz"),
        ("sensors/vibration-reaches-the-height-estimate",),
        "warning",
    ),
    Fault(
        "accelerometer never calibrated",
        ALL,
        always(
            **{f"accelerometer__offset_{axis}": "0" for axis in "xyz"},
            **{f"accelerometer__gain_{axis}": "1" for axis in "xyz"},
        ),
        ("sensors/accelerometer-never-calibrated",),
        "warning",
    ),
)


def _above_half_the_rate(texts: Texts) -> float | None:
    cutoff = 0.7 * number(texts, "loop.rate")
    return cutoff if cutoff <= 2000 else None


LOOP = (
    Fault(
        "a loop as slow as the servos",
        ROTORS,
        always(loop__rate="50 Hz"),
        ("loop/control-loop-slow",),
        "error",
    ),
    Fault(
        "a loop that crawls on a wing",
        (WING,),
        always(loop__rate="20 Hz"),
        ("loop/surface-loop-slow",),
        "error",
    ),
    Fault(
        "loop and gyro contradict each other",
        ALL,
        scaled("loop.rate", 2),
        ("loop/rates-contradict",),
        "warning",
    ),
    Fault(
        "filters of a far smaller craft",
        ROTORS,
        always(gyro__lowpass_cutoff="600 Hz"),
        ("loop/cutoff-too-high",),
        "warning",
    ),
    Fault(
        "filters of a far larger craft",
        ROTORS,
        always(gyro__lowpass_cutoff="8 Hz"),
        ("loop/cutoff-too-low", "loop/filters-delay-too-much"),
        "warning",
    ),
    Fault(
        "gyro filter off",
        ROTORS,
        always(gyro__lowpass_cutoff="0 Hz"),
        ("loop/cutoff-too-high",),
        "warning",
    ),
    Fault(
        "notch edges swapped",
        ALL,
        always(gyro__notch_centre="100 Hz", gyro__notch_lower_edge="140 Hz"),
        ("loop/notch-inside-out",),
        "error",
    ),
    Fault(
        "filter above half the loop rate",
        ALL,
        computed("gyro.lowpass_cutoff", _above_half_the_rate, "Hz"),
        ("loop/cutoff-above-half-the-rate",),
        "warning",
    ),
    Fault(
        "derivative unfiltered",
        ROTORS,
        always(derivative__lowpass_cutoff="0 Hz"),
        ("loop/derivative-unfiltered",),
        "warning",
    ),
    Fault(
        "roll without a proportional gain",
        ROTORS,
        always(gain__roll__p="0"),
        ("loop/gain-of-nothing",),
        "error",
    ),
    Fault(
        "loop runs free of the gyro",
        ALL,
        always(loop__sampling="free_running"),
        ("loop/not-tied-to-gyro",),
        "note",
    ),
    Fault(
        "navigation gain changed before the flight",
        ALL,
        positioned(gain__position__p="2.5"),
        ("loop/navigation-gains-changed",),
        "note",
    ),
)
