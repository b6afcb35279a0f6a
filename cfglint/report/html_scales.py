"""What the rulers show of a craft: pulses, speeds, sink rates, frequencies, charge and cell voltage."""

from __future__ import annotations

from cfglint.quantity import range as ranges
from cfglint.quantity.range import exactly, hull
from cfglint.quantity.show import show_number
from cfglint.report.drawings.frequency_scale import passed_share
from cfglint.report.drawings.mark import Mark
from cfglint.report.known import Amount, Known, combined

_PULSES = (
    ("receiver's lowest valid pulse", "receiver.valid_low"),
    ("receiver's highest valid pulse", "receiver.valid_high"),
    ("below this: link loss", "link_loss.throttle_threshold"),
    ("receiver's preset on link loss", "receiver.loss_throttle"),
    ("stick, lower end of travel", "stick.end_low"),
    ("stick, upper end of travel", "stick.end_high"),
    ("stick counts as fully down", "stick.counts_low"),
    ("stick counts as fully up", "stick.counts_high"),
    ("motor idle", "motor.idle"),
    ("held modes, least", "altitude_hold.least_throttle"),
    ("held modes, most", "altitude_hold.most_throttle"),
    ("hover, as set", "hover.throttle"),
    ("fixed throttle on link loss", "link_loss.fixed_throttle"),
    ("automatic modes, least", "auto_throttle.least"),
    ("automatic modes, cruise", "auto_throttle.cruise"),
    ("automatic modes, most", "auto_throttle.most"),
    ("launch", "launch.throttle"),
)
_SPEEDS = (
    ("least airspeed", "airspeed.min"),
    ("cruise", "cruise.speed"),
    ("to waypoints", "waypoint.speed"),
    ("on return", "return.speed"),
    ("position hold, most", "position_hold.max_speed"),
    ("transition to the wing", "transition.airspeed"),
    ("rotors help below", "transition.rotor_help_airspeed"),
    ("greatest airspeed", "airspeed.max"),
    ("top speed of the craft", "craft.max_speed"),
    ("wind at 10 m", "site.wind"),
    ("gusts at 10 m", "site.gust"),
)
_SINKS = (
    ("landing, first stage", "landing.initial_rate"),
    ("landing, slow stage", "landing.final_rate"),
    ("held modes", "altitude_hold.descent_rate"),
    ("on the throttle of link loss", "craft.emergency_sink"),
)
_VOLTAGES = (
    ("full", "battery.cell_full"),
    ("warning", "battery.cell_warn"),
    ("critical", "battery.cell_critical"),
)


def throttle_marks(known: Known) -> list[Mark]:
    """Pulses in microseconds, the hover throttle as set, as measured, and as thrust and weight ask for."""
    rule, needs = "lift/hover-throttle-against-thrust", ("craft.max_thrust", "craft.mass")
    least, most = known.amount(rule, "expected_least", needs), known.amount(rule, "expected_most", needs)
    expected = None
    if least is not None and most is not None:
        expected = combined(hull(least.range, most.range), (least._replace(rules=()), most))
        expected = expected._replace(rules=())
    return [
        *_listed(known, _PULSES, "us"),
        *_there(known.measured("hover, as measured", "hover.throttle", "us")),
        *_there(known.amount_mark("hover, from thrust and weight", expected, "us")),
    ]


def speed_marks(known: Known) -> list[Mark]:
    """Speeds in metres a second."""
    rule = "wing/bank-limit-stalls"
    stall = known.quantity("stall_speed")
    turning = known.amount(rule, "turning_stall", ("limit.bank",))
    tilted = known.quantity("speed_at_tilt_limit") if known.has("craft.max_speed", "craft.max_speed_tilt") else None
    aloft = known.quantity("wind_at_return_height") if known.has("site.wind") else None
    return [
        *_there(known.amount_mark("stall, level", stall, "m/s", "limit")),
        *_there(known.amount_mark("stall, in a turn at the bank limit", turning, "m/s", "limit")),
        *_listed(known, _SPEEDS, "m/s"),
        *_there(known.amount_mark("reached at the tilt limit", tilted, "m/s")),
        *_there(known.amount_mark("wind at return height", aloft, "m/s", "wind")),
    ]


def descent_marks(known: Known) -> list[Mark]:
    """Sink rates in metres a second, beside the induced velocity and the vortex-ring band; for craft that hover."""
    induced = known.quantity("hover_induced_velocity")
    marks = _listed(known, _SINKS, "m/s")
    if induced is None:
        return marks
    level = exactly(0.0)
    begins = ranges.multiply(known.pack.functions["vortex_ring_lower"](level), induced.range)
    ends = ranges.multiply(known.pack.functions["vortex_ring_upper"](level), induced.range)
    band = known.amount_mark("vortex ring band", combined(hull(begins, ends), (induced,)), "m/s", "band")
    return [*_there(band), *_there(known.amount_mark("induced velocity in hover", induced, "m/s", "limit")), *marks]


