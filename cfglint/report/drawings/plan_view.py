"""Plan view: what lies round home, as circles to scale; what is too small to see is drawn again, larger."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cfglint.report.drawings.canvas import LINE, WIDTH, Box, Canvas, style_of, text_width
from cfglint.report.drawings.legend import key, key_place, legend
from cfglint.report.drawings.mark import Mark, nice_step
from cfglint.report.drawings.markup import Markup
from cfglint.report.drawings.ruler import tick_text

SIDE = 150.0
_NOTHING = 0.01
_SMALLEST = 1 / 18
_FAR = 2.5
_MOST_PANELS = 4
_CENTRE = WIDTH / 2


def plan_view(marks: Sequence[Mark]) -> Markup:
    """Circles round home, in metres, largest first. Marks whose radius is nothing or endless are left out."""
    drawn = sorted((m for m in marks if 0 <= m.low < math.inf and m.high >= _NOTHING), key=lambda m: (-_radius(m), m.label))
    beyond = _beyond(drawn)
    drawn[: len(beyond)] = beyond
    canvas = Canvas("Plan view round home", _description(drawn))
    top = 4.0
    for number, members in enumerate(_panels(drawn[len(beyond) :])):
        top = _panel(canvas, [(drawn.index(mark), mark) for mark in members], top, number)
    canvas.height = legend(canvas, drawn, top + 4) + 4
    return canvas.svg()


def metres_to_sheet(largest: float) -> float:
    """How long one metre is on the sheet, in a panel whose largest circle has this radius."""
    return SIDE / largest


def _beyond(marks: list[Mark]) -> list[Mark]:
    """A line of sight so far out that all else would be small beside it is told in words only."""
    if len(marks) > 1 and marks[0].kind == "sight" and _radius(marks[0]) > _FAR * _radius(marks[1]):
        return [marks[0]._replace(shown=f"{marks[0].shown}, beyond this drawing")]
    return []


def _panels(marks: list[Mark]) -> list[list[Mark]]:
    """Marks grouped so that in each panel the smallest circle can be told from a dot."""
    panels: list[list[Mark]] = []
    for mark in marks:
        if panels and (_radius(mark) >= _radius(panels[-1][0]) * _SMALLEST or len(panels) == _MOST_PANELS):
            panels[-1].append(mark)
        else:
            panels.append([mark])
    return panels


def _panel(canvas: Canvas, marks: list[tuple[int, Mark]], top: float, number: int) -> float:
    scale = metres_to_sheet(_radius(marks[0][1]))
    if number:
        canvas.text(14, top + LINE, "nearer home, drawn larger:", "tick")
        top += LINE + 4
    middle = top + SIDE + 12
    for _, mark in marks:
        _circle(canvas, mark, scale, middle)
    canvas.line(_CENTRE - 5, middle, _CENTRE + 5, middle, "home")
    canvas.line(_CENTRE, middle - 5, _CENTRE, middle + 5, "home")
    frame = Box(2, top, WIDTH - 2, middle + SIDE + 12)
    boxes = [Box(_CENTRE - 7, middle - 7, _CENTRE + 7, middle + 7)]
    for turn, (index, mark) in enumerate(marks):
        x, y = key_place(boxes, frame, _places(_radius(mark) * scale, middle, turn))
        key(canvas, x, y, index, mark)
    _scale_bar(canvas, scale, middle + SIDE + 14)
    return middle + SIDE + 14 + LINE + 14


def _circle(canvas: Canvas, mark: Mark, scale: float, middle: float) -> None:
    style = style_of(mark)
    outer = _radius(mark) * scale
    if not mark.is_exact:
        inner = mark.low * scale
        ring = _ring(outer, middle) + " " + _ring(inner, middle) if inner > 0 else _ring(outer, middle)
        canvas.add("path", {"d": ring, "class": f"ring hatched {style}", "fill-rule": "evenodd"})
        if inner > 0:
            canvas.add("circle", {"cx": _CENTRE, "cy": middle, "r": inner, "class": f"stroke {style}"})
    canvas.add("circle", {"cx": _CENTRE, "cy": middle, "r": outer, "class": f"stroke {style}"})


def _ring(radius: float, middle: float) -> str:
    return (
        f"M{_CENTRE - radius:.2f} {middle:.2f} a{radius:.2f} {radius:.2f} 0 1 0 {2 * radius:.2f} 0 "
        f"a{radius:.2f} {radius:.2f} 0 1 0 {-2 * radius:.2f} 0 z"
    )


def _places(radius: float, middle: float, turn: int) -> list[tuple[float, float]]:
    """Where the key of a circle may stand: on it, all round, then farther and farther out."""
    places = []
    for farther in range(12):
        for step in range(24):
            angle = math.radians(-60 + 40 * turn + 15 * step)
            reach = radius + 9 * farther
            places.append((_CENTRE + reach * math.cos(angle), middle + reach * math.sin(angle)))
    return places


def _scale_bar(canvas: Canvas, scale: float, y: float) -> None:
    length = nice_step(SIDE / scale, 2)
    end = 14 + length * scale
    canvas.line(14, y + 4, end, y + 4, "axis")
    canvas.line(14, y, 14, y + 8, "axis")
    canvas.line(end, y, end, y + 8, "axis")
    text = f"{tick_text(length)} m"
    canvas.text(end + 6, y + 9, text, "tick")
    if end + text_width(text) + 20 < WIDTH - text_width("cross: home") - 14:
        canvas.text(WIDTH - 14, y + 9, "cross: home", "tick", "end")


def _radius(mark: Mark) -> float:
    return mark.high if math.isfinite(mark.high) else max(mark.low, 1.0) * 2


def _description(marks: Sequence[Mark]) -> str:
    return "Circles round home, to scale: " + "; ".join(mark.text for mark in marks) + "."
