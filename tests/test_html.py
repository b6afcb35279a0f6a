"""The HTML report: what stands on it, that it can't be broken out of, and that it stays the same."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from cfglint.judge.examples import example_setup
from cfglint.judge.judge import Judge
from cfglint.report.assemble import refused_report
from cfglint.report.html import render_html
from cfglint.report.html_data import drawings_of
from cfglint.report.html_fleet import render_fleet
from cfglint.report.known import Known, Page
from cfglint.setup.interpret import interpret
from cfglint.setup.name_map import identity_map
from cfglint.text.dump import read
from cfglint.text.problem import refuse
from tests.html import boxes
from tests.html.pages import EIGHT, described, judged, page_of, spoilt

VOID = {"meta", "br", "path", "circle", "rect", "line", "polyline"}
RISKY = {
    "loiter.radius": "6 m",
    "return.altitude": "12 m",
    "battery.cell_critical": "2.9 V",
    "link_loss.action": "none",
}
AMOUNTS = (
    ("fence/no-room-to-stop", "speed"),
    ("fence/no-room-to-stop", "tilt"),
    ("fence/no-room-to-turn", "speed"),
    ("fence/no-room-to-turn", "turn"),
    ("fence/beyond-sight", "sight"),
    ("fence/wing-beyond-sight", "sight"),
    ("fence/ceiling-leaves-no-room", "passed"),
    ("fence/wing-ceiling-leaves-no-room", "ceiling_above_home"),
    ("return/climbs-straight-out-before-turning", "run_out"),
    ("link-loss/descent-runs-out-of-time", "height"),
    ("link-loss/descent-runs-out-of-time", "sinking_time"),
    ("link-loss/detected-late", "unguided"),
    ("lift/hover-throttle-against-thrust", "expected_least"),
    ("lift/hover-throttle-against-thrust", "expected_most"),
    ("wing/bank-limit-stalls", "turning_stall"),
    ("loop/notch-misses-the-rotors", "rotor_least"),
    ("loop/notch-misses-the-rotors", "rotor_most"),
    ("loop/filters-delay-too-much", "gyro_path"),
    ("return/not-enough-charge-to-get-home", "needed_fence"),
    ("return/not-enough-charge-to-get-home", "climb_rate"),
    ("return/fence-farther-than-the-charge", "way_home"),
    ("battery/stops-too-late", "lowest_allowed"),
    ("battery/wing-stops-too-late", "lowest_allowed"),
)


class Structure(HTMLParser):
    """Tags that nest, ids, links and attributes of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.headings: list[int] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}
        self.ids += [value or "" for name, value in attrs if name == "id"]
        self.links += [value or "" for name, value in attrs if name == "href"]
        self.headings += [int(tag[1])] if re.fullmatch("h[1-6]", tag) else []
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)


def risky_page(judge: Judge, name: str = "flying_wing_pusher") -> Page:
    description = described(name)
    description["settings"].update(RISKY)
    return page_of(judge, description)


@pytest.mark.parametrize("name", EIGHT)
def test_a_page_is_well_formed_and_every_link_leads_somewhere(judge: Judge, name: str) -> None:
    found = Structure(render_html([page_of(judge, described(name))]))
    assert not found.wrong and not found.open
    assert len(set(found.ids)) == len(found.ids)
    assert all(link.startswith("#") and link[1:] in found.ids for link in found.links)
    assert found.headings[0] == 1 and all(b - a <= 1 for a, b in zip(found.headings, found.headings[1:], strict=False))


@pytest.mark.parametrize("how", ["as it is", "tiny", "huge", "clashing", "missing"])
@pytest.mark.parametrize("name", EIGHT)
def test_no_label_hides_another_or_leaves_the_frame(judge: Judge, name: str, how: str) -> None:
    setup = example_setup(judge.pack, described(name))
    page = judged(judge, setup if how == "as it is" else spoilt(setup, how))
    pictures = [picture for drawing in drawings_of(page) for picture in drawing.pictures]
    assert [pair for picture in pictures for pair in boxes.overlaps(picture)] == []
    assert [text for picture in pictures for text in boxes.outside(picture)] == []
    if how != "missing":
        assert len(pictures) >= 6


def test_nothing_is_drawn_of_what_nobody_knows(judge: Judge) -> None:
    page = page_of(judge, {"airframe": "quadrotor", "settings": {"fence.radius": "80 m"}})
    drawings = {drawing.id: drawing for drawing in drawings_of(page)}
    plan: bytes = drawings["plan"].pictures[0]
    assert b"fence 80 m" in plan
    assert b"clear radius" not in plan
    assert "clear radius of the field: not known" in drawings["plan"].missing
    assert not drawings["throttle"].pictures and not drawings["speed"].pictures and not drawings["battery"].pictures
    assert "What it does on link loss is not known." in drawings["link-loss"].sentence


def test_a_rule_s_objection_is_on_the_drawing_and_leads_to_its_finding(judge: Judge) -> None:
    page = risky_page(judge)
    text = render_html([page])
    number = next(n for n, f in enumerate(page.report.findings, 1) if f.rule.startswith("wing/loiter"))
    assert f'href="#finding-{number}"' in text and f'id="finding-{number}"' in text
    loiter = next(m for m in re.findall(r'<circle[^>]*class="stroke loiter[^"]*"', text))
    assert "error" in loiter or "warning" in loiter
    assert '<a href="#drawing-plan">Plan view round home</a>' in text


