"""Drafting a name map: guesses that are right, doubt where doubt is due, and files that are no dumps."""

from __future__ import annotations

import argparse
import io
import sys
import tomllib
from pathlib import Path

import pytest

from cfglint.cli.draft_command import add_arguments, run
from cfglint.draft.draft import DOUBTFUL, NOTHING, PROPOSED, Draft, Drafting, Proposal
from cfglint.draft.fit import fit
from cfglint.draft.map_text import map_text
from cfglint.draft.questions import questions, refused_keys, with_answer
from cfglint.draft.recognise import no_dump_reason
from cfglint.pack.load import shipped_pack
from cfglint.setup.craft_file import facts_of
from cfglint.setup.interpret import interpret
from cfglint.setup.name_map import load_name_map
from cfglint.setup.setting import GUESS
from cfglint.text.dump import read
from tests.controllers.measure import HELD_OUT, HERE, TUNED_ON, drafting, measured

PLAIN = b"""
rc_channels = 16
failsafe_action = return
failsafe_delay_ms = 800
return_altitude = 3500
return_speed = 900
hover_throttle = 0.52
battery_cells = 4
battery_cell_min = 3.30
motor_protocol = 3
fence_radius = 15000
fence_ceiling = 10000
landing_speed = 60
led_brightness = 70
camera_tilt_min = 1100
"""


@pytest.fixture(scope="module")
def shared() -> Drafting:
    return drafting()


def drafted(shared: Drafting, data: bytes) -> Draft:
    return shared.draft([read(data, "a.dump")])


def of(draft: Draft, key: str) -> Proposal:
    return next(p for p in draft.proposals if p.key.name == key)


@pytest.mark.parametrize(
    ("key", "setting", "unit"),
    [
        ("failsafe_delay_ms", "link_loss.reaction_time", "ms"),
        ("return_altitude", "return.altitude", "cm"),
        ("hover_throttle", "hover.throttle", "of travel"),
        ("battery_cell_min", "battery.cell_critical", "V"),
        ("landing_speed", "landing.final_rate", "0.01 m/s"),
    ],
)
def test_names_and_units_are_guessed(shared: Drafting, key: str, setting: str, unit: str) -> None:
    found = of(drafted(shared, PLAIN), key)
    assert found.bin == PROPOSED
    assert (found.guesses[0].setting, found.guesses[0].unit) == (setting, unit)


@pytest.mark.parametrize(
    ("value", "unit"), [("0.52", "of travel"), ("52", "% of travel"), ("1520", "us"), ("520", "0.1 % of travel")]
)
def test_a_throttle_is_read_by_its_size(shared: Drafting, value: str, unit: str) -> None:
    assert (
        of(
            drafted(shared, f"hover_throttle = {value}\nloop_rate = 1000\nfence_radius = 100\n".encode()),
            "hover_throttle",
        )
        .guesses[0]
        .unit
        == unit
    )


@pytest.mark.parametrize("key", ["led_brightness", "camera_tilt_min"])
def test_what_is_no_setting_of_flight_is_left_alone(shared: Drafting, key: str) -> None:
    assert of(drafted(shared, PLAIN), key).bin != PROPOSED


def test_codes_that_are_numbers_are_asked_for_and_words_are_understood(shared: Drafting) -> None:
    draft = drafted(shared, PLAIN.replace(b"return\n", b"go-home\n"))
    protocol, action = of(draft, "motor_protocol").guesses[0], of(draft, "failsafe_action").guesses[0]
    assert (protocol.setting, dict(protocol.codes), protocol.open) == ("motor.protocol", {}, ("3",))
    assert (action.setting, dict(action.codes)) == ("link_loss.action", {"go-home": "return"})


def test_a_unit_that_may_be_two_things_is_doubtful(shared: Drafting) -> None:
    found = of(drafted(shared, b"waypoint_radius = 40\nroll_p = 40\nroll_i = 30\n"), "waypoint_radius")
    assert found.guesses[0].setting == "waypoint.radius"
    assert found.guesses[0].chance < found.guesses[0].name_chance


def test_a_remark_beside_the_value_tells_the_unit(shared: Drafting) -> None:
    draft = drafted(shared, b"cruise_airspeed = 170  # 17 m/s\nloiter_radius = 600 # tenths of a metre\nroll_p = 3\n")
    assert of(draft, "cruise_airspeed").guesses[0].unit == "0.1 m/s"
    assert of(draft, "loiter_radius").guesses[0].unit == "0.1 m"


