"""From a page to its drawings: which there are, the sentence under each, and what could not be drawn."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from cfglint.report.drawings.battery_scale import charge_scale, voltage_scale
from cfglint.report.drawings.descent_scale import descent_scale
from cfglint.report.drawings.frequency_scale import frequency_scale
from cfglint.report.drawings.link_loss_time_line import link_loss_time_line
from cfglint.report.drawings.mark import Flag, Mark
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.mode_switches import mode_switches
from cfglint.report.drawings.plan_view import plan_view
from cfglint.report.drawings.return_side_view import return_side_view
from cfglint.report.drawings.speed_scale import speed_scale
from cfglint.report.drawings.throttle_ruler import throttle_ruler
from cfglint.report.html_events import action_words, link_loss_steps, switch_channels
from cfglint.report.html_places import plan_marks, side_levels, side_rows, side_way
from cfglint.report.html_scales import (
    charge_marks,
    delay_words,
    descent_marks,
    frequency_marks,
    speed_marks,
    throttle_marks,
    voltage_marks,
)
from cfglint.report.known import Known, Page


class Drawing(NamedTuple):
    """One drawing of the page. `missing`: what has no number and so is not drawn; `findings`: numbers of those that object."""

    id: str
    title: str
    sentence: str
    pictures: tuple[Markup, ...]
    missing: tuple[str, ...] = ()
    findings: tuple[int, ...] = ()


def drawings_of(page: Page) -> list[Drawing]:
    """All drawings of a page, in their order; one without a single number has no picture."""
    known = Known(page)
    made = []
    for make in _MAKERS:
        known.missing.clear()
        drawing = make(known)
        made.append(drawing._replace(missing=tuple(known.missing)))
    return made


def _plan(known: Known) -> Drawing:
    marks = plan_marks(known)
    sentence = "What lies round home, seen from above. Turn and loiter circles are drawn round home for comparison."
    return _drawing("plan", "Plan view round home", sentence, marks, plan_view)


def _side(known: Known) -> Drawing:
    levels, rows = side_levels(known), side_rows(known)
    sentence = "The way home from the side. Heights are to scale, distances are not."
    drawing = _drawing("side", "Side view of the return", sentence, levels, lambda m: return_side_view(m, side_way(known), rows))
    return drawing._replace(findings=_numbers([*levels, *rows]))


def _throttle(known: Known) -> Drawing:
    sentence = "Every throttle pulse that means something. 1000 µs is no throttle, 2000 µs is full throttle."
    return _drawing("throttle", "Throttle ruler", sentence, throttle_marks(known), throttle_ruler)


def _speed(known: Known) -> Drawing:
    sentence = "What it is told to fly beside what carries it and the wind it flies in."
    return _drawing("speed", "Speed scale", sentence, speed_marks(known), speed_scale)


def _descent(known: Known) -> Drawing:
    sentence = "Sinking straight down inside the shaded band, rotors meet the air they have just pushed down."
    marks = descent_marks(known)
    if not any(mark.kind == "band" for mark in marks):
        sentence = "How fast it may sink; from where on rotors would meet their own wake is not known, or it has none."
    return _drawing("descent", "Descent scale", sentence, marks, descent_scale)


def _frequency(known: Known) -> Drawing:
    marks = frequency_marks(known)
    sentence = "Where the rotors shake the gyro, and what each filter lets through. A diamond on a filter is its cutoff."
    return _drawing("frequency", "Frequency scale", sentence + delay_words(known), marks, frequency_scale)


def _battery(known: Known) -> Drawing:
    charges, voltages = charge_marks(known), voltage_marks(known)
    pictures = [charge_scale(charges)] if charges else []
    pictures += [voltage_scale(voltages)] if voltages else []
    sentence = "What is left in the pack when it warns and acts, beside what the way home takes; and the voltage of one cell."
    return Drawing("battery", "Battery", sentence, tuple(pictures), (), _numbers([*charges, *voltages]))


def _link_loss(known: Known) -> Drawing:
    steps = link_loss_steps(known)
    sentence = "What happens after the last good pulse; each step begins where the one before it ends."
    pictures = (link_loss_time_line(steps),) if steps else ()
    numbers = tuple(sorted({flag.number for step in steps for flag in step.flags}))
    return Drawing("link-loss", "Time line of a link loss", sentence + action_words(known), pictures, (), numbers)


def _modes(known: Known) -> Drawing:
    channels = switch_channels(known)
    sentence = "Which position of which channel turns on what, where two modes are on at once, and where none is."
    marks = [mark for channel in channels for mark in channel.modes]
    pictures = (mode_switches(channels),) if channels else ()
    return Drawing("modes", "Mode switches", sentence, pictures, (), _numbers(marks))


def _drawing(id: str, title: str, sentence: str, marks: list[Mark], draw: Callable[[list[Mark]], Markup]) -> Drawing:
    return Drawing(id, title, sentence, (draw(marks),) if marks else (), (), _numbers(marks))


def _numbers(marks: list[Mark]) -> tuple[int, ...]:
    flags: set[Flag] = {flag for mark in marks for flag in mark.flags}
    return tuple(sorted({flag.number for flag in flags}))


_MAKERS: tuple[Callable[[Known], Drawing], ...] = (
    _plan, _side, _throttle, _speed, _descent, _frequency, _battery, _link_loss, _modes,
)  # fmt: skip
