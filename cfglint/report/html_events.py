"""What the time line and the mode switches show of a craft: steps one after the other, ranges by channel."""

from __future__ import annotations

from cfglint.quantity import range as ranges
from cfglint.quantity.range import Range
from cfglint.quantity.value import SET
from cfglint.report.drawings.link_loss_time_line import Step
from cfglint.report.drawings.mark import Mark
from cfglint.report.drawings.mode_switches import Channel
from cfglint.report.html_places import stage_marks
from cfglint.report.known import Amount, Known, combined

_LATE = "link-loss/detected-late"
_CHARGE = "return/not-enough-charge-to-get-home"
_RUNS_OUT = "link-loss/descent-runs-out-of-time"


def link_loss_steps(known: Known) -> list[Step]:
    """What happens after the last good pulse, as far as the settings tell how long it takes."""
    detected = [
        _step("the receiver notices", known.mark("", "receiver.loss_delay", "s")),
        _step("the controller waits", known.mark("", "link_loss.reaction_time", "s")),
    ]
    if None in detected:
        return [step for step in detected[:1] if step is not None]
    action = known.word("link_loss.action")
    steps = [step for step in detected if step is not None]
    if action in ("hold", "loiter", "circle"):
        hold = _step(f"{action} goes on", known.mark("", "link_loss.hold_time", "s"))
        if hold is None:
            return steps
        steps.append(hold)
        action = known.word("link_loss.next_action")
    return steps + _after(known, action)


def action_words(known: Known) -> str:
    """What it does when the link is lost, and how far it flies before that."""
    value = known.values.get("link_loss.action")
    action = known.word("link_loss.action").replace("_", " ")
    if action:
        words = f" On link loss: {action}." if action != "none" else " On link loss it does nothing of its own."
    else:
        unknown = value is None or not value.known or value.has(SET)
        words = " What it does on link loss is not known." if unknown else " No action on link loss is set."
    distance = known.amount_mark("before it reacts it flies", _unguided(known), "m")
    return words + (f" With the wind, {distance.text}, unguided." if distance else "")


def switch_channels(known: Known) -> list[Channel]:
    """Channels with the ranges that turn modes on; a mode whose channel or range is not known is left out."""
    found: dict[int, list[Mark]] = {}
    for id in known.values:
        if not (id.startswith("switch.") and id.endswith(".channel")):
            continue
        stem = id.removesuffix(".channel")
        channel, low, high = (known.given(f"{stem}.{name}") for name in ("channel", "from", "to"))
        if channel is None or low is None or high is None or channel.range.low != channel.range.high:
            continue
        found.setdefault(int(channel.range.low), []).append(_mode(known, stem, low, high))
    ordered = sorted(found.items())
    return [Channel(f"channel {n}", tuple(sorted(marks, key=lambda m: (m.low, m.label)))) for n, marks in ordered]


def _after(known: Known, action: str) -> list[Step]:
    """The steps of the action itself."""
    if action == "return":
        return _way_home(known)
    if action == "land":
        return _down(known, known.amount(_RUNS_OUT, "height"), " from as high as may be flown")
    if action == "descend" and known.has("craft.emergency_sink"):
        sinking = _step("sinks from as high as may be flown", _seconds(known, known.amount(_RUNS_OUT, "sinking_time")))
        return [step for step in (sinking,) if step is not None] + _disarm(known)
    return []


def _way_home(known: Known) -> list[Step]:
    height, rate = known.quantity("return_height"), known.amount(_CHARGE, "climb_rate")
    if known.word("return.height_rule") not in ("exact", "no_lower") or not known.has("return.altitude"):
        height = None
    climb = None
    if height is not None and rate is not None and rate.range.low > 0 and known.word("return.climb") == "first":
        climb = combined(ranges.divide(Range(0.0, height.range.high), rate.range), (height, rate))
    way = known.calculated("return_time", known.given("fence.radius"), known.quantity("ground_speed_home"))
    steps = [
        _step("climbs to return height, if from the ground", _seconds(known, climb)),
        _step("flies home from the fence against the wind", _seconds(known, way)),
    ]
    found = [step for step in steps if step is not None]
    if way is None or known.word("return.at_home") != "land":
        return found
    return found + _down(known, height, "")


def _down(known: Known, height: Amount | None, beside: str) -> list[Step]:
    marks = stage_marks(known, height)
    steps = [step for mark in marks if (step := _step(mark.label + beside, mark)) is not None]
    return steps + _disarm(known) if steps else []


def _disarm(known: Known) -> list[Step]:
    if known.word("landing.auto_disarm") != "on":
        return []
    step = _step("stands until the motors stop", known.mark("", "landing.disarm_delay", "s"))
    return [step] if step is not None else []


def _seconds(known: Known, amount: Amount | None) -> Mark | None:
    return known.amount_mark("", amount, "s")


def _step(label: str, mark: Mark | None) -> Step | None:
    return Step(label, mark.low, mark.high, mark.shown, mark.origin, mark.flags) if mark is not None else None


def _unguided(known: Known) -> Amount | None:
    amount = known.amount(_LATE, "unguided", ("link_loss.reaction_time", "site.wind"))
    return amount._replace(rules=()) if amount is not None and amount.range.low >= 0 else None


def _mode(known: Known, stem: str, low: Amount, high: Amount) -> Mark:
    name = stem.removeprefix("switch.").partition("@")[0].replace("_", " ")
    flags = dict.fromkeys(f for part in ("channel", "from", "to") for f in known.by_setting.get(f"{stem}.{part}", ()))
    ends = (low.range.low, high.range.high)
    origin = combined(Range(0.0, 0.0), (low, high)).origin
    shown = f"{ends[0]:.0f}..{ends[1]:.0f} µs"
    return Mark(name, min(ends), max(ends), shown, origin if origin == "guess" else "stated", tuple(flags)[:4], "extent")