def test_facts_of_the_craft_tell_where_a_value_lies(shared: Drafting) -> None:
    document = {
        "facts": [["craft.kind", "quadrotor", 1, 1, ""], ["craft.battery_capacity", "22 Ah", 2, 1, ""]],
        "craft_name": "",
        "site_name": "",
    }
    facts = facts_of(document, "craft.toml", shared.catalogue)
    informed = Drafting(shared.catalogue, shared.scales.lexicon, facts)
    dump = read(b"battery_capacity = 22\nlaunch_detection = on\nroll_p = 4\n", "a")
    assert of(informed.draft([dump]), "battery_capacity").guesses[0].unit == "Ah"
    assert of(informed.draft([dump]), "launch_detection").bin != PROPOSED
    assert of(shared.draft([dump]), "launch_detection").bin == PROPOSED


def test_no_setting_is_proposed_twice(shared: Drafting) -> None:
    for name in TUNED_ON:
        draft = drafted(shared, (HERE / f"{name}.dump").read_bytes())
        settings = [p.guesses[0].setting for p in draft.binned(PROPOSED)]
        assert len(settings) == len(set(settings))


def test_several_dumps_are_one_controller(shared: Drafting) -> None:
    one, two = (read(f"failsafe_action = {word}\nroll_p = 4\n".encode(), word) for word in ("land", "go-home"))
    found = of(shared.draft([one, two]), "failsafe_action")
    assert found.key.values == ("land", "go-home")
    assert dict(found.guesses[0].codes) == {"go-home": "return"}


def test_nothing_of_a_draft_is_confirmed(shared: Drafting) -> None:
    name_map = drafted(shared, PLAIN).name_map()
    assert name_map.keys
    assert not any(rule.confirmed for rule in name_map.keys.values())
    setup = interpret(read(PLAIN, "a.dump"), name_map, shared.catalogue)
    assert setup.settings["return.altitude"].origin == GUESS
    assert setup.settings["return.altitude"].value.low == 35.0


@pytest.mark.parametrize("name", TUNED_ON)
def test_right_on_the_controllers_it_was_tuned_on(shared: Drafting, name: str) -> None:
    score = measured(name, shared)
    assert score.precision >= 0.98
    assert score.unit_precision >= 0.98
    assert score.recall >= 0.85


def test_right_on_the_controllers_kept_from_tuning(shared: Drafting) -> None:
    scores = [measured(name, shared) for name in HELD_OUT]
    proposed, right = sum(s.proposed for s in scores), sum(s.right_names for s in scores)
    assert right / proposed >= 0.98
    assert sum(s.right_units for s in scores) / right >= 0.98
    assert right / sum(s.meaningful for s in scores) >= 0.85


@pytest.mark.parametrize("name", [*TUNED_ON, *HELD_OUT])
def test_the_map_can_be_read_back_and_fits(shared: Drafting, name: str, tmp_path: Path) -> None:
    pack = shipped_pack()
    dump = read((HERE / f"{name}.dump").read_bytes(), name)
    draft = shared.draft([dump])
    path = tmp_path / "drafted.toml"
    path.write_text(map_text(draft, name), encoding="utf-8")
    name_map = load_name_map(str(path), pack.catalogue, pack.key)
    assert dict(name_map.keys) == dict(draft.name_map().keys)
    again = read(dump.source.data, name, given=name_map.layout)
    found = fit(name_map, again, pack.catalogue)
    assert (found.present, found.wrong, found.is_bad) == (found.mapped, 0, False)


def test_a_map_of_another_controller_fits_badly(shared: Drafting) -> None:
    name_map = drafted(shared, PLAIN).name_map()
    other = fit(name_map, read((HERE / "lungwort.dump").read_bytes(), "l"), shared.catalogue)
    assert other.is_bad
    assert "0 of the map's" in other.reasons()[0]
    wild = fit(name_map, read(PLAIN.replace(b"900", b"900000000").replace(b"3500", b"99999999"), "w"), shared.catalogue)
    assert wild.wrong == 2


HOSTILE = (
    b'k"]\\[\x07 = 1\nreturn_altitude = 40 m # \x1b[31m"""\nfence_radius = 100 m\n"quoted = key" = 3\n\xff\xfe\xed\xa0\x80 = 4\n'
)


