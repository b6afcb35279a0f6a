"""Side view of the return: heights to scale, the way home by the climb policy, the two stages of the descent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from cfglint.report.drawings.canvas import LINE, WIDTH, Box, Canvas, flags_width, style_of, text_width, wrapped
from cfglint.report.drawings.legend import SIZE, key, legend, spread
from cfglint.report.drawings.mark import Mark, nice_ceiling, nice_step
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import tick_text

HEIGHT = 220.0
_LEFT, _HOME, _RIGHT = 44.0, 84.0, WIDTH - 46.0
_TOP = 24.0
GROUND = _TOP + HEIGHT
_OUTLIER = 4.0


class Way(NamedTuple):
    """The way home. `height` flown, "" as policy where it is not known; `distance` from where, `run_out` before it turns back.

    Without `final_below`, where a landing slows down, no descent is drawn.
    """

    policy: str = ""
    height: Mark | None = None
    distance: Mark | None = None
    run_out: Mark | None = None
    final_below: Mark | None = None


def return_side_view(levels: Sequence[Mark], way: Way, rows: Sequence[Mark]) -> Markup:
    """Height lines in metres above home, the way home between them, and rows of words that belong to them."""
    marks = sorted(levels, key=lambda m: (-m.high, m.label))
    canvas = Canvas("Side view of the return", _description([*marks, *rows], way))
    top_height = _top_height(marks)
    _axis(canvas, top_height)
    for mark in marks:
        _level(canvas, mark, top_height)
    if way.height is not None and way.height.low > 0:
        _draw_way(canvas, way, top_height)
    _keys(canvas, marks, top_height)
    bottom = legend(canvas, marks, GROUND + _base(canvas, way))
    for row in rows:
        bottom = _row(canvas, row, bottom)
    canvas.height = bottom + 4
    return canvas.svg()


def height_to_sheet(height: float, top_height: float) -> float:
    """Where a height above home lies on the sheet; what is beyond the top is held there."""
    return GROUND - max(min(height / top_height, 1.0), -0.08) * HEIGHT


def _row(canvas: Canvas, row: Mark, top: float) -> float:
    lines = wrapped(row.text, WIDTH - 36 - flags_width(row.flags))
    for number, line in enumerate(lines, 1):
        canvas.text(14, top + LINE * number - 3, line, "strong" if row.level else "")
    canvas.flags(WIDTH - 14, top + LINE - 3, row.flags)
    return top + LINE * len(lines) + 2


def _top_height(marks: Sequence[Mark]) -> float:
    """The height at the top: just above the highest mark, but for those far above all others."""
    heights = sorted(m.high for m in marks if 0 < m.high < 1e5)
    while len(heights) > 2 and heights[-1] > _OUTLIER * heights[-2]:
        heights.pop()
    return nice_ceiling(max(heights[-1] if heights else 10.0, 1.0) * 1.05)


def _axis(canvas: Canvas, top_height: float) -> None:
    step = nice_step(top_height, 6)
    for number in range(int(top_height / step + 1e-9) + 1):
        y = height_to_sheet(step * number, top_height)
        canvas.line(_LEFT, y, _RIGHT, y, "grid")
        canvas.text(_LEFT - 4, y + 4, tick_text(step * number), "tick", "end")
    canvas.text(_LEFT - 4, _TOP - 9, "m", "tick", "end")
    canvas.line(_LEFT, GROUND, _RIGHT, GROUND, "ground")


def _level(canvas: Canvas, mark: Mark, top_height: float) -> None:
    style = style_of(mark)
    high, low = height_to_sheet(mark.high, top_height), height_to_sheet(mark.low, top_height)
    if mark.kind == "obstacle":
        canvas.rectangle(Box(_HOME + 70, high, _RIGHT - 70, GROUND), f"area {style}")
    elif not mark.is_exact:
        canvas.rectangle(Box(_LEFT, high, _RIGHT, low), f"extent hatched {style}")
    canvas.line(_LEFT, high, _RIGHT, high, f"stroke {style}")
    if mark.high > top_height:
        canvas.add("path", {"d": f"M{_RIGHT - 14:.0f} {_TOP:.0f} l6 -9 l6 9 z", "class": f"beyond {style}"})


def _draw_way(canvas: Canvas, way: Way, top_height: float) -> None:
    assert way.height is not None
    flown = height_to_sheet(way.height.high, top_height)
    far = _RIGHT - 60 if way.run_out is not None else _RIGHT - 20
    start = height_to_sheet(way.height.high / 3, top_height)
    points = {
        "first": [(far, start), (_run_out_place(way, far), flown), (_HOME, flown)],
        "en_route": [(far, start), (_HOME, flown)],
        "at_home": [(far, start), (_HOME, start), (_HOME, flown)],
    }.get(way.policy, [(far, flown), (_HOME, flown)])
    text = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    canvas.add("polyline", {"points": text, "class": "way"})
    canvas.add("circle", {"cx": points[0][0], "cy": points[0][1], "r": 3.5, "class": "craft"})
    if way.final_below is None:
        return
    below = height_to_sheet(way.final_below.high, top_height)
    canvas.line(_HOME, flown, _HOME, max(below, flown), "way down")
    canvas.line(_HOME, max(below, flown), _HOME, GROUND, "way slow")


def _run_out_place(way: Way, far: float) -> float:
    return far if way.run_out is None else min(far + 40.0, _RIGHT)


def _base(canvas: Canvas, way: Way) -> float:
    """The words under the ground line; returns how much room they take."""
    canvas.text(_HOME, GROUND + LINE, "home", "tick", "middle")
    if way.distance is None:
        return LINE + 14
    words = f"{way.distance.text}, distance not to scale"
    if text_width(words) < _RIGHT - _HOME - 40:
        canvas.text(_RIGHT, GROUND + LINE, words, "tick", "end")
        return LINE + 14
    canvas.text(_RIGHT, GROUND + 2 * LINE, words, "tick", "end")
    return 2 * LINE + 14


def _keys(canvas: Canvas, marks: Sequence[Mark], top_height: float) -> None:
    places = [height_to_sheet(mark.high, top_height) for mark in marks]
    moved = spread(places, _TOP - 6, GROUND + SIZE)
    for index, (place, y) in enumerate(zip(places, moved, strict=True)):
        canvas.line(_RIGHT, place, WIDTH - 30, y, "leader")
        key(canvas, WIDTH - 30 + SIZE / 2, y, index, marks[index])


def _description(marks: Sequence[Mark], way: Way) -> str:
    climb = {
        "first": "it climbs before it turns home",
        "en_route": "it climbs on the way",
        "at_home": "it climbs over home",
    }
    words = [mark.text for mark in marks] + ([climb[way.policy]] if way.policy in climb else [])
    return "Heights above home, to scale: " + "; ".join(words) + "."
