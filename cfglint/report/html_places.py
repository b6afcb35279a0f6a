"""What the plan view and the side view show of a craft: circles round home, heights above it."""

from __future__ import annotations

from cfglint.quantity import range as ranges
from cfglint.quantity.range import Range, exactly
from cfglint.report.drawings.mark import Mark
from cfglint.report.drawings.return_side_view import Way
from cfglint.report.known import Amount, Known, combined

_POSITION_ERROR = Amount(exactly(7.0), "stated")
_SECOND = exactly(1.0)
_FORESEEABLE = ("exact", "no_lower")
_TOO_WIDE = 150.0


def plan_marks(known: Known) -> list[Mark]:
    """The circles round home, in metres."""
    fence = "fence, round its surveyed centre" if known.word("fence.centre") == "surveyed" else "fence"
    marks = [
        known.mark("clear radius of the field", "site.clear_radius", "m", "site"),
        known.mark(fence, "fence.radius", "m", "fence"),
        *_contingencies(known),
        known.mark("loiter circle", "loiter.radius", "m", "loiter"),
        *_turns(known),
        known.mark("waypoint counts as reached", "waypoint.radius", "m", "inner"),
        known.mark("return refused closer than", "return.least_distance", "m", "inner"),
        known.mark("counts as near home on link loss", "link_loss.near_home_radius", "m", "inner"),
        known.mark("counts as on the spot", "position_hold.tolerance", "m", "inner"),
        *_sight(known),
    ]
    return [mark for mark in marks if mark is not None]


def side_levels(known: Known) -> list[Mark]:
    """The heights above home, in metres."""
    marks = [
        known.mark("highest obstacle", "site.obstacle_height", "m", "obstacle"),
        return_height(known),
        known.mark("fence ceiling", "fence.ceiling", "m", "fence"),
        *_ceilings_passed(known),
        known.mark("fence floor", "fence.floor", "m", "fence"),
        known.mark("ceiling of the held modes", "altitude.ceiling", "m", "inner"),
        known.mark("height limit", "site.height_limit", "m", "site"),
        known.mark("slow descent begins", "landing.final_below", "m", "inner"),
        _out_of_time(known),
    ]
    return [mark for mark in marks if mark is not None]


def side_way(known: Known) -> Way:
    """The way home as far as it can be foreseen."""
    foreseeable = known.word("return.height_rule") in _FORESEEABLE
    run_out = None
    if known.word("return.climb") == "first" and known.has("return.altitude", "craft.best_climb_rate"):
        amount = known.amount("return/climbs-straight-out-before-turning", "run_out")
        run_out = known.amount_mark("climbs straight on for", amount, "m")
    distance = known.mark("", "fence.radius", "m")
    if distance is not None:
        distance = distance._replace(label="from the fence,")
    policy = known.word("return.climb") if foreseeable else ""
    return Way(policy, return_height(known), distance, run_out, known.mark("", "landing.final_below", "m"))


def side_rows(known: Known) -> list[Mark]:
    """Words that belong to the side view: how it climbs, and how long each stage of the descent lasts."""
    rows = [*stage_marks(known, known.quantity("return_height"))]
    run_out = side_way(known).run_out
    return [run_out, *rows] if run_out is not None else rows


def stage_marks(known: Known, height: Amount | None) -> list[Mark]:
    """How long the two stages of a landing last from a height, in seconds; none where a number is missing or not above zero."""
    fast, slow, below = (known.given(f"landing.{name}") for name in ("initial_rate", "final_rate", "final_below"))
    if height is None or fast is None or slow is None or below is None or not _foreseen(height):
        return []
    if min(fast.range.low, slow.range.low) <= 0 or height.range.low <= 0:
        return []
    last = ranges.lowest(height.range, below.range)
    first = ranges.divide(ranges.highest(ranges.subtract(height.range, last), exactly(0.0)), fast.range)
    stages = [
        ("descent, first stage", combined(first, (height, fast, below))),
        ("descent, slow stage", combined(ranges.divide(last, slow.range), (height, slow, below))),
    ]
    return [mark for name, amount in stages if (mark := known.amount_mark(name, amount, "s")) is not None]