def test_hostile_names_stay_inside_their_strings(shared: Drafting) -> None:
    text = map_text(drafted(shared, HOSTILE * 3), 'a "b" \\ \x00 \ud800')
    table = tomllib.loads(text)
    assert "fence_radius" in table["key"]
    assert "\x1b" not in text


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02" * 50, "no text"),
        (b'{"a": 1, "b": {"c": 2}}\n', "JSON"),
        (b'[\n  {"a": 1},\n  {"a": 2}\n]\n', "JSON"),
        (b"time,ax,ay,az\n" + b"".join(b"%d,0.1,0.2,9.8\n" % n for n in range(40)), "log"),
        (
            b"The morning was cold and the field was wet.\nWe flew three packs and went home for tea.\n" * 5,
            "prose",
        ),
        (b"import os\nimport sys\n\ndef main():\n    x = 1\n    return x\n\nclass A:\n    y = 2\n", "source code"),
        (
            b"#include <stdio.h>\nint main(void) {\n  int a = 1;\n  return a;\n}\n#define B 2\nstatic int c = 3;\n",
            "source code",
        ),
        (b"<html><body>x = 1</body></html>\n", "markup"),
        (b"a = 1\n", "only 1 lines"),
    ],
)
def test_a_file_that_is_no_dump_is_named_for_what_it_is(data: bytes, reason: str) -> None:
    said = no_dump_reason(read(data, "x"))
    assert said is not None
    assert reason in said


@pytest.mark.parametrize("name", [*TUNED_ON, *HELD_OUT])
def test_dumps_are_taken_for_dumps(name: str) -> None:
    assert no_dump_reason(read((HERE / f"{name}.dump").read_bytes(), name)) is None


def test_answers_are_kept_in_the_text(shared: Drafting) -> None:
    draft = drafted(shared, PLAIN)
    text = map_text(draft, "plain")
    first = len(questions(draft, text, tomllib.loads(text)))
    text = with_answer(text, "return_altitude", of(draft, "return_altitude").guesses[0])
    text = with_answer(text, "hover_throttle", None)
    table = tomllib.loads(text)["key"]
    assert table["return_altitude"] == {"setting": "return.altitude", "unit": "cm", "confirmed": True}
    assert "hover_throttle" not in table
    assert refused_keys(text) == {"hover_throttle"}
    assert len(questions(draft, text, tomllib.loads(text))) == first - 2


def _command(*arguments: str) -> int:
    parser = argparse.ArgumentParser()
    add_arguments(parser.add_subparsers(dest="command"))
    return run(parser.parse_args(["draft", *arguments]))


def _hear(monkeypatch: pytest.MonkeyPatch, *answers: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(answer + "\n" for answer in answers)))


def test_asking_goes_on_where_it_was_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    dump, path = tmp_path / "a.dump", tmp_path / "a.toml"
    dump.write_bytes(PLAIN)
    _hear(monkeypatch, "y", "n")
    assert _command(str(dump), "-o", str(path), "--ask") == 0
    said = capsys.readouterr().err
    assert "rc_channels = 16" in said
    assert "go on with the same command" in said
    confirmed = [key for key, table in tomllib.loads(path.read_text())["key"].items() if table["confirmed"]]
    assert confirmed == ["rc_channels"]
    _hear(monkeypatch, "other", "no.such", "hover.throttle", "deg", "hover.throttle", "%")
    assert _command(str(dump), "-o", str(path), "--ask") == 0
    said = capsys.readouterr().err
    assert "rc_channels = 16" not in said
    assert "no setting is called 'no.such'" in said
    assert "'deg' does not fit hover.throttle" in said
    assert tomllib.loads(path.read_text())["key"]["failsafe_delay_ms"]["setting"] == "hover.throttle"
    assert not list(tmp_path.glob("*.part"))


def test_the_command_never_overwrites_and_refuses_what_is_no_dump(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    dump, path, prose = tmp_path / "a.dump", tmp_path / "a.toml", tmp_path / "b.txt"
    dump.write_bytes(PLAIN)
    prose.write_text("This is a long letter about the weather and the club.\n" * 9)
    assert _command(str(dump), "-o", str(path)) == 0
    before = path.read_bytes()
    assert _command(str(dump), "-o", str(path)) == 2
    assert path.read_bytes() == before
    assert _command(str(prose), "-o", str(tmp_path / "c.toml")) == 2
    assert not (tmp_path / "c.toml").exists()
    assert "doesn't look like a settings dump: it is prose" in capsys.readouterr().err
    assert _command(str(dump), "--ask") == 2
    assert _command(str(tmp_path / "none.dump")) == 2


def test_the_bins_hold_every_key_once(shared: Drafting) -> None:
    draft = drafted(shared, PLAIN)
    assert sum(len(draft.binned(name)) for name in (PROPOSED, DOUBTFUL, NOTHING)) == len(draft.proposals) == 14
