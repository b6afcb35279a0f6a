"""The ladder from end to end: the examples, what rules take from the record, and the printed cards."""

from __future__ import annotations

from pathlib import Path

import pytest

from cfglint.cli import plan_command
from cfglint.flights.flown import with_flights
from cfglint.judge.environment import Environments
from cfglint.judge.judge import Judge
from cfglint.judge.verdict import CLEAR, UNDECIDED
from cfglint.pack.load import shipped_pack
from tests.flights.craft import EXAMPLES, QUAD, example, parsed, quad, record, states, work

PACK = shipped_pack()
HOSTILE = 'name = "<script>alert(1)</script> | `x` [a](http://b) \\u001b[31m"'


def outcome(rule: str, dump: str) -> str:
    setup, _ = with_flights(work(dump).stated, dump, PACK)
    return max(case.outcome for case in Judge(PACK).rule_cases(rule, setup, Environments(setup)))


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert plan_command.run(parsed("plan", *arguments)) == 0
    return capsys.readouterr().out


def test_one_craft_at_the_beginning_one_halfway_one_finished() -> None:
    beginning, halfway, finished = (
        example("thimble", "oxlip"),
        example("cartwheel", "pennywort"),
        example("washboard", "oxlip"),
    )
    assert set(states(beginning).values()) == {"open"}
    assert set(states(finished).values()) == {"flown"}
    found = states(halfway)
    assert [id for id, state in found.items() if state == "stale"] == ["position-hold", "return-first"]
    rungs = {rung.card.id: rung for rung in halfway.rungs()}
    change = rungs["position-hold"].status.changes[0]
    assert (change.id, change.was, change.now) == ("position_hold.max_speed", "6 m/s", "10 m/s")
    assert next(rung.card.id for rung in halfway.rungs() if rung.is_next) == "position-hold"


def test_the_bench_settles_what_no_dump_shows(tmp_path: Path) -> None:
    held = QUAD + "switch.position_hold.channel = 7\nbarometer.enabled = on\n"
    dump = quad(tmp_path, held)
    assert outcome("lift/barometer-open", dump) == UNDECIDED
    record(dump, "bench-balance", "--seen", "craft.barometer_shielded=yes")
    assert outcome("lift/barometer-open", dump) == CLEAR
    quad(tmp_path, held, (tmp_path / "craft.toml").read_text().replace("600", "700"))
    assert outcome("lift/barometer-open", dump) == UNDECIDED


def test_what_the_receiver_puts_out_on_loss_is_taken_from_the_bench(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    record(dump, "bench-radio")
    record(dump, "bench-link-loss", "--seen", "craft.receiver_loss_output=hold_last")
    setup, flown = with_flights(work(dump).stated, dump, PACK)
    assert setup.settings["receiver.loss_output"].value.words == {"hold_last"}
    assert setup.settings["receiver.loss_output"].origin == "flight record"
    assert flown.statuses["bench-link-loss"].state == "flown"
    assert setup.settings["craft.receiver_loss_output"].places[0].file.endswith("flights.toml")


def test_bench_and_craft_file_that_disagree_are_a_problem_and_leave_it_open(tmp_path: Path) -> None:
    facts = '[craft]\nkind = "quadrotor"\nreceiver_loss_output = "no_pulses"\n'
    dump = quad(tmp_path, QUAD, facts)
    record(dump, "bench-radio")
    record(dump, "bench-link-loss", "--seen", "craft.receiver_loss_output=preset")
    setup, flown = with_flights(work(dump).stated, dump, PACK)
    assert setup.settings["receiver.loss_output"].value.words == {"no_pulses", "preset"}
    assert "saw preset" in flown.problems[0].message


def test_board_orientation_is_clear_after_the_bench_and_not_after_the_next_edit(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    rule = "motors/board-orientation-unproven"
    quad(tmp_path, QUAD + "mounting.roll = 0 deg\nmounting.pitch = 0 deg\n")
    assert outcome(rule, dump) == "risky"
    record(dump, "bench-orientation")
    assert outcome(rule, dump) == CLEAR
    quad(tmp_path, QUAD + "mounting.roll = 0 deg\nmounting.pitch = 3 deg\n")
    assert outcome(rule, dump) == "risky"


def test_without_a_record_nothing_is_read_and_nothing_is_proven(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    stated = work(dump).stated
    setup, flown = with_flights(stated, dump, PACK)
    assert setup is stated
    assert not flown.statuses


@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_the_same_bytes_every_time(capsys: pytest.CaptureFixture[str], form: str) -> None:
    craft = (str(EXAMPLES / "cartwheel/cartwheel.dump"), "--map", str(EXAMPLES / "pennywort.map.toml"))
    arguments = (*craft, "--format", form, "--width", "100")
    first = printed(capsys, *arguments)
    assert first == printed(capsys, *arguments)
    assert "position_hold.max" in first.replace("\\", "")
    assert "not airworthiness" in first


@pytest.mark.parametrize("card", [(), ("first-hover",)])
def test_nothing_hostile_gets_through(tmp_path: Path, capsys: pytest.CaptureFixture[str], card: tuple[str, ...]) -> None:
    dump = quad(tmp_path, QUAD, f'[craft]\n{HOSTILE}\nkind = "quadrotor"\n')
    html = printed(capsys, *card, dump, "--format", "html")
    assert "<script" not in html and "\x1b" not in html
    assert "&lt;script&gt;" in html
    markdown = printed(capsys, *card, dump, "--format", "markdown")
    assert "<script" not in markdown and "](http" not in markdown.replace("\\]", "") and "\x1b" not in markdown
    assert "\x1b" not in printed(capsys, *card, dump, "--color", "never")


def test_the_html_needs_nothing_from_outside_and_has_a_page_for_each_card(capsys: pytest.CaptureFixture[str]) -> None:
    craft = (str(EXAMPLES / "washboard/washboard.dump"), "--map", str(EXAMPLES / "oxlip.map.toml"))
    html = printed(capsys, *craft, "--format", "html")
    assert not [word for word in ("http:", "https:", "src=", "href=", "@import", "url(", "<script") if word in html]
    assert html.count('<section class="card') == 21
    assert "break-after: page" in html and "width=device-width" in html
    assert html.count('class="box"') > 200


def test_an_airframe_nobody_named_has_no_ladder(tmp_path: Path) -> None:
    from cfglint.text.problem import Refused

    dump = quad(tmp_path, QUAD, '[craft]\nmass = "600 g"\n')
    with pytest.raises(Refused, match="airframe is not known"):
        work(dump)


def test_a_card_that_is_locked_says_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    dump = quad(tmp_path, QUAD.replace("link_loss.action = land", "link_loss.action = none"))
    text = printed(capsys, dump, "--width", "200")
    assert "first: link-loss/no-action: nothing ends the flight when the link is lost" in text
    assert "next: bench-orientation" in text
