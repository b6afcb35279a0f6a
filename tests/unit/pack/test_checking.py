"""A pack from a stranger: what is wrong with it is said at its line; nothing in it executes or hangs."""

from __future__ import annotations

from pathlib import Path

import pytest

from cfglint.cli.main import main
from cfglint.pack.load import folder_pack
from cfglint.text.problem import Refused

GOOD = """title = "the circle is small"
since = "0.1"
airframes = ["fixed-wing"]
why = "A circle smaller than twenty metres is hard to fly for anything with a wing, so it is better left alone by everybody."
find_out = "Look."
basis = ["common practice"]
[threshold.least]
value = "20 m"
basis = "common practice"
[[part]]
level = "warning"
when = "loiter.radius is set"
require = "loiter.radius >= least"
message = "the circle of {loiter.radius} is below {least}"
remedy = { change = "loiter.radius" }
[[example]]
name = "small"
airframe = "tailed"
expect = "risky"
says = "the circle of 6 m is below 20 m"
remedy = "20 m"
settings = { "loiter.radius" = "6 m" }
[[example]]
name = "large"
airframe = "tailed"
expect = "clear"
settings = { "loiter.radius" = "20 m" }
"""


def pack_with(text: str, folder: Path) -> Path:
    (folder / "checks/club").mkdir(parents=True)
    (folder / "checks/club/small-circle.toml").write_text(text, encoding="utf-8")
    return folder


def test_a_small_pack_of_ones_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pack_with(GOOD, tmp_path)
    assert main(["rules", "check", str(tmp_path)]) == 0
    dump = tmp_path / "a.dump"
    dump.write_text("loiter.radius = 6 m\n")
    main(["check", str(dump), "--airframe", "tailed", "--rules", str(tmp_path)])
    assert "club/small-circle" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("loiter.radius >= least", "loiter.radius >= 20", "give the number a unit"),
        ("loiter.radius >= least", "loiter.radus >= least", "did you mean 'loiter.radius'?"),
        ("loiter.radius >= least", "cruise.speed >= 3 m/s", "cruise.speed may be unset here"),
        ("loiter.radius >= least", "loiter.radius >= least +", "unexpected"),
        ('basis = ["common practice"]', 'basis = ["TURN-99"]', "no source is called 'TURN-99'"),
        ("{least}", "{lest}", "did you mean 'least'?"),
        ('change = "loiter.radius"', 'change = "loiter.radius.x"', "no setting is called"),
        ('airframes = ["fixed-wing"]', 'airframes = ["aeroplane"]', "no airframe family"),
        ('level = "warning"', 'level = "awful"', "level"),
        ('since = "0.1"', 'sinc = "0.1"', "did you mean 'since'?"),
        ('value = "20 m"', 'value = "20 furlongs"', "no unit is called"),
        ('title = "the circle is small"', "title = 3 3", "not valid TOML"),
    ],
)
def test_what_is_wrong_is_said_at_its_line(
    old: str, new: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert old in GOOD
    pack_with(GOOD.replace(old, new, 1), tmp_path)
    assert main(["rules", "check", str(tmp_path)]) == 2
    said = capsys.readouterr().err
    assert words in said and "small-circle.toml:" in said


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('expect = "clear"', 'expect = "risky"', "expected risky, got clear"),
        ("is below 20 m", "is under 20 m", "expected the words"),
        ('remedy = "20 m"', 'remedy = "21 m"', "expected the remedy"),
        ('"loiter.radius" = "20 m"', '"loiter.radius" = "19 m"', "expected clear, got risky"),
    ],
)
def test_an_example_that_fails_fails_the_check(
    old: str, new: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pack_with(GOOD.replace(old, new, 1), tmp_path)
    assert main(["rules", "check", str(tmp_path)]) == 1
    assert words in capsys.readouterr().out


@pytest.mark.parametrize(
    "formula",
    [
        "__import__('os').system('x')",
        "loiter.radius.__class__ is set",
        "(" * 500 + "1",
        "1 m < " * 400 + "2 m",
        "9" * 3000 + " m < 1 m",
        "loiter.radius >= 1e999 m",
    ],
)
def test_a_hostile_formula_is_only_wrong(formula: str, tmp_path: Path) -> None:
    pack_with(GOOD.replace("loiter.radius >= least", formula), tmp_path)
    with pytest.raises(Refused):
        folder_pack(str(tmp_path))
