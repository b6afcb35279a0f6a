"""Writing flights down: nothing earlier is lost, and what is wrong leaves the file untouched."""

from __future__ import annotations

import threading
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfglint.cli.flight_work import read_work
from cfglint.flights.add_flight import NewFlight, add_flight, flight_text, read_if_there
from cfglint.flights.record_flight import line_to_write, not_written_back
from cfglint.text.problem import Refused
from tests.flights.craft import EXAMPLES, QUAD, parsed, quad, record, refusal, states, work

FLIGHT = NewFlight("bench-radio", "2026-06-01", "passed")


def test_comments_and_entries_stay_byte_for_byte(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    record(dump, "bench-orientation")
    path = tmp_path / "flights.toml"
    noted = b"# the propellers were in the drawer\r\n[[flight]]   # mine"
    by_hand = path.read_bytes().replace(b"[[flight]]", noted).rstrip(b"\n")
    path.write_bytes(by_hand)
    record(dump, "bench-radio", "--remarks", 'a "quoted" word\nand \x1b[31m a line')
    assert path.read_bytes().startswith(by_hand)
    flights = tomllib.loads(path.read_text())["flight"]
    assert [flight["card"] for flight in flights] == ["bench-orientation", "bench-radio"]
    assert flights[1]["remarks"] == 'a "quoted" word\nand \x1b[31m a line'
    assert [p.name for p in tmp_path.iterdir() if "part" in p.name or "lock" in p.name] == []


def test_the_values_themselves_are_recorded(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    record(dump, "bench-balance", "--seen", "craft.barometer_shielded=yes", "--measured", "craft.mass=0.605 kg")
    flight = tomllib.loads((tmp_path / "flights.toml").read_text())["flight"][0]
    assert flight["values"]["craft.mass"] == "0.6 kg"
    assert flight["measured"] == {"craft.mass": "0.605 kg"}
    assert flight["seen"] == {"craft.barometer_shielded": "on"}


def test_line_ends_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "flights.toml"
    path.write_bytes(b"# mine\r\n\r\n" + flight_text(FLIGHT).encode().replace(b"\n", b"\r\n"))
    add_flight(str(path), FLIGHT, "", path.read_bytes())
    assert b"\n" not in path.read_bytes().replace(b"\r\n", b"")


_TEXT = st.text(max_size=60)
_FLIGHTS = st.builds(
    NewFlight, st.just("bench-radio"), st.just("2026-06-01"), st.just("aborted"), _TEXT, st.integers(1, 9), _TEXT,
    st.lists(_TEXT, max_size=3).map(tuple), values=st.dictionaries(_TEXT, _TEXT, max_size=3),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(_FLIGHTS, min_size=1, max_size=4), st.text(max_size=20))
def test_recording_never_loses_an_entry(tmp_path_factory: pytest.TempPathFactory, flights: list[NewFlight], craft: str) -> None:
    path = tmp_path_factory.mktemp("record") / "flights.toml"
    for count, flight in enumerate(flights, 1):
        before = read_if_there(str(path))
        add_flight(str(path), flight, craft, before)
        assert before is None or path.read_bytes().startswith(before)
        kept = tomllib.loads(path.read_text())["flight"]
        assert len(kept) == count
        assert kept[-1]["repetitions"] == flight.repetitions
        assert kept[-1].get("remarks", "") == flight.remarks


def test_two_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    path = str(tmp_path / "flights.toml")
    add_flight(path, FLIGHT, "Bobbin", None)
    outcomes: list[str] = []
    gate = threading.Barrier(8)

    def write() -> None:
        known = read_if_there(path)
        gate.wait()
        try:
            add_flight(path, FLIGHT, "Bobbin", known)
            outcomes.append("written")
        except Refused as refused:
            outcomes.append(refused.problems[0].message)

    writers = [threading.Thread(target=write) for _ in range(8)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    flights = tomllib.loads(Path(path).read_text())["flight"]
    assert outcomes.count("written") == 1 == len(flights) - 1
    assert all("somebody else" in outcome for outcome in outcomes if outcome != "written")


def test_a_lock_that_is_held_refuses_and_says_what_to_do(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    (tmp_path / "flights.toml.lock").touch()
    assert "delete flights.toml.lock" in refusal(dump, "bench-orientation")
    assert not (tmp_path / "flights.toml").exists()
    assert (tmp_path / "flights.toml.lock").exists()


@pytest.mark.parametrize(
    ("card", "more", "says"),
    [
        ("bench-orientatoin", (), "did you mean 'bench-orientation'?"),
        ("loiter", (), "not for this craft"),
        ("bench-orientation", ("--date", "2026-07-01"), "in the future"),
        ("bench-orientation", ("--date", "2026-02-30"), "is no day"),
        ("bench-orientation", ("--aborted", " "), "needs a reason"),
        ("bench-orientation", ("--repetitions", "0"), "from 1 on"),
        ("bench-motors", (), "locked: bench-orientation: not flown yet; bench-radio: not flown yet"),
        ("bench-radio", ("--measured", "stick.end_low=700 us"), "outside what is possible"),
        ("bench-radio", ("--measured", "stick.end_low=988"), "needs a unit"),
        ("bench-radio", ("--measured", "stick.end_low=0.5 m"), "stick.end_low"),
        ("bench-radio", ("--measured", "stick.end_lo=988 us"), "did you mean 'stick.end_low'?"),
        ("bench-radio", ("--measured", "stick.end_low"), "is no ID=VALUE"),
        ("bench-radio", ("--measured", "stick.end_low=988 us", "--measured", "stick.end_low=989 us"), "given twice"),
        ("bench-link-loss", ("--despite",), "--seen craft.receiver_loss_output=..."),
        ("bench-link-loss", ("--despite", "--seen", "craft.receiver_loss_output=perhaps"), "no word for it"),
        ("first-hover", ("--despite",), "--measured hover.throttle=..."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_written(tmp_path: Path, card: str, more: tuple[str, ...], says: str) -> None:
    assert says in refusal(quad(tmp_path), card, *more)
    assert [p.name for p in sorted(tmp_path.iterdir())] == ["bobbin.dump", "craft.toml"]


ENTRY = "[[flight]]\ncard = 'bench-radio'\ndate = 2026-06-01\noutcome = 'passed'\n"


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("[[flight]]\ncard = 'bench-radio'\ndate = 2026-06-01\noutcome = 'good'\n", 4, "outcome"),
        ("[[flight]]\ncard = 'bench-radoi'\ndate = 2026-06-01\noutcome = 'passed'\n", 2, "did you mean 'bench-radio'?"),
        ("[[flight]]\ncard = 'bench-radio'\ndate = 'soon'\noutcome = 'passed'\n", 3, "date"),
        ("[[flight]]\ncard = 'bench-radio'\ndate = 2026-06-01\noutcome = 'aborted'\n", 1, "needs a reason"),
        ("[[flight]]\ncard = 'bench-radio'\noutcome = 'passed'\n", 1, "'date' is missing"),
        (ENTRY + "by = 'me'\n", 5, "nothing here is called 'by'"),
        (ENTRY + "values = { 'stick.centre' = '9 kg' }\n", 5, "stick.centre"),
        (ENTRY + "values = { 'stick.center' = '1500 us' }\n", 5, "did you mean"),
        ("[[flight]]\ncard = 'bench-radio'\ndate = 2026-09-01\noutcome = 'passed'\n", 0, "in the future"),
        ("craft = 'Spindle'\n", 0, "the flight record of 'Spindle', but craft.toml says 'Bobbin'"),
        ("[[flight]\n", 1, "not valid TOML"),
    ],
)  # fmt: skip
def test_a_record_that_is_wrong_is_refused_and_left_alone(tmp_path: Path, text: str, line: int, says: str) -> None:
    dump = quad(tmp_path)
    (tmp_path / "flights.toml").write_text(text)
    said = refusal(dump, "bench-orientation")
    assert says in said
    assert f"flights.toml:{line}:" in said
    assert (tmp_path / "flights.toml").read_text() == text


def test_a_record_of_a_form_that_can_not_be_added_to_is_left_alone(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    text = 'flight = [{ card = "bench-radio", date = 2026-06-01, outcome = "passed" }]\n'
    (tmp_path / "flights.toml").write_text(text)
    assert "was left alone" in refusal(dump, "bench-orientation")
    assert (tmp_path / "flights.toml").read_text() == text


def test_flown_in_spite_of_what_is_open_is_recorded_so(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    record(dump, "bench-motors", "--despite")
    flight = tomllib.loads((tmp_path / "flights.toml").read_text())["flight"][0]
    assert flight["despite"] == ["bench-orientation: not flown yet", "bench-radio: not flown yet"]
    assert states(work(dump))["bench-motors"] == "stale"


@pytest.mark.parametrize(
    ("craft", "map_name", "measured", "line"),
    [
        ("thimble", "oxlip", "1585 us", "stick-at-hover = 1585   # not tried yet"),
        ("cartwheel", "pennywort", "1612 us", "peg HoverStick 0.61   // steady hover, no wind"),
    ],
)
def test_a_measured_value_is_offered_in_the_dumps_own_syntax(craft: str, map_name: str, measured: str, line: str) -> None:
    arguments = ("plan", str(EXAMPLES / craft / f"{craft}.dump"), "--map", str(EXAMPLES / f"{map_name}.map.toml"))
    of = read_work(parsed(*arguments))
    from cfglint.setup.convert import convert

    value = convert(measured, of.pack.catalogue["hover.throttle"]).value
    assert value is not None
    assert line_to_write(of.setup, "hover.throttle", value) == line
    flown = of.flown._replace(record=of.setup.record._replace(measured={"hover.throttle": value}))
    assert [row[2] for row in not_written_back(of.setup, flown, of.covered)] == [line]


def test_what_was_written_back_is_not_offered_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    dump = quad(tmp_path, QUAD.replace("1500 us", "1580 us"))
    for card in ("bench-orientation", "bench-radio", "bench-motors", "range-check", "bench-voltage"):
        record(dump, card, "--despite")
    record(dump, "bench-balance", "--seen", "craft.barometer_shielded=yes")
    record(dump, "bench-link-loss", "--seen", "craft.receiver_loss_output=no_pulses")
    record(dump, "range-check")
    record(dump, "first-hover", "--despite", "--measured", "hover.throttle=1570..1590 us")
    assert "to write into the dump" not in capsys.readouterr().out
