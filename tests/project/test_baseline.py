"""The list of known findings: what is known does not fail, what is new or worse does."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cfglint.cli.main import main
from cfglint.project.baseline import load_baseline, write_baseline
from cfglint.text.problem import Refused
from tests.project.club import DUMP, RULE, check, configuration, craft, found, report_of, rules, waiver


@pytest.fixture
def anvil(tmp_path: Path) -> Path:
    """A craft whose findings are all on the list."""
    dump = craft(tmp_path, "Anvil")
    configuration(tmp_path, "baseline = 'known.json'\n")
    assert main(["baseline", "write", str(tmp_path)]) == 0
    return dump


def test_what_is_known_does_not_fail(anvil: Path, tmp_path: Path) -> None:
    done = check(tmp_path)
    assert done.run.status == 0 and found(done, anvil).baseline == "known"
    assert check(tmp_path, baseline=False).run.status == 1


def test_moved_lines_and_comments_change_nothing(anvil: Path, tmp_path: Path) -> None:
    lines = anvil.read_text().splitlines()
    anvil.write_text("# written anew\n\n" + "\n".join(reversed(lines)) + "\n")
    done = check(tmp_path)
    assert found(done, anvil).baseline == "known" and done.run.status == 0


def test_the_same_value_in_another_unit_is_the_same(anvil: Path, tmp_path: Path) -> None:
    anvil.write_text(DUMP.format(critical="3000 mV"))
    assert found(check(tmp_path), anvil).baseline == "known"


def test_a_worse_value_fails_and_says_what_was_listed(anvil: Path, tmp_path: Path) -> None:
    anvil.write_text(DUMP.format(critical="2.9 V"))
    done = check(tmp_path)
    assert found(done, anvil).baseline == "worse" and "battery.cell_critical = 3 V" in found(done, anvil).baseline_was
    assert done.run.status == 1 and "baseline/gone" not in rules(done)


def test_a_value_nearer_to_what_clears_it_is_known(tmp_path: Path) -> None:
    dump = craft(tmp_path, "Anvil", "2.8 V")
    configuration(tmp_path, "baseline = 'known.json'\n")
    main(["baseline", "write", str(tmp_path)])
    dump.write_text(DUMP.format(critical="2.9 V"))
    assert found(check(tmp_path), dump).baseline == "known"


def test_another_fact_makes_it_another_finding(anvil: Path, tmp_path: Path) -> None:
    facts = anvil.parent / "craft.toml"
    facts.write_text(facts.read_text().replace('"lipo"', '"li_ion"').replace("lipo", "li_ion"))
    anvil.write_text(DUMP.format(critical="2.4 V"))
    assert found(check(tmp_path), anvil).baseline == "worse"


def test_a_new_finding_fails(anvil: Path, tmp_path: Path) -> None:
    anvil.write_text(anvil.read_text() + "battery.low_action = none\nloiter.radius = 6 m\n")
    done = check(tmp_path)
    new = [f for f in report_of(done, anvil).findings if f.baseline == "new"]
    assert new and done.run.status == 1


def test_what_is_gone_is_told_and_pruned(anvil: Path, tmp_path: Path) -> None:
    anvil.write_text(DUMP.format(critical="3.4 V"))
    done = check(tmp_path)
    assert "baseline/gone" in rules(done) and done.run.status == 0
    before = load_baseline(str(tmp_path / "known.json"))
    assert main(["baseline", "prune", str(tmp_path)]) == 0
    after = load_baseline(str(tmp_path / "known.json"))
    assert [known for known in before if known not in after] == [known for known in before if known.rule == RULE]
    anvil.write_text(DUMP.format(critical="3.0 V"))
    assert check(tmp_path).run.status == 1


def test_pruning_adds_nothing(anvil: Path, tmp_path: Path) -> None:
    before = (tmp_path / "known.json").read_bytes()
    anvil.write_text(anvil.read_text() + "loiter.radius = 6 m\n")
    main(["baseline", "prune", str(tmp_path)])
    assert (tmp_path / "known.json").read_bytes() == before


def test_writing_for_one_craft_keeps_the_others(anvil: Path, tmp_path: Path) -> None:
    bell = craft(tmp_path, "Bell")
    assert main(["baseline", "write", str(bell)]) == 0
    assert {known.dump for known in load_baseline(str(tmp_path / "known.json"))} == {
        "anvil/anvil.dump",
        "bell/bell.dump",
    }


def test_a_craft_that_left_is_pruned(anvil: Path, tmp_path: Path) -> None:
    craft(tmp_path, "Bell")
    anvil.unlink()
    main(["baseline", "prune", str(tmp_path)])
    assert not load_baseline(str(tmp_path / "known.json"))


def test_what_is_waived_is_not_listed(tmp_path: Path) -> None:
    craft(tmp_path, "Anvil")
    configuration(tmp_path, "baseline = 'known.json'\n" + waiver())
    main(["baseline", "write", str(tmp_path), "--today", "2026-05-01"])
    assert RULE not in {known.rule for known in load_baseline(str(tmp_path / "known.json"))}


def test_a_missing_list_and_a_wrong_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    craft(tmp_path, "Anvil")
    configuration(tmp_path, "baseline = 'known.json'\n")
    assert main(["check", str(tmp_path)]) == 2
    assert "cfglint baseline write" in capsys.readouterr().err
    for text, words in [
        ("[", "not valid JSON"),
        ("{}", "format"),
        ("[" * 100_000, "nested too deeply"),
        ('{"format": "x"}', "format"),
    ]:
        (tmp_path / "known.json").write_text(text)
        assert main(["check", str(tmp_path)]) == 2
        assert words in capsys.readouterr().err


def test_a_list_is_written_whole_or_not_at_all(anvil: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    before = (tmp_path / "known.json").read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refused, match="no space left"):
        write_baseline(str(tmp_path / "known.json"), [])
    assert (tmp_path / "known.json").read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["anvil", "cfglint.toml", "known.json"]


def test_the_same_bytes_twice(anvil: Path, tmp_path: Path) -> None:
    before = (tmp_path / "known.json").read_bytes()
    main(["baseline", "write", str(tmp_path)])
    assert (tmp_path / "known.json").read_bytes() == before
    assert json.loads(before)["format"] == "cfglint-baseline"