def return_height(known: Known) -> Mark | None:
    """The height flown home; None where it depends on the moment or nobody stated it."""
    if not known.has("return.altitude"):
        return known.mark("return height", "return.altitude", "m", "return")
    amount = known.quantity("return_height")
    if amount is None or not _foreseen(amount):
        known.missing["return height: depends on the height at which the return begins"] = None
        return None
    mark = known.amount_mark("return height", amount, "m", "return")
    flags = known.by_setting.get("return.altitude", ())
    return mark._replace(flags=flags, origin=known.origin("return.altitude")) if mark else None


def _contingencies(known: Known) -> list[Mark | None]:
    """How far it may come past the fence: reaction, errors, and the stop or the turn back."""
    fence = known.given("fence.radius")
    if fence is None:
        return []
    stop_rule, turn_rule = "fence/no-room-to-stop", "fence/no-room-to-turn"
    room = known.calculated(
        "horizontal_contingency_multirotor", known.amount(stop_rule, "speed"), known.amount(stop_rule, "tilt")
    )
    speed, turn = known.amount(turn_rule, "speed"), known.amount(turn_rule, "turn", ("limit.bank",))
    wind = known.quantity("wind_at_return_height")
    parts = [part for part in (speed, turn, wind) if part is not None]
    turned = None
    if len(parts) == 3:
        reaction = ranges.multiply(ranges.add(parts[0].range, parts[2].range), _SECOND)
        turned = _sum(combined(reaction, parts), parts[1], _POSITION_ERROR)
    return [
        known.amount_mark("may pass the fence and stop by", _sum(fence, room), "m", "contingency") if room else None,
        known.amount_mark("may pass the fence and be turned by", _sum(fence, turned), "m", "contingency") if turned else None,
    ]


def _turns(known: Known) -> list[Mark | None]:
    rule = "fence/no-room-to-turn"
    bank, speed = known.given("limit.bank"), known.amount(rule, "speed")
    still = known.calculated("turn_radius", speed, bank)
    windy = known.amount(rule, "turn", ("limit.bank", "site.wind"))
    marks = [known.amount_mark("turn in still air", still and still._replace(rules=()), "m", "turn")]
    if windy is not None:
        marks.append(known.amount_mark("turn with the wind", windy._replace(rules=()), "m", "turn"))
    return marks


def _sight(known: Known) -> list[Mark | None]:
    if known.word("craft.visual_line_of_sight") == "off":
        return []
    rules = ("fence/beyond-sight", "fence/wing-beyond-sight")
    amounts = [known.amount(rule, "sight", ("craft.largest_dimension",)) for rule in rules]
    label = "its attitude can be seen to"
    farthest = next((amount for amount in amounts if amount is not None), None)
    return [known.amount_mark(label, farthest, "m", "sight")]


def _ceilings_passed(known: Known) -> list[Mark | None]:
    marks = []
    for rule in ("fence/ceiling-leaves-no-room", "fence/wing-ceiling-leaves-no-room"):
        needs = ("fence.ceiling", "altitude_hold.climb_rate" if "wing" not in rule else "craft.best_climb_rate")
        ceiling, passed = known.amount(rule, "ceiling_above_home", needs), known.amount(rule, "passed", needs)
        if ceiling is not None and passed is not None:
            marks.append(known.amount_mark("may climb through the ceiling to", _sum(ceiling, passed), "m", "contingency"))
    return marks[:1]


def _out_of_time(known: Known) -> Mark | None:
    """The height that is left when the time of an emergency descent from as high as may be flown is over."""
    rule = "link-loss/descent-runs-out-of-time"
    height, limit = known.amount(rule, "height"), known.given("link_loss.descent_time_limit")
    if height is None or limit is None:
        return None
    action = known.word("link_loss.action")
    sink = {"descend": "craft.emergency_sink", "land": "landing.initial_rate"}.get(action)
    rate = known.given(sink) if sink else None
    if rate is None:
        return None
    left = ranges.subtract(height.range, ranges.multiply(rate.range, limit.range))
    if left.high <= 0:
        return None
    shown = combined(Range(max(0.0, left.low), left.high), (height, limit, rate))
    return known.amount_mark("here the time of an emergency descent is over", shown, "m", "late")


def _sum(*amounts: Amount | None) -> Amount | None:
    given = [amount for amount in amounts if amount is not None]
    if len(given) < len(amounts):
        return None
    total = exactly(0.0)
    for amount in given:
        total = ranges.add(total, amount.range)
    return combined(total, given)


def _foreseen(height: Amount) -> bool:
    return height.range.high - height.range.low <= _TOO_WIDE
