"""`cfglint compare` end to end: files, folders and git revisions, in three formats, with the right exit status."""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import jsonschema
import pytest

from cfglint.cli.compare_command import add_arguments, run
from cfglint.report.comparison_data import SettingChange
from cfglint.report.comparison_json import render_comparison_json
from cfglint.report.comparison_markdown import plain, render_comparison_markdown
from cfglint.report.comparison_model import ComparisonModel, comparison_schema
from tests.conftest import ROOT

MAP = "pennywort.map.toml"
WORSE = [
    ("peg Bank 58 deg", "peg Bank 70 deg"),
    ("peg Act recall", "peg Act nothing"),
    ("peg Radius 6 m ", "peg Radius 5 m "),
]
GIT = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
    **{f"GIT_{who}_{what}": "nobody@example.invalid" for who in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")},
}
needs_git = pytest.mark.skipif(shutil.which("git") is None, reason="the program git is not installed")


def compare(*arguments: str) -> int:
    parser = argparse.ArgumentParser()
    add_arguments(parser.add_subparsers(dest="command"))
    return run(parser.parse_args(["compare", *arguments]))


def git(*arguments: str) -> str:
    return subprocess.run(["git", *arguments], check=True, capture_output=True, text=True, env={**os.environ, **GIT}).stdout


def edit(path: Path, *pairs: tuple[str, str]) -> None:
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