def test_findings_stand_with_lines_arithmetic_remedy_and_authority(judge: Judge) -> None:
    page = risky_page(judge)
    text = render_html([page], "3 May 2026")
    for finding in page.report.findings:
        assert finding.rule in text
        assert all(source in text for source in finding.basis)
    assert "loiter.radius = 6 m" in text and "worked out: " in text and "3 May 2026" in text


def test_settings_and_unknown_lines_are_listed(judge: Judge) -> None:
    dump = read(b"loiter.radius = 60 m\nwhat.is.this = 3\nreturn.altitude = 40 m\n", "craft.dump", given={"separator": "="})
    setup = interpret(dump, identity_map(), judge.pack.catalogue)
    text = render_html([judged(judge, setup)])
    assert "<td>loiter.radius</td><td>60 m</td><td>dump</td><td>craft.dump:1</td>" in text
    assert "2: what.is.this = 3" in text


HOSTILE = (
    "<script>alert(1)</script>",
    "\"'><img src=x onerror=alert(1)>",
    "</style></title><b>",
    "a\x00b\x1b[31m\u202ec",
    "&lt;",
    "]]>",
)


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_stays_text(judge: Judge, hostile: str) -> None:
    line = f"{hostile} = {hostile}\nloiter.radius = 6 m  # {hostile}\nreturn.climb = {hostile}\n"
    dump = read(line.encode("utf-8", "surrogatepass"), hostile, given={"separator": "="})
    setup = interpret(dump, identity_map(), judge.pack.catalogue)
    setup = setup._replace(facts=setup.facts._replace(craft_name=hostile))
    page = judged(judge, setup)
    calm = Structure(render_html([page_of(judge, described("five_inch"))]))
    report = page.report._replace(findings=tuple(f._replace(message=hostile, rule=hostile) for f in page.report.findings))
    for text in (
        render_html([page._replace(report=report)], hostile),
        render_fleet([report], {hostile: hostile}, hostile),
    ):
        found = Structure(text)
        assert not found.wrong and not found.open
        assert found.tags <= calm.tags | {"table", "thead", "tbody", "pre", "br", "ul", "li"}
        assert not [name for name in found.attributes if name.startswith("on")]
        assert not re.search("[\x00-\x09\x0b-\x1f\x7f\u202a-\u202e]", text)


def test_the_page_fetches_nothing_and_runs_nothing(judge: Judge) -> None:
    text = render_html([risky_page(judge)])
    found = Structure(text)
    assert not found.tags & {"script", "link", "img", "iframe", "object", "embed", "base", "form", "style-src"}
    assert not found.attributes & {"src", "srcset", "action", "data", "style"}
    assert not re.search(r"url\((?!#hatch\))|@import|https?://(?!www\.w3\.org/2000/svg)", text)
    assert "default-src &#x27;none&#x27;" in text


def test_the_same_bytes_every_time(judge: Judge) -> None:
    assert render_html([risky_page(judge)], "x") == render_html([risky_page(Judge(judge.pack))], "x")


def test_several_reports_on_one_page_keep_their_anchors_apart(judge: Judge) -> None:
    refused = refused_report("broken.dump", refuse("broken.dump", "this is no text").problems)
    found = Structure(render_html([risky_page(judge), risky_page(judge, "five_inch"), refused]))
    assert len(set(found.ids)) == len(found.ids)
    assert all(link[1:] in found.ids for link in found.links)
    assert "craft-2-finding-1" in found.ids


def test_the_fleet_page_shows_the_worst_of_each_topic(judge: Judge) -> None:
    reports = [risky_page(judge).report._replace(file="a.dump", craft="Sorrel"), refused_report("b.dump", ())]
    text = render_fleet(reports, {"a.dump": "a.html", "b.dump": "javascript:alert(1)"})
    assert '<a href="a.html">Sorrel</a>' in text and "javascript" not in text
    wing = sum(f.level == "error" and f.rule.startswith("link-loss/") for f in reports[0].findings)
    assert wing and f"✖ {wing}</td>" in text
    assert "could not be judged" in text


def test_every_amount_that_drawings_ask_of_a_rule_exists(judge: Judge) -> None:
    missing = [f"{rule}: {name}" for rule, name in AMOUNTS if name not in judge.pack.rules[rule].stored["lets"]]
    assert missing == []


def test_drawings_show_the_numbers_that_the_rules_work_out(judge: Judge) -> None:
    description = described("flying_wing_pusher")
    description["settings"]["fence.radius"] = "40 m"
    page = page_of(judge, description)
    known = Known(page)
    turn = known.amount("fence/no-room-to-turn", "turn", ("limit.bank",))
    assert turn is not None
    told = next(v for v in page.judgement.verdicts if any(row.name == "turn" for row in v.trace) and v.rule.startswith("fence/"))
    mark = known.amount_mark("turn", turn, "m")
    assert mark is not None and mark.shown == next(row.shown for row in told.trace if row.name == "turn")


def test_a_check_shows_the_flight_record_of_a_craft(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    from cfglint.cli.main import main
    from tests.conftest import ROOT

    monkeypatch.chdir(ROOT)
    main(
        ["check", "examples/cartwheel/cartwheel.dump", "--map", "examples/pennywort.map.toml", "--no-config", "--format", "html"]
    )
    page = capsys.readouterr().out
    assert "no flight record" not in page and "stale" in page
