"""Drawings alone: golden files, geometry to scale, and labels that stay apart and inside."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfglint.report.drawings.battery_scale import charge_scale, voltage_scale
from cfglint.report.drawings.descent_scale import descent_scale
from cfglint.report.drawings.frequency_scale import frequency_scale, passed_share
from cfglint.report.drawings.link_loss_time_line import Step, link_loss_time_line
from cfglint.report.drawings.mark import Flag, Mark, nice_ceiling, nice_step
from cfglint.report.drawings.mode_switches import Channel, gaps, mode_switches, overlaps
from cfglint.report.drawings.plan_view import SIDE, metres_to_sheet, plan_view
from cfglint.report.drawings.return_side_view import GROUND, HEIGHT, Way, height_to_sheet, return_side_view
from cfglint.report.drawings.ruler import LEFT, RIGHT, Scale
from cfglint.report.drawings.speed_scale import speed_scale
from cfglint.report.drawings.throttle_ruler import PULSES, throttle_ruler
from tests.html import boxes

SVG = boxes.SVG
GOLDEN = Path(__file__).parent / "golden"
ERROR, NOTE = Flag("error", 1, "finding-1"), Flag("note", 12, "finding-12")


def exact(label: str, value: float, unit: str = "m", **more: object) -> Mark:
    return Mark(label, value, value, f"{value:g} {unit}", **more)  # type: ignore[arg-type]


def ranged(label: str, low: float, high: float, unit: str = "m", **more: object) -> Mark:
    return Mark(label, low, high, f"{low:g}..{high:g} {unit}", **more)  # type: ignore[arg-type]


CIRCLES = {
    "plain": [exact("fence", 62.0, kind="fence", flags=(ERROR, NOTE)), exact("clear radius", 100.0, kind="site")],
    "clashing": [exact(f"circle {n}", 50.0 + n / 100) for n in range(12)],
    "spread": [
        exact("fence", 90_000.0, kind="fence"),
        ranged("turn", 30.0, 44.0, kind="turn"),
        exact("inner", 0.5, origin="guess"),
    ],
}
LEVELS = {
    "plain": [
        exact("return height", 30.0, flags=(ERROR,)),
        exact("highest obstacle", 24.0, kind="obstacle"),
        exact("limit", 120.0),
    ],
    "clashing": [exact(f"level {n}", 30.0) for n in range(9)],
    "spread": [
        exact("ceiling", 5000.0),
        exact("return height", 20.0),
        ranged("out of time", 0.0, 12.0),
        exact("slow", 3.0),
    ],
}
PULSES_SHOWN = {
    "plain": [
        exact("idle", 1080.0, "µs"),
        exact("hover, as set", 1500.0, "µs", flags=(ERROR,)),
        ranged("hover", 1400, 1630, "µs"),
    ],
    "clashing": [exact(f"pulse {n}", 1500.0, "µs", flags=(ERROR, NOTE)) for n in range(6)],
    "spread": [
        exact("below", 500.0, "µs"),
        exact("above", 2500.0, "µs", origin="guess"),
        ranged("all", 500.0, 2500.0, "µs"),
    ],
}


def way_of(case: str) -> Way:
    return Way("first", LEVELS[case][1], final_below=LEVELS[case][0])


DRAWN: dict[str, Callable[[str], bytes]] = {
    "plan": lambda case: plan_view(CIRCLES[case]),
    "side": lambda case: return_side_view(LEVELS[case], way_of(case), [exact("first stage", 8, "s")]),
    "throttle": lambda case: throttle_ruler(PULSES_SHOWN[case]),
    "speed": lambda case: speed_scale(CIRCLES[case]),
    "descent": lambda case: descent_scale([ranged("vortex ring band", 2.4, 8.1, "m/s", kind="band"), *CIRCLES[case]]),
    "frequency": lambda case: frequency_scale(CIRCLES[case]),
    "charge": lambda case: charge_scale(CIRCLES[case]),
    "voltage": lambda case: voltage_scale([exact("full", 4.2, "V"), exact("critical", 3.0, "V", flags=(ERROR,))]),
    "link-loss": lambda case: link_loss_time_line([Step(m.label, m.low, m.high, m.shown, flags=m.flags) for m in CIRCLES[case]]),
    "modes": lambda case: mode_switches([Channel("channel 7", tuple(PULSES_SHOWN[case]))]),
}
CASES = [(name, case) for name in DRAWN for case in CIRCLES]


@pytest.mark.parametrize(("name", "case"), CASES)
def test_golden(name: str, case: str, bless: bool) -> None:
    path = GOLDEN / f"{name}.{case}.svg"
    made = DRAWN[name](case).replace(b"><", b">\n<") + b"\n"
    if bless:
        path.write_bytes(made)
    assert made == path.read_bytes()


def test_no_golden_file_is_an_orphan() -> None:
    assert {path.name for path in GOLDEN.iterdir()} == {f"{name}.{case}.svg" for name, case in CASES}


@pytest.mark.parametrize(("name", "case"), CASES)
def test_labels_stay_apart_and_inside(name: str, case: str) -> None:
    svg = DRAWN[name](case)
    assert boxes.overlaps(svg) == []
    assert boxes.outside(svg) == []


@pytest.mark.parametrize(("name", "case"), CASES)
def test_every_drawing_says_what_it_shows(name: str, case: str) -> None:
    root = ElementTree.fromstring(DRAWN[name](case))
    title, described = root.find(SVG + "title"), root.find(SVG + "desc")
    assert title is not None and title.text and root.get("aria-label") == title.text
    assert described is not None and described.text and len(described.text) > len(title.text)


def radii(svg: bytes) -> list[float]:
    return [float(c.get("r", "0")) for c in ElementTree.fromstring(svg).iter(SVG + "circle")]


def test_a_circle_of_62_metres_is_62_metres_at_the_scale_of_the_drawing() -> None:
    svg: bytes = plan_view(CIRCLES["plain"])
    fence = next(c for c in ElementTree.fromstring(svg).iter(SVG + "circle") if "fence" in c.get("class", ""))
    assert float(fence.get("r", "0")) / metres_to_sheet(100.0) == pytest.approx(62.0, abs=0.01)


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    root = ElementTree.fromstring(plan_view(CIRCLES["plain"]))
    bar = next(line for line in root.iter(SVG + "line") if line.get("class") == "axis" and line.get("y1") == line.get("y2"))
    ticks = [text.text or "" for text in root.iter(SVG + "text") if text.get("class") == "tick"]
    says = next(text for text in ticks if text.endswith(" m"))
    length = float(bar.get("x2", "0")) - float(bar.get("x1", "0"))
    assert length / metres_to_sheet(100.0) == pytest.approx(float(says.removesuffix(" m")), rel=1e-3)


def test_what_is_too_small_to_see_is_drawn_again_larger() -> None:
    svg: bytes = plan_view([exact("fence", 1000.0), exact("loiter", 10.0)])
    assert radii(svg) == [SIDE, SIDE]
    assert b"nearer home, drawn larger" in svg


def test_a_line_of_sight_far_out_is_told_in_words() -> None:
    svg: bytes = plan_view([exact("sight", 600.0, kind="sight"), exact("fence", 75.0)])
    assert radii(svg) == [SIDE]
    assert b"sight 600 m, beyond this drawing" in svg
    assert radii(plan_view([exact("sight", 100.0, kind="sight"), exact("fence", 75.0)])) == [SIDE, 0.75 * SIDE]


def test_a_range_is_a_hatched_ring_between_its_ends() -> None:
    svg: bytes = plan_view([ranged("turn", 30.0, 60.0)])
    assert b'class="ring hatched plain"' in svg
    assert radii(svg) == [75.0, 150.0]


@given(st.floats(0, 5000), st.floats(1, 5000))
def test_heights_are_in_proportion(height: float, top: float) -> None:
    y = height_to_sheet(min(height, top), top)
    assert (GROUND - y) / HEIGHT == pytest.approx(min(height, top) / top, abs=1e-9)


@given(st.floats(800, 2200))
def test_a_pulse_stands_where_the_scale_puts_it(pulse: float) -> None:
    share = (PULSES.place(pulse) - LEFT) / (RIGHT - LEFT)
    assert share == pytest.approx((pulse - 800) / 1400, abs=1e-9)


def test_a_logarithmic_scale_gives_each_decade_the_same_length() -> None:
    scale = Scale(10.0, 1000.0, "Hz", logarithmic=True)
    assert scale.place(100.0) - scale.place(10.0) == pytest.approx(scale.place(1000.0) - scale.place(100.0))


def test_a_filter_lets_half_the_power_through_at_its_cutoff() -> None:
    for order in (1, 2, 4):
        assert passed_share(100.0, 100.0, order) == pytest.approx(1 / math.sqrt(2))
    assert passed_share(1000.0, 100.0, 1) == pytest.approx(0.0995, abs=1e-4)
    assert passed_share(50.0, 0.0, 1) == 0.0


def test_what_a_rule_objects_to_links_to_its_finding() -> None:
    root = ElementTree.fromstring(plan_view(CIRCLES["plain"]))
    assert [link.get("href") for link in root.iter(SVG + "a")] == ["#finding-12", "#finding-1"]
    assert [e.get("class") for e in root.iter(SVG + "circle")] == ["stroke site", "stroke fence error"]
    assert "✖1" in [text.text for text in root.iter(SVG + "text")]


def test_a_guess_is_drawn_and_called_a_guess() -> None:
    svg: bytes = throttle_ruler([exact("idle", 1080.0, "µs", origin="guess")])
    assert b"guessed" in svg and "idle 1080 µs (guess)".encode() in svg


def test_overlaps_and_gaps_of_a_channel() -> None:
    modes = [ranged("loiter", 1350, 1630, "µs"), ranged("return", 1580, 2100, "µs")]
    assert [(m.label, m.low, m.high) for m in overlaps(modes)] == [("both on: loiter and return", 1580, 1630)]
    assert [(m.low, m.high) for m in gaps(modes)] == [(1000, 1350)]
    assert gaps([]) == gaps([ranged("x", 2050, 2100, "µs")])
    assert [(m.low, m.high) for m in gaps([])] == [(1000, 2000)]


def test_steps_of_a_link_loss_follow_each_other() -> None:
    svg = link_loss_time_line([Step("notices", 0.5, 0.5, "0.5 s"), Step("waits", 0.6, 0.9, "0.6..0.9 s")])
    bars = list(ElementTree.fromstring(svg).iter(SVG + "rect"))
    scale = Scale(0.0, nice_ceiling(1.4 * 1.02), "s")
    assert float(bars[1].get("x", "0")) == pytest.approx(scale.place(0.5), abs=0.01)
    assert float(bars[1].get("x", "0")) + float(bars[1].get("width", "0")) == pytest.approx(scale.place(1.4), abs=0.01)


@given(st.floats(1e-6, 1e9), st.integers(2, 10))
def test_steps_are_round_and_not_too_many(span: float, most: int) -> None:
    step = nice_step(span, most)
    assert span / step <= most * (1 + 1e-9)
    digit = step / 10 ** math.floor(math.log10(step) + 1e-9)
    assert any(math.isclose(digit, nice, rel_tol=1e-9) for nice in (1, 2, 5))


numbers = st.floats(0, 1e5) | st.just(0.0) | st.floats(0, 1e-3)
flags = st.lists(
    st.builds(Flag, st.sampled_from(["error", "warning", "note"]), st.integers(1, 300), st.just("finding-1")),
    max_size=4,
)


@st.composite
def any_mark(draw: st.DrawFn) -> Mark:
    low, high = sorted((draw(numbers), draw(numbers)))
    high = draw(st.sampled_from([low, high, math.inf]))
    words = draw(st.sampled_from(["fence", "counts as near home on link loss", "home and down from the fence, with reserve"]))
    return Mark(words, low, high, f"{low:.6g}..{high:.6g} m", draw(st.sampled_from(["stated", "guess"])), tuple(draw(flags)))


@settings(max_examples=60, deadline=None)
@given(st.lists(any_mark(), max_size=14))
def test_any_marks_at_all_leave_every_label_readable(marks: list[Mark]) -> None:
    draw_side = return_side_view(marks, Way("en_route", marks[0] if marks else None), marks[:2])
    for svg in (plan_view(marks), draw_side, speed_scale(marks), throttle_ruler(marks), frequency_scale(marks)):
        assert boxes.overlaps(svg) == []
        assert boxes.outside(svg) == []
        assert not re.search(rb'="[^"]*\b(nan|inf)\b', svg)


def test_the_look_for_overlaps_finds_one() -> None:
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 40"><text x="5" y="20">fence</text>'
    svg += b'<text x="20" y="24">turn</text>'
    assert boxes.overlaps(svg + b"</svg>") == [("fence", "turn")]
    assert boxes.outside(svg + b'<text x="80" y="38">outside</text></svg>') == ["outside"]
