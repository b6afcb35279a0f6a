"""`cfglint.toml`: its errors point to the line and the nearest key; what it says of dumps; how it is found."""

from __future__ import annotations

from pathlib import Path

import pytest

from cfglint.cli.main import main
from cfglint.project.configuration import find_configuration, load_configuration
from cfglint.text.problem import Refused
from tests.project.club import RULE, check, configuration, craft, found, report_of, rules, waiver


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("\nfail-on = 'error'\n", 2, "did you mean 'fail_on'?"),
        ("fail_on = 'eror'\n", 1, "fail_on"),
        ("[[setups]]\nwhere = ['a']\nmapp = 'x'\n", 3, "did you mean 'map'?"),
        ("[[setups]]\nmap = 'x.map.toml'\n", 1, "'where' is missing"),
        ("[[setups]]\nwhere = ['a']\nmap = '../x.map.toml'\n", 3, "climbs out"),
        ("[[setups]]\nwhere = ['/etc']\n", 2, "climbs out"),
        ("[[setups]]\nwhere = ['a']\nairframe = 'quadroter'\n", 3, "did you mean 'quadrotor'?"),
        ("rules = ['/packs']\n", 1, "below the folder"),
        ("[[rule]]\nid = 'a/b'\nlevel = 'off'\n", 1, "'reason' is missing"),
        ("[[rule]]\nid = 'a/b'\nlevel = 'of'\nreason = 'x'\n", 3, "level"),
        ("[[rule]]\nid = 'a/b'\nlevel = 'off'\nreason = '  '\n", 4, "say something"),
        (waiver(reason=""), 1, "'reason' is missing"),
        (waiver(owner=""), 1, "'owner' is missing"),
        (waiver(until="'2027-02-30'"), 6, "is no day"),
        (waiver(until="2027"), 6, "the last day is written"),
        ("dumps = [\n", 2, "not valid TOML"),
    ],
)
def test_an_error_has_its_place_and_the_nearest_name(text: str, line: int, words: str, tmp_path: Path) -> None:
    path = configuration(tmp_path, text)
    with pytest.raises(Refused) as refused:
        load_configuration(str(path))
    problem = refused.value.problems[0]
    assert (problem.file, problem.line) == (str(path), line)
    assert words in problem.message + " " + problem.remedy


def test_it_is_found_above_and_never_beyond_the_repository(tmp_path: Path) -> None:
    configuration(tmp_path)
    inner = tmp_path / "one" / "two"
    inner.mkdir(parents=True)
    assert Path(find_configuration(str(inner))).resolve() == (tmp_path / "cfglint.toml").resolve()
    (tmp_path / "one" / ".git").mkdir()
    assert find_configuration(str(inner)) == ""


def test_a_rule_is_switched_off_with_a_reason_that_is_shown(tmp_path: Path) -> None:
    dump = craft(tmp_path, "Anvil")
    configuration(tmp_path, f"[[rule]]\nid = '{RULE}'\nlevel = 'off'\nreason = 'a bench supply'\nwhere = ['anvil']\n")
    done = check(tmp_path)
    assert RULE not in rules(done)
    assert [(off.rule, off.reason) for off in report_of(done, dump).switched_off] == [(RULE, "a bench supply")]


def test_a_rule_is_given_another_level_and_says_so(tmp_path: Path) -> None:
    dump, other = craft(tmp_path, "Anvil"), craft(tmp_path, "Bell")
    configuration(tmp_path, "[[rule]]\nid = 'battery/*'\nlevel = 'note'\nreason = 'on the bench'\nwhere = ['anvil']\n")
    done = check(tmp_path)
    assert found(done, dump).level == "note" and "lowered from error: on the bench" in found(done, dump).relevelled
    assert found(done, other).level == "error" and not found(done, other).relevelled


def test_a_rule_nobody_knows_stops_the_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    craft(tmp_path, "Anvil")
    configuration(tmp_path, "[[rule]]\nid = 'battery/wing-stops-to-late'\nlevel = 'off'\nreason = 'x'\n")
    assert main(["check", str(tmp_path)]) == 2
    said = capsys.readouterr().err
    assert "cfglint.toml:1:1" in said and f"did you mean '{RULE}'?" in said


def test_a_later_table_counts_and_the_caller_before_it(tmp_path: Path) -> None:
    craft(tmp_path, "Anvil")
    (tmp_path / "a.map.toml").write_text("controller = 'a'\n[key.x]\nsetting = 'loiter.radius'\nunit = 'm'\n")
    text = "[[setups]]\nwhere = ['anvil']\nmap = 'a.map.toml'\nfull = true\n[[setups]]\nwhere = ['**']\nfull = false\n"
    configuration(tmp_path, text)
    task = check(tmp_path).plan.entries[0].task
    assert task.map == str(tmp_path / "a.map.toml") and not task.full


def test_a_missing_map_is_told_at_its_line_and_others_are_judged(tmp_path: Path) -> None:
    anvil, bell = craft(tmp_path, "Anvil"), craft(tmp_path, "Bell")
    path = configuration(tmp_path, "[[setups]]\nwhere = ['anvil']\nmap = 'gone.map.toml'\n")
    done = check(tmp_path)
    assert report_of(done, anvil).refused and not report_of(done, bell).refused
    told = done.run.files[-1].findings[0]
    assert (told.rule, told.file, told.line) == ("configuration/missing-map", str(path), 1)
    assert done.run.status == 2


def test_a_pattern_that_means_nothing_is_told(tmp_path: Path) -> None:
    craft(tmp_path, "Anvil")
    configuration(tmp_path, "[[setups]]\nwhere = ['anvel']\n")
    assert "configuration/no-match" in rules(check(tmp_path))


def test_a_pack_of_ones_own_takes_part(tmp_path: Path) -> None:
    from tests.conftest import ROOT

    dump = craft(tmp_path, "Anvil")
    source = (ROOT / "rules/checks/battery/wing-stops-too-late.toml").read_text(encoding="utf-8")
    pack = tmp_path / "club" / "checks" / "club"
    pack.mkdir(parents=True)
    (pack / "own-floor.toml").write_text(source, encoding="utf-8")
    configuration(tmp_path, "[[setups]]\nwhere = ['anvil']\nrules = ['club']\n")
    assert found(check(tmp_path), dump, "club/own-floor").level == "error"


def test_config_shows_where_each_value_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    craft(tmp_path, "Anvil")
    path = configuration(tmp_path, "fail_on = 'error'\n[[setups]]\nwhere = ['anvil']\nairframe = 'tailed'\n" + waiver())
    assert main(["config", str(tmp_path), "--width", "400"]) == 0
    said = capsys.readouterr().out
    for wanted in (
        f"fail_on = error\n    ({path}:1)",
        f"airframe = tailed\n      ({path}:2)",
        f"({path}:5)",
        "strict = no\n    (built in)",
    ):
        assert wanted in said