def frequency_marks(known: Known) -> list[Mark]:
    """Frequencies in hertz: rotors, filters with what they let through there, loop, half the gyro's rate."""
    rotors = rotor_frequency(known)
    order = known.given("gyro.lowpass_order")
    orders = int(order.range.low) if order is not None else 1
    control = known.quantity("control_rate") if known.has("loop.rate") or known.has("gyro.sample_rate") else None
    marks = [
        known.amount_mark("rotors in hover", rotors, "Hz", "extent"),
        _filtered(known, "gyro low-pass", "gyro.lowpass_cutoff", rotors, orders),
        _filtered(known, "second gyro low-pass", "gyro.second_lowpass_cutoff", rotors, 1),
        _filtered(known, "derivative low-pass", "derivative.lowpass_cutoff", rotors, 1),
        _notch(known),
        known.amount_mark("control loop", control, "Hz"),
        known.mark("gyro samples", "gyro.sample_rate", "Hz"),
        *_half(known),
        known.mark("motor commands", "motor.update_rate", "Hz"),
        known.mark("servo pulses", "servo.update_rate", "Hz"),
    ]
    return [mark for mark in marks if mark is not None]


def rotor_frequency(known: Known) -> Amount | None:
    """Turns of a rotor in hover, over the spread of propellers."""
    rule, needs = "loop/notch-misses-the-rotors", ("craft.mass", "craft.prop_diameter", "craft.rotors")
    least, most = known.amount(rule, "rotor_least", needs), known.amount(rule, "rotor_most", needs)
    if least is None or most is None:
        return None
    return combined(hull(least.range, most.range), (least, most))._replace(rules=())


def delay_words(known: Known) -> str:
    """How late the loop sees a movement, in words; empty where it can't be worked out."""
    has_rate = known.has("loop.rate") or known.has("gyro.sample_rate", "loop.samples_per_step")
    amount = known.amount("loop/filters-delay-too-much", "gyro_path") if has_rate else None
    mark = known.amount_mark("Filters and loop together are late by", amount, "ms")
    return f" {mark.text}." if mark else ""


def charge_marks(known: Known) -> list[Mark]:
    """Charge in milliampere-hours."""
    rule = "return/not-enough-charge-to-get-home"
    needed = known.amount(rule, "needed_fence", ("fence.radius",))
    way = known.amount("return/fence-farther-than-the-charge", "way_home", ("fence.radius",))
    return [
        *_there(known.mark("pack holds", "craft.battery_capacity", "mAh")),
        *_there(known.mark("may be used", "battery.capacity", "mAh")),
        *_there(known.mark("left when it warns", "battery.capacity_warn", "mAh")),
        *_there(known.mark("left when it is critical", "battery.capacity_critical", "mAh")),
        *_there(known.amount_mark("way home from the fence against the wind", way, "mAh", "limit")),
        *_there(known.amount_mark("home and down from the fence, with reserve", needed, "mAh", "limit")),
    ]


def voltage_marks(known: Known) -> list[Mark]:
    """Voltages of one cell."""
    amounts = [
        known.amount(rule, "lowest_allowed", ("battery.cell_critical",))
        for rule in ("battery/stops-too-late", "battery/wing-stops-too-late")
    ]
    least = next((amount for amount in amounts if amount is not None), None)
    floor = known.amount_mark("least under load", least and least._replace(rules=()), "V", "limit")
    return [*_there(floor), *_listed(known, _VOLTAGES, "V")]


def _filtered(known: Known, label: str, id: str, rotors: Amount | None, order: int) -> Mark | None:
    mark = known.mark(label, id, "Hz")
    if mark is None or rotors is None:
        return mark
    shares = [passed_share(rotors.range.high, mark.low, order), passed_share(rotors.range.low, mark.high, order)]
    low, high = (show_number(100 * share, 2) for share in shares)
    passed = low if low == high else f"{low}..{high}"
    return mark._replace(shown=f"{mark.shown}, lets {passed} % of the rotors' vibration through")


def _notch(known: Known) -> Mark | None:
    centre, edge = known.given("gyro.notch_centre"), known.given("gyro.notch_lower_edge")
    if centre is None or edge is None or edge.range.low <= 0:
        return None
    upper = ranges.divide(ranges.multiply(centre.range, centre.range), edge.range)
    mark = known.amount_mark("notch", combined(hull(edge.range, upper), (centre, edge)), "Hz", "extent")
    if mark is None:
        return None
    flags = (*known.by_setting.get("gyro.notch_lower_edge", ()), *known.by_setting.get("gyro.notch_centre", ()))
    return mark._replace(flags=tuple(dict.fromkeys(flags))[:4])


def _half(known: Known) -> list[Mark | None]:
    rate = known.given("gyro.sample_rate")
    if rate is None:
        return []
    half = combined(ranges.divide(rate.range, exactly(2.0)), (rate,))
    return [known.amount_mark("half the gyro's rate, the most it can hold", half, "Hz", "limit")]


def _listed(known: Known, listed: tuple[tuple[str, str], ...], unit: str) -> list[Mark]:
    marks = (known.mark(label, id, unit, "wind" if id.startswith("site.") else "") for label, id in listed)
    return [mark for mark in marks if mark is not None]


def _there(mark: Mark | None) -> list[Mark]:
    return [mark] if mark is not None else []
