"""Finding the craft of a repository, and the facts that fields above them hold."""

from __future__ import annotations

from pathlib import Path

import pytest

from cfglint.cli.main import main
from cfglint.text.problem import Refused
from tests.project.club import check, configuration, craft, report_of, rules


def test_a_folder_is_searched_in_order_and_hidden_ones_are_not(tmp_path: Path) -> None:
    for name in ("Bell", "Anvil", ".git", "Cup"):
        craft(tmp_path, name)
    configuration(tmp_path, "exclude = ['cup']\n")
    assert [Path(e.task.dump).name for e in check(tmp_path).plan.entries] == ["anvil.dump", "bell.dump"]


def test_the_folder_of_the_run_needs_no_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    craft(tmp_path, "Anvil")
    craft(tmp_path, "Bell")
    configuration(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert [e.task.dump for e in check().plan.entries] == ["anvil/anvil.dump", "bell/bell.dump"]
    monkeypatch.chdir(tmp_path / "bell")
    done = check()
    assert [e.task.dump for e in done.plan.entries] == ["bell.dump"] and done.plan.configuration.file == "../cfglint.toml"


def test_a_field_above_lends_its_facts_and_the_nearest_counts(tmp_path: Path) -> None:
    dump = craft(tmp_path / "meadow", "Anvil", more="[site]\nwind = '9 m/s'\n")
    (tmp_path / "meadow" / "site.toml").write_text("[site]\nname = 'the meadow'\nwind = '2 m/s'\nelevation = '210 m'\n")
    (tmp_path / "site.toml").write_text("[site]\nelevation = '999 m'\nobstacle_height = '8 m'\n")
    configuration(tmp_path)
    done = check(tmp_path)
    settings = done.bench.setup(done.plan.entries[0].task).settings
    assert [settings[f"site.{id}"].raw for id in ("wind", "elevation", "obstacle_height")] == ["9 m/s", "210 m", "8 m"]
    assert settings["site.elevation"].places[0].file == str(tmp_path / "meadow" / "site.toml")
    assert not report_of(done, dump).refused


def test_a_field_outside_the_repository_lends_nothing(tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text("[site]\nwind = '2 m/s'\n")
    craft(tmp_path / "club", "Anvil")
    configuration(tmp_path / "club")
    done = check(tmp_path / "club")
    assert not done.bench.setup(done.plan.entries[0].task).settings["site.wind"].value.known


def test_links_are_told_and_loops_end(tmp_path: Path) -> None:
    craft(tmp_path, "Anvil")
    (tmp_path / "anvil" / "again").symlink_to(tmp_path)
    (tmp_path / "anvil" / "self.dump").symlink_to("self.dump")
    configuration(tmp_path)
    done = check(tmp_path)
    assert "configuration/link" in rules(done)
    assert report_of(done, tmp_path / "anvil" / "self.dump").refused and done.run.status == 2


def test_a_dump_that_leads_out_of_the_repository_is_refused(tmp_path: Path) -> None:
    outside = craft(tmp_path / "elsewhere", "Bell")
    good = craft(tmp_path / "club", "Anvil")
    (tmp_path / "club" / "anvil" / "other.dump").symlink_to(outside)
    configuration(tmp_path / "club")
    done = check(tmp_path / "club")
    refused = report_of(done, tmp_path / "club" / "anvil" / "other.dump")
    assert refused.refused and "leads out" in refused.findings[0].message and not report_of(done, good).refused


def test_a_map_that_leads_out_through_a_link_is_refused(tmp_path: Path) -> None:
    craft(tmp_path / "club", "Anvil")
    (tmp_path / "x.map.toml").write_text("controller = 'x'\n")
    (tmp_path / "club" / "x.map.toml").symlink_to(tmp_path / "x.map.toml")
    configuration(tmp_path / "club", "[[setups]]\nwhere = ['anvil']\nmap = 'x.map.toml'\n")
    with pytest.raises(Refused, match="leads out of the folder"):
        check(tmp_path / "club")


def test_two_craft_of_one_name_are_told_and_judged(tmp_path: Path) -> None:
    craft(tmp_path, "Anvil")
    other = tmp_path / "bell"
    other.mkdir()
    for name in ("craft.toml", "anvil.dump"):
        (other / name).write_bytes((tmp_path / "anvil" / name).read_bytes())
    configuration(tmp_path)
    done = check(tmp_path)
    told = next(f for f in done.run.files[-1].findings if f.rule == "configuration/two-craft-of-one-name")
    assert (told.file, told.line) == (str(other / "craft.toml"), 2)
    assert done.run.status == 2 and sum(not file.refused for file in done.run.files) == 2


def test_nothing_to_check_is_no_success(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path)]) == 2
    assert "no settings dump in this folder" in capsys.readouterr().err
    assert main(["check", str(tmp_path / "*.dump")]) == 2
    assert "no file matches this pattern" in capsys.readouterr().err


def test_a_pattern_on_the_command_line(tmp_path: Path) -> None:
    craft(tmp_path, "Anvil")
    craft(tmp_path, "Bell")
    assert len(check(tmp_path / "*" / "*.dump").run.files) == 2


def test_an_inner_configuration_is_told(tmp_path: Path) -> None:
    craft(tmp_path, "Anvil")
    configuration(tmp_path)
    configuration(tmp_path / "anvil")
    assert "configuration/inner-configuration" in rules(check(tmp_path))
