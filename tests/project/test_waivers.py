"""Waivers: what they cover and how long, and that one which does not hold is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from cfglint.cli.main import main
from cfglint.pack.rule import Pack
from cfglint.project.configuration import Waiver, Written
from cfglint.project.waivers import Day, waived
from tests.project.club import RULE, check, configuration, craft, found, report_of, rules, waiver


@pytest.fixture
def anvil(tmp_path: Path) -> Path:
    return craft(tmp_path, "Anvil")


@pytest.mark.parametrize("name", ["'Anvil'", "'anvil'", "'anvil/anvil.dump'"])
def test_it_covers_a_finding_of_its_craft_alone(name: str, anvil: Path, tmp_path: Path) -> None:
    bell = craft(tmp_path, "Bell")
    path = configuration(tmp_path, waiver(craft=name))
    done = check(tmp_path)
    by = found(done, anvil).waived_by
    assert by is not None and (by.reason, by.owner, by.until, by.file, by.line) == (
        "a bench supply",
        "shed",
        "2027-06-30",
        str(path),
        1,
    )
    assert found(done, bell).waived_by is None
    assert report_of(done, anvil).count("error") == 0 and report_of(done, bell).count("error") == 1


@pytest.mark.parametrize(
    ("today", "holds"), [("2027-06-29", True), ("2027-06-30", True), ("2027-07-01", False), ("2031-01-01", False)]
)
def test_the_last_day_is_included(today: str, holds: bool, anvil: Path, tmp_path: Path) -> None:
    configuration(tmp_path, waiver())
    done = check(tmp_path, today=today)
    assert (found(done, anvil).waived_by is not None) is holds
    assert ("waiver/expired" in rules(done)) is not holds
    assert done.run.today == today


@pytest.mark.parametrize(
    ("granted", "holds"), [("3.0 V", True), ("3000 mV", True), ("3 V", True), ("3.1 V", False), ("2.99..3.0 V", False)]
)
def test_it_lapses_when_what_it_was_granted_for_changes(granted: str, holds: bool, anvil: Path, tmp_path: Path) -> None:
    configuration(tmp_path, waiver(values=f"{{'battery.cell_critical' = '{granted}'}}"))
    done = check(tmp_path)
    assert (found(done, anvil).waived_by is not None) is holds
    if not holds:
        assert f"granted for battery.cell_critical = {granted}, which is 3 V now" in found(done, anvil, "waiver/lapsed").message


def test_it_lapses_when_the_value_is_not_known_any_more(anvil: Path, tmp_path: Path) -> None:
    configuration(tmp_path, waiver(values="{'loiter.radius' = '60 m'}"))
    assert "is not known now" in found(check(tmp_path), anvil, "waiver/lapsed").message


def test_a_word_is_compared_by_its_meaning(anvil: Path, tmp_path: Path) -> None:
    configuration(tmp_path, waiver(values="{'link_loss.action' = 'return'}"))
    assert found(check(tmp_path), anvil).waived_by is not None


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"rule": "'battery/wing-stops-to-late'"}, f"did you mean '{RULE}'?"),
        ({"craft": "'Anvel'"}, "did you mean 'Anvil'?"),
        ({"values": "{'battery.cell_critcal' = '3 V'}"}, "did you mean 'battery.cell_critical'?"),
        ({"values": "{'battery.cell_critical' = '3 m'}"}, "covers nothing"),
    ],
)
def test_a_misspelt_one_is_told_and_covers_nothing(changes: dict[str, str], words: str, anvil: Path, tmp_path: Path) -> None:
    path = configuration(tmp_path, waiver(**changes))
    done = check(tmp_path)
    told = [f for file in done.run.files for f in file.findings if f.rule == "waiver/misspelt"]
    assert found(done, anvil).waived_by is None or "craft" in changes
    assert len(told) == 1 and words in told[0].message + told[0].advice
    assert (told[0].file, told[0].line) == (str(path), 1)


def test_one_that_covers_nothing_is_told(tmp_path: Path) -> None:
    craft(tmp_path, "Anvil", "3.4 V")
    configuration(tmp_path, waiver())
    assert "waiver/unused" in rules(check(tmp_path))


def test_one_of_two_dumps_is_use_enough(anvil: Path, tmp_path: Path) -> None:
    (anvil.parent / "after.dump").write_text(anvil.read_text().replace("3.0 V", "3.4 V"))
    configuration(tmp_path, waiver())
    assert "waiver/unused" not in rules(check(tmp_path))


def test_a_craft_that_was_not_checked_is_no_misspelling(anvil: Path, tmp_path: Path) -> None:
    configuration(tmp_path, waiver(craft="'Bell'"))
    assert "waiver/misspelt" not in rules(check(anvil))


def test_a_rule_may_refuse(anvil: Path, tmp_path: Path, pack: Pack) -> None:
    configuration(tmp_path)
    report = report_of(check(tmp_path), anvil)
    own = Waiver(RULE, "Anvil", "why", "who", "2030-01-01", {}, Written("cfglint.toml", 3, 1))
    rule = pack.rules[RULE]
    before, rule.waivable = rule.waivable, False
    try:
        told = waived(report, [own], (), Day("2026-05-01"), pack)
    finally:
        rule.waivable = before
    assert {f.rule for f in told.findings if f.level == "error"} == {RULE, "waiver/refused"}
    assert all(f.waived_by is None for f in told.findings)


def test_a_run_can_ignore_them_all(anvil: Path, tmp_path: Path) -> None:
    configuration(tmp_path, waiver() + waiver(craft="'Nobody'"))
    done = check(tmp_path, waivers=False)
    assert found(done, anvil).waived_by is None and not [r for r in rules(done) if r.startswith("waiver/")]


def test_craft_toml_may_hold_its_own(tmp_path: Path) -> None:
    dump = craft(tmp_path, "Anvil", more="\n" + waiver(craft=""))
    configuration(tmp_path)
    done = check(tmp_path)
    by = found(done, dump).waived_by
    assert by is not None and by.file.endswith("craft.toml") and by.line == 7
    assert report_of(done, dump).craft == "Anvil" and report_of(done, dump).airframe == "tailed"


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (waiver(), "nothing here is called 'craft'"),
        (waiver(craft="", until=""), "'until' is missing"),
        ("[waver]\n", "did you mean 'waiver'?"),
    ],
)
def test_a_wrong_one_in_craft_toml_is_told(table: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    craft(tmp_path, "Anvil", more="\n" + waiver(craft="") + table)
    configuration(tmp_path)
    main(["check", str(tmp_path), "--width", "300"])
    captured = capsys.readouterr()
    assert words in captured.out + captured.err


def test_an_error_that_is_waived_is_listed(anvil: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    craft(tmp_path, "Bell", "3.4 V")
    configuration(tmp_path, waiver())
    main(["check", str(tmp_path), "--overview", "--today", "2026-05-01", "--width", "300"])
    assert f"waived error: {RULE} on {anvil}" in capsys.readouterr().out


def test_what_is_waived_hides_nothing_else(tmp_path: Path) -> None:
    """A finding that is folded under another stands by itself when the other is waived."""
    from tests.conftest import ROOT

    sickle = ROOT / "examples/sickle/sickle.dump"
    folder = tmp_path / "sickle"
    folder.mkdir()
    for name in ("sickle.dump", "craft.toml"):
        (folder / name).write_bytes((sickle.parent / name).read_bytes())
    (tmp_path / "p.map.toml").write_bytes((ROOT / "examples/pennywort.map.toml").read_bytes())
    setups = "[[setups]]\nwhere = ['**']\nmap = 'p.map.toml'\n"
    configuration(tmp_path, setups)
    plain = report_of(check(tmp_path), folder / "sickle.dump")
    leader = next(f for f in plain.findings if f.followers)
    configuration(tmp_path, setups + waiver(rule=f"'{leader.rule}'", craft="'Sickle'"))
    told = report_of(check(tmp_path), folder / "sickle.dump")
    open_rules = {f.rule for f in told.findings if not f.accepted}
    shown = open_rules | {rule for f in told.findings for rule in f.followers if not f.accepted}
    assert set(leader.followers) <= shown and leader.rule not in open_rules


def test_a_craft_file_needs_no_configuration_for_its_own(tmp_path: Path) -> None:
    dump = craft(tmp_path, "Anvil", more="\n" + waiver(craft=""))
    assert found(check(dump), dump).waived_by is not None
    assert "waiver/expired" in rules(check(dump, today="2030-01-01"))