@pytest.fixture
def club(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two copies of the craft that share one board, the new one set worse; the current folder."""
    for state in ("old", "new"):
        for name in ("sickle", "cartwheel"):
            shutil.copytree(ROOT / "examples" / name, tmp_path / state / name)
        shutil.copy(ROOT / "examples" / MAP, tmp_path / state / MAP)
    edit(tmp_path / "new/sickle/sickle.dump", *WORSE)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def repository(club: Path) -> Path:
    """A repository whose first commit is the old state, and whose second, on a branch, the new one."""
    git("init", "-q", "-b", "main", ".")
    shutil.move(club / "old", club / "craft")
    git("add", "craft")
    git("commit", "-qm", "as it was")
    git("checkout", "-qb", "tried")
    shutil.copytree(club / "new", club / "craft", dirs_exist_ok=True)
    git("commit", "-qam", "as it is")
    shutil.rmtree(club / "new")
    return club


def document(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[dict[str, object], int]:
    status = compare(*arguments, "--format", "json")
    found = json.loads(capsys.readouterr().out)
    shipped = json.loads((ROOT / "cfglint/report/comparison.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(found, shipped)
    assert ComparisonModel.model_validate(found).status == status
    return found, status


def rules(found: dict[str, object], change: str) -> set[str]:
    crafts = found["craft"]
    assert isinstance(crafts, list)
    return {v["rule"] for craft in crafts for v in craft["verdicts"] if v["change"] == change}


def test_the_shipped_schema_is_the_one_of_the_models(bless: bool) -> None:
    path = ROOT / "cfglint/report/comparison.schema.json"
    made = json.dumps(comparison_schema(), indent=2) + "\n"
    if bless:
        path.write_text(made, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == made


def test_two_files(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found, status = document(capsys, "old/sickle/sickle.dump", "new/sickle/sickle.dump", "--map", f"old/{MAP}")
    assert status == 1
    assert rules(found, "appears") == {"fence/does-nothing"}
    assert "wing/bank-limit-stalls" in rules(found, "moves")


def test_back_again_nothing_is_worse(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(club / "new/sickle/sickle.dump", ("peg Radius 5 m ", "peg Radius 6 m "))
    found, status = document(capsys, "new/sickle/sickle.dump", "old/sickle/sickle.dump", "--map", f"old/{MAP}")
    assert status == 1, "a tighter bank limit makes the turn wider"
    edit(club / "new/sickle/sickle.dump", ("peg Bank 70 deg", "peg Bank 58 deg"))
    found, status = document(capsys, "new/sickle/sickle.dump", "old/sickle/sickle.dump", "--map", f"old/{MAP}")
    assert (status, rules(found, "goes")) == (0, {"fence/does-nothing"})


def test_folders(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found, status = document(capsys, "old", "new", "--map", MAP)
    assert (status, found["unchanged"], len(found["craft"])) == (1, 1, 1)  # type: ignore[arg-type]


def test_the_same_folder(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found, status = document(capsys, "old", "old", "--map", MAP)
    assert (status, found["unchanged"], found["craft"]) == (0, 2, [])


def test_a_craft_that_moved_is_the_same_craft(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.move(club / "new/sickle", club / "new/wings")
    shutil.move(club / "new/cartwheel", club / "new/rotors")
    found, _ = document(capsys, "old", "new", "--map", MAP)
    (craft,) = found["craft"]  # type: ignore[misc]
    assert (craft["old_file"], craft["new_file"]) == ("sickle/sickle.dump", "wings/sickle.dump")
    assert found["unchanged"] == 1


def test_a_new_craft_and_one_that_is_gone(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.rmtree(club / "old/sickle")
    found, status = document(capsys, "old", "new", "--map", MAP)
    (craft,) = found["craft"]  # type: ignore[misc]
    assert (status, craft["status"], {v["change"] for v in craft["verdicts"]}) == (1, "new", {"appears"})
    found, status = document(capsys, "new", "old", "--map", MAP)
    assert (status, [c["status"] for c in found["craft"]]) == (0, ["gone"])  # type: ignore[attr-defined]


def test_one_bad_craft_never_stops_the_others(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (club / "new/cartwheel/cartwheel.dump").write_bytes(bytes(range(256)) * 9)
    found, status = document(capsys, "old", "new", "--map", MAP)
    assert status == 2
    assert [(c["craft"], c["status"]) for c in found["craft"]] == [("cartwheel", "refused"), ("Sickle", "changed")]  # type: ignore[attr-defined]


def test_a_changed_map_is_compared_for_every_craft(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(club / f"new/{MAP}", ('setting = "loiter.radius"\nunit = "m"', 'setting = "loiter.radius"\nunit = "0.1 m"'))
    edit(club / "new/sickle/sickle.dump", ("peg Radius 5 m ", "peg Radius 50 "))
    found, _ = document(capsys, "old", "new", "--map", MAP)
    radius = [s for c in found["craft"] for s in c["settings"] if s["setting"] == "loiter.radius"]  # type: ignore[attr-defined]
    assert [(s["old"], s["new"], s["relative"]) for s in radius] == [("6 m", "5 m", "-17 %")]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["old"], "second dump or folder"),
        (["old", "old/sickle/sickle.dump"], "this is a folder"),
        (["old/none.dump", "old/sickle/sickle.dump"], "no such file"),
        (["old/sickle/craft.toml", "old/sickle/sickle.dump", "--map", f"old/{MAP}"], "is in the map"),
        (["empty", "empty"], "nothing was compared"),
        (["old", "new", "--map", MAP, "--airframe", "flying_wong"], "did you mean 'flying_wing'?"),
        (["old", "new", "--map", "none.toml"], "no such file"),
    ],
)
def test_what_cannot_be_compared(arguments: list[str], words: str, club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (club / "empty").mkdir()
    assert compare(*arguments) == 2
    captured = capsys.readouterr()
    assert words in (captured.out + captured.err).replace("\n  ", " ")


CONFIGURATION = """
[[setups]]
where = ["sickle", "cartwheel"]
map = "pennywort.map.toml"
"""


@pytest.mark.parametrize("state", ["old", "new"])
def test_the_configuration_names_the_map(state: str, club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (club / "old/cfglint.toml").write_text(CONFIGURATION)
    (club / "new/cfglint.toml").write_text(CONFIGURATION + f"# {state}\n")
    found, status = document(capsys, "old", "new")
    assert (status, found["unchanged"], rules(found, "appears")) == (1, 1, {"fence/does-nothing"})
    found, status = document(capsys, "old/sickle/sickle.dump", "new/sickle/sickle.dump")
    assert (status, rules(found, "appears")) == (1, {"fence/does-nothing"})


def test_two_folders_under_one_configuration(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The map above both is the same, and the craft are paired by their paths below the folders that are named."""
    (club / "cfglint.toml").write_text('[[setups]]\nwhere = ["**"]\nmap = "old/pennywort.map.toml"\n')
    found, status = document(capsys, "old", "new")
    assert (status, found["unchanged"], rules(found, "appears")) == (1, 1, {"fence/does-nothing"})


def test_a_site_above_the_craft_is_compared(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for state, wind in (("old", "3 m/s"), ("new", "9 m/s")):
        (club / state / "cfglint.toml").write_text(CONFIGURATION)
        craft = club / state / "cartwheel/craft.toml"
        craft.write_text(re.sub(r"(?m)^wind = .*$", "", craft.read_text(encoding="utf-8")), encoding="utf-8")
        (club / state / "site.toml").write_text(f'[site]\nwind = "{wind}"\n')
    found, _ = document(capsys, "old", "new")
    (craft_found,) = [c for c in found["craft"] if c["craft"] == "Cartwheel"]  # type: ignore[attr-defined]
    assert [(s["setting"], s["old"], s["new"]) for s in craft_found["settings"]] == [("site.wind", "3 m/s", "9 m/s")]
    assert craft_found["settings"][0]["new_place"]["file"] == "site.toml"


def test_a_rule_that_is_switched_off_is_compared_all_the_same(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (club / "old/cfglint.toml").write_text(CONFIGURATION)
    off = '[[rule]]\nid = "fence/does-nothing"\nlevel = "off"\nreason = "it is loud"\n'
    (club / "new/cfglint.toml").write_text(CONFIGURATION + off)
    found, _ = document(capsys, "old", "new")
    assert rules(found, "appears") == {"fence/does-nothing"}


@needs_git
@pytest.mark.parametrize("folder", [".", "sickle", ".."])
def test_each_revision_has_its_own_configuration(
    folder: str, repository: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The map moves, and the configuration with it: each side is read with its own. Above it, it is not found."""
    git("checkout", "-q", "main")
    (repository / "craft/cfglint.toml").write_text(CONFIGURATION)
    git("add", "craft/cfglint.toml")
    git("commit", "-qm", "configured")
    git("checkout", "-q", "tried")
    git("mv", f"craft/{MAP}", "craft/moved.map.toml")
    (repository / "craft/cfglint.toml").write_text(CONFIGURATION.replace("pennywort", "moved"))
    git("add", "craft/cfglint.toml")
    git("commit", "-qm", "moved")
    monkeypatch.chdir(repository / "craft" / folder)
    if folder == "..":
        assert compare("main..tried") == 2
        return
    for arguments in (["main..tried"], ["--git", "main"]):
        found, status = document(capsys, *arguments)
        assert (status, rules(found, "appears")) == (1, {"fence/does-nothing"})


@needs_git
def test_a_revision_whose_configuration_is_wrong(repository: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (repository / "cfglint.toml").write_text("fial_on = 'error'\n")
    git("add", "cfglint.toml")
    git("commit", "-qm", "wrong")
    assert compare("main..tried") == 2
    said = capsys.readouterr().err
    assert "tried:cfglint.toml:1:1" in said and "did you mean 'fail_on'?" in said


@needs_git
@pytest.mark.parametrize(
    "revisions", [["main..tried"], ["main...tried"], ["--git", "main", "tried"], ["main.."], ["--git", "main"]]
)
def test_revisions(revisions: list[str], repository: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found, status = document(capsys, *revisions, "--map", f"craft/{MAP}")
    assert (status, found["unchanged"], rules(found, "appears")) == (1, 1, {"fence/does-nothing"})
    place = next(v for c in found["craft"] for v in c["verdicts"] if v["change"] == "appears")["place"]  # type: ignore[attr-defined]
    assert place["file"].endswith("craft/sickle/sickle.dump") and "/cfglint-" not in json.dumps(found)
    assert git("status", "--porcelain", "craft") == ""


@needs_git
def test_revisions_from_within_a_folder(
    repository: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(repository / "craft/cartwheel")
    found, status = document(capsys, "main..tried", "--map", f"../{MAP}")
    assert (status, found["unchanged"]) == (0, 1)


@needs_git
@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["main..nowhere"], "no revision is called 'nowhere'"),
        (["--git", "nowhere"], "no revision is called 'nowhere'"),
        (["main..--output=stolen"], "begins with a dash"),
        (["--git", "main", "main; touch stolen"], "without blanks"),
        (["--git", "main", "$(touch${IFS}stolen)"], "no revision is called"),
        (["main..tried:craft"], "no revision is called"),
    ],
)
def test_what_is_no_revision(arguments: list[str], words: str, repository: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert compare(*arguments, "--map", f"craft/{MAP}") == 2
    assert words in capsys.readouterr().err
    assert not list(repository.rglob("*stolen*"))


def test_outside_a_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    assert compare("--git", "main") == 2
    assert "no git repository" in capsys.readouterr().err


def test_without_git(club: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("PATH", str(club))
    assert compare("--git", "main") == 2
    assert "git is not installed" in capsys.readouterr().err


def test_a_link_out_of_the_folder_is_not_followed(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (club / "new/away").mkdir()
    (club / "new/away/away.dump").symlink_to(club / "old/sickle/sickle.dump")
    (club / "new/round").symlink_to(club / "new", target_is_directory=True)
    found, _ = document(capsys, "old", "new", "--map", MAP)
    assert [c["craft"] for c in found["craft"]] == ["Sickle"]  # type: ignore[attr-defined]


@pytest.mark.parametrize("format", ["text", "json", "markdown"])
def test_the_same_bytes_twice(format: str, club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    outputs = set()
    for _ in range(2):
        compare("old", "new", "--map", MAP, "--format", format, "--width", "80")
        outputs.add(capsys.readouterr().out)
    assert len(outputs) == 1


def test_lines_of_the_narrow_text_fit(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    compare("old", "new", "--map", MAP, "--width", "60", "--verbose")
    lines = capsys.readouterr().out.split("\n")
    assert max(map(len, lines)) <= 60
    assert any("loiter.radius: 6 m \u2192 5 m  (-17 %)" in line for line in lines)


HOSTILE = "</summary><script>alert(1)</script> "
HOSTILE += "| `x` **b** @everyone #1 https://example.invalid www.example.invalid ![i](j) \x1b[2J\u202e\n| a |"


@pytest.mark.parametrize("format", ["text", "json", "markdown"])
def test_hostile_text_stays_text(format: str, club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = club / "a.dump", club / "b.dump"
    old.write_text("loiter.radius = 60 m\npaint = red\n", encoding="utf-8")
    new.write_text(f"loiter.radius = 6 m # {HOSTILE}\npaint = {HOSTILE}\n{HOSTILE} = {HOSTILE}\n", encoding="utf-8")
    assert compare(str(old), str(new), "--airframe", "tailed", "--format", format) in (0, 1)
    out = capsys.readouterr().out
    assert not any(ord(c) < 32 and c != "\n" for c in out) and "\u202e" not in out
    if format == "markdown":
        tags = set(re.findall(r"<[^>]*>", out))
        assert tags <= {"<details>", "<details open>", "</details>", "<summary>", "</summary>", "<br>"}
        assert not re.search(r"@\w|(?<!&)#\d|https?://|www\.|!\[|`", out)


def test_markdown_escapes_what_could_act() -> None:
    assert plain("a|b<c>&d`e`@f#1 _g_ h_i") == ("a&#124;b&#60;c&#62;&#38;d&#96;e&#96;&#64;\u2060f&#35;\u20601 &#95;g&#95; h_i")
    assert plain("x" * 500) == "x" * 299 + "\u2026"


def test_two_hundred_changes_stay_readable(club: Path) -> None:
    from cfglint.report.comparison_data import CHANGED, Comparison, CraftComparison

    changes = tuple(
        SettingChange(f"{group}.value_{n}", f"{n} m", f"{n + 1} m", "+9 %", "dump", "dump", matters=n == 7 and group == "limit")
        for group in ("gain", "limit", "servo", "switch")
        for n in range(50)
    )
    craft = CraftComparison("Thimble", "t.dump", "t.dump", CHANGED, changes)
    text = render_comparison_markdown(Comparison("old", "new", (craft,), 0, "0.1.0"))
    assert len(text) < 20_000
    folded = re.findall(r"<summary>(\w+): (\d+)</summary>", text)
    assert folded == [("gain", "50"), ("servo", "50"), ("switch", "50"), ("limit", "49")]
    assert text.index("limit.value_7 **(!)**") < text.index("gain.value_0 ")
    assert text.count("<details") == text.count("</details>")
    assert all(len(row) < 120 for row in text.split("\n"))


def test_what_is_too_long_for_a_comment_is_left_out_and_counted() -> None:
    from cfglint.report.comparison_data import CHANGED, Comparison, CraftComparison, VerdictChange

    def craft(n: int, worse: int) -> CraftComparison:
        change = VerdictChange("wing/too-slow", "too slow", "appears", True, "clear", "error", "error", message="m" * 500)
        return CraftComparison(f"Craft {n:02}", "a", "b", CHANGED, verdicts=(change,) * worse)

    comparison = Comparison("old", "new", tuple(craft(n, n + 1) for n in range(20)), 0, "0.1.0")
    text = render_comparison_markdown(comparison)
    assert len(text) <= 60_500 and "are left out here for their length" in text
    shown = re.findall(r"<summary>(Craft \d\d)", text)
    assert shown and shown == sorted(shown, reverse=True) and shown[0] == "Craft 19"
    left_out = int(re.findall(r"details of (\d+) craft", text)[0])
    assert left_out == 20 - len(shown)
    assert len(json.loads(render_comparison_json(comparison))["craft"]) == 20


def test_proofs_that_go_stale_are_worse(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for state in ("old", "new"):
        shutil.copytree(ROOT / "examples/washboard", tmp_path / state / "washboard")
        shutil.copy(ROOT / "examples/oxlip.map.toml", tmp_path / state)
    craft = tmp_path / "new/washboard/craft.toml"
    craft.write_text(re.sub(r"(?m)^mass = .*$", 'mass = "7 kg"', craft.read_text(encoding="utf-8")), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    found, status = document(capsys, "old", "new", "--map", "oxlip.map.toml")
    (craft_found,) = found["craft"]  # type: ignore[misc]
    stale = [p for p in craft_found["proofs"] if p["worse"]]
    assert status == 1 and stale and all((p["was"], p["now"]) == ("flown", "stale") for p in stale)
    assert any("craft.mass" in because for p in stale for because in p["because"])
    assert any(because.startswith("it rests on ") for p in stale for because in p["because"])
    compare("old", "new", "--map", "oxlip.map.toml", "--format", "markdown")
    assert "| proof | was | is | because |" in capsys.readouterr().out
    assert compare("old", "old", "--map", "oxlip.map.toml") == 0
