"""Bad input: one clear line with place and remedy, the right exit status, other files still judged, never a traceback."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from cfglint.cli.main import main
from tests.conftest import ROOT

GOOD = "link_loss.action = return\nloiter.radius = 60 m\ncruise.speed = 15 m/s\n"


@pytest.fixture
def good(tmp_path: Path) -> Path:
    path = tmp_path / "good.dump"
    path.write_text(GOOD)
    return path


def said(capsys: pytest.CaptureFixture[str]) -> str:
    captured = capsys.readouterr()
    return captured.out + captured.err


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("empty.dump", b"", "empty"),
        ("blank.dump", b" \n\n\t\n", "empty"),
        ("binary.dump", bytes(range(256)) * 8, "no text"),
        ("prose.dump", b"Dear pilot,\nplease look after my craft while I am away.\n", "look like a settings dump"),
        ("other.dump", b"gadget = 3\nwidget = 4\nsprocket = 7\n", "nothing was checked"),
    ],
)
def test_a_file_that_cannot_be_judged(
    name: str, content: bytes, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / name).write_bytes(content)
    assert main(["check", str(tmp_path / name)]) == 2
    assert words in said(capsys).replace("\n  ", " ")


def test_missing_and_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / "nothing.dump")]) == 2
    assert "there is no such file" in said(capsys)
    assert main(["check", str(tmp_path)]) == 2
    assert "folder" in said(capsys)


def test_one_bad_file_never_stops_the_rest(good: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / "gone"), str(good), "--format", "json", "--airframe", "tailed"]) == 2
    files = json.loads(capsys.readouterr().out)["files"]
    assert [file["judged"] for file in files] == [False, True]


def test_unknown_airframe_offers_the_nearest(good: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(good), "--airframe", "quadroter"]) == 2
    assert "did you mean 'quadrotor'?" in said(capsys)


@pytest.mark.parametrize(
    ("craft", "words"),
    [
        ("[craft\n", "not valid TOML"),
        ("[craft]\nmass = 640\n", "needs a unit"),
        ("[craft]\nmass = '640 m'\n", "is a length"),
        ("[craft]\nmass = '640 furlongs'\n", "no unit is called 'furlongs'"),
        ("[craft]\nmas = '640 g'\n", "did you mean 'mass'?"),
        ("[kraft]\nmass = '640 g'\n", "did you mean 'craft'?"),
        ("[craft]\nmass = '9000 kg'\n", "outside what is possible"),
        ("[craft]\nkind = 'balloon'\n", "is no word"),
        ("[site]\ndate = '2026-02-31'\n", "is no day"),
        ("craft = 3\n", "must be a table"),
        ("[craft]\nmass = ['1 kg']\n", "must be one value"),
    ],
)
def test_a_craft_file_that_is_wrong(craft: str, words: str, good: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (good.parent / "craft.toml").write_text(craft)
    assert main(["check", str(good), "--width", "300"]) == 2
    text = said(capsys)
    assert words in text and "craft.toml:" in text


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("", "'controller' is missing"),
        ("controller = 'x'\n", "names no key"),
        ("controller = 'x'\n[key.a]\nsetting = 'loiter.radus'\n", "did you mean 'loiter.radius'?"),
        ("controller = 'x'\n[key.a]\nsetting = 'loiter.radius'\nunit = 's'\n", "is a time; loiter.radius is a length"),
        ("controller = 'x'\n[key.a]\nsetting = 'loiter.radius'\nunit = 'metres'\n", "no unit is called 'metres'"),
        ("controller = 'x'\n[key.a]\nseting = 'loiter.radius'\n", "did you mean 'setting'?"),
        ("controller = 'x'\n[key.a]\nsetting = 'link_loss.action'\ncodes = {1 = 'retun'}\n", "did you mean 'return'?"),
        ("controller = 'x'\ndump = 'half'\n[key.a]\nsetting = 'loiter.radius'\n", "dump"),
        ("controller = 'x'\n[layout]\nseparator = '='\n[key.zzz]\nsetting = 'loiter.radius'\n", "another controller's"),
        (
            "controller = 'x'\n[[row]]\nlead = 'r'\ncolumns = ['a']\nmember = 'b'\ncodes = {}\ncell = {}\n",
            "no column is called 'b'",
        ),
    ],
)
def test_a_map_that_is_wrong(table: str, words: str, good: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = good.parent / "map.toml"
    path.write_text(table)
    assert main(["check", str(good), "--map", str(path), "--width", "300"]) == 2
    assert words in said(capsys)


def test_an_impossible_value_is_a_finding_with_its_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    dump = tmp_path / "a.dump"
    dump.write_text("loiter.radius = 99 km\nreturn.altitude = 40 V\nlink_loss.action = sing\nbattery.cells = 3.5\n")
    main(["check", str(dump), "--airframe", "tailed", "--format", "json"])
    findings = json.loads(capsys.readouterr().out)["files"][0]["findings"]
    wrong = {f["line"]: f["message"] for f in findings if f["rule"] == "dump/impossible-value"}
    assert set(wrong) == {1, 2, 3, 4}
    assert "outside" in wrong[1] and "voltage" in wrong[2] and "no word" in wrong[3] and "whole" in wrong[4]


def test_a_key_written_twice_is_reported_with_both_lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    dump = tmp_path / "a.dump"
    dump.write_text("loiter.radius = 6 m\nreturn.altitude = 40 m\nloiter.radius = 90 m\n")
    main(["check", str(dump), "--airframe", "tailed", "--format", "json"])
    findings = json.loads(capsys.readouterr().out)["files"][0]["findings"]
    twice = next(f for f in findings if f["rule"] == "dump/written-twice")
    assert twice["line"] == 3 and "line 1" in twice["message"]


def test_contradicting_facts_are_reported(good: Path, capsys: pytest.CaptureFixture[str]) -> None:
    facts = "[craft]\nkind='tailed'\nstall_speed='20 m/s'\nmass='1 kg'\nwing_area='1 m^2'\nmax_lift_coefficient='1.2'\n"
    (good.parent / "craft.toml").write_text(facts)
    main(["check", str(good), "--format", "json"])
    rules = {f["rule"] for f in json.loads(capsys.readouterr().out)["files"][0]["findings"]}
    assert "facts/contradict" in rules


def test_unknown_rule_and_empty_pack(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "wing/loiter-inside-turn-radios"]) == 2
    assert "did you mean 'wing/loiter-inside-turn-radius'?" in said(capsys)
    assert main(["rules", "check", str(tmp_path)]) == 2
    assert "no rule in this folder" in said(capsys)


HOSTILE = [
    b"\x1b[31mloiter.radius\x1b[0m = \x1b]0;owned\x07 6 m\n",
    b"link_loss.action = <script>alert(1)</script>\n",
    "loiter.radius = \u202e6 m\n".encode(),
    b"\xff\xfe" + "loiter.radius = 6 m\n".encode("utf-16-le"),
    b"loiter.radius = " + b"9" * 100_000 + b"\n",
    b"loiter.radius = 1e999999\nreturn.altitude = nan\ncruise.speed = inf\n",
    b"loiter.radius = " + b"(" * 5000 + b"\n",
    b"[" * 3000 + b"\nloiter.radius = 6 m\n",
    b"loiter.radius = 6 m\x00\n",
]


@pytest.mark.parametrize("data", HOSTILE, ids=range(len(HOSTILE)))
@pytest.mark.parametrize("format", ["text", "json"])
def test_hostile_dumps_stay_text(data: bytes, format: str, tmp_path: Path) -> None:
    dump = tmp_path / "evil\x1b[2J\u202e.dump"
    dump.write_bytes(data)
    command = [sys.executable, "-m", "cfglint", "check", str(dump), "--airframe", "tailed", "--format", format]
    done = subprocess.run(command, capture_output=True, cwd=ROOT, check=False)
    assert done.returncode in (0, 1, 2)
    assert b"Traceback" not in done.stderr
    for stream in (done.stdout, done.stderr):
        assert not any(byte < 32 and byte != 10 for byte in stream) and b"\xe2\x80\xae" not in stream


def test_a_console_that_knows_no_unicode(good: Path) -> None:
    import os

    text = "gnss.enabled = on\nswitch.loiter.channel = 6\nloiter.radius = 6 m\ncruise.speed = 15 m/s\n"
    text += "limit.bank = 40 deg\nh\u00f6he = 3\n"
    good.write_text(text, encoding="utf-8")
    env = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    command = [sys.executable, "-m", "cfglint", "check", str(good), "--airframe", "tailed"]
    done = subprocess.run(command, capture_output=True, cwd=ROOT, env=env, check=False)
    assert b"Traceback" not in done.stderr and done.stdout.isascii() and b" deg" in done.stdout


@pytest.mark.parametrize(
    ("variables", "coloured"),
    [
        ({"FORCE_COLOR": "1"}, True),
        ({"NO_COLOR": "1", "FORCE_COLOR": "1"}, False),
        ({"TERM": "dumb"}, False),
        ({}, False),
    ],
)
def test_colour_is_asked_for_before_it_is_used(variables: dict[str, str], coloured: bool, good: Path) -> None:
    import os

    env = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR")} | variables
    command = [sys.executable, "-m", "cfglint", "check", str(good), "--airframe", "tailed"]
    done = subprocess.run(command, capture_output=True, cwd=ROOT, env=env, check=False)
    assert (b"\x1b[" in done.stdout) is coloured


def test_standard_input(good: Path) -> None:
    command = [sys.executable, "-m", "cfglint", "check", "-", "--airframe", "tailed", "--format", "json"]
    done = subprocess.run(command, capture_output=True, cwd=ROOT, input=good.read_bytes(), check=False)
    assert json.loads(done.stdout)["files"][0]["file"] == "-"


def test_a_map_that_fits_badly_is_recognised(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keys = {"alt": "return.altitude", "rad": "loiter.radius", "volt": "battery.cell_warn", "rate": "landing.final_rate"}
    lines = [f'[key.{key}]\nsetting = "{setting}"\n' for key, setting in keys.items()]
    (tmp_path / "map.toml").write_text("controller = 'x'\n" + "".join(lines))
    (tmp_path / "a.dump").write_text("alt = 99999\nrad = 88888\nvolt = 3700\nrate = 4000\n")
    main(["check", str(tmp_path / "a.dump"), "--map", str(tmp_path / "map.toml"), "--airframe", "tailed", "--format", "json"])
    rules = {f["rule"] for f in json.loads(capsys.readouterr().out)["files"][0]["findings"]}
    assert "dump/map-fits-badly" in rules
