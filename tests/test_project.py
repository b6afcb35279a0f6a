"""The examples as a shared repository under git: clean, broken on a branch, compared, reported, waived, expired, put right."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import ROOT

TODAY = ["--today", "2026-05-01"]
DUMP = "cartwheel/cartwheel.dump"


@pytest.fixture
def club(tmp_path: Path) -> Path:
    """A copy of the examples as a git repository with one commit."""
    root = tmp_path / "club"
    shutil.copytree(ROOT / "examples", root)
    git(root, "init", "-q", "-b", "main")
    commit(root, "as it is")
    return root


def git(root: Path, *words: str) -> str:
    named = ["-c", "user.name=Club", "-c", "user.email=club@example.invalid", "-c", "commit.gpgsign=false"]
    return subprocess.run(["git", *named, *words], cwd=root, capture_output=True, text=True, check=True).stdout


def commit(root: Path, message: str) -> None:
    git(root, "add", "-A")
    git(root, "commit", "-q", "-m", message)


def cfglint(root: Path, *words: str) -> tuple[int, str]:
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-m", "cfglint", *words], cwd=root, env=env, capture_output=True, text=True, check=False
    )
    assert "Traceback" not in done.stderr, done.stderr
    return done.returncode, done.stdout + done.stderr


def findings(root: Path, *words: str) -> list[dict[str, Any]]:
    _, out = cfglint(root, "check", *TODAY, "--format", "json", *words)
    return [finding for file in json.loads(out)["files"] for finding in file["findings"]]


def break_it(root: Path) -> None:
    """One setting, as a slip of the finger would change it."""
    path = root / DUMP
    text = path.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("peg Last "))
    path.write_text(text.replace(line, "peg Last 2.60 V"), encoding="utf-8")


def test_the_repository_is_clean_as_it_is(club: Path) -> None:
    status, said = cfglint(club, "check", *TODAY)
    assert status == 0, said
    assert "waived error: wing/waypoint-radius-too-small" in said
    assert not [f for f in findings(club) if f["rule"].startswith(("configuration/", "waiver/"))]


def test_six_craft_a_field_and_a_record() -> None:
    examples = ROOT / "examples"
    assert len(list(examples.glob("*/craft.toml"))) >= 6
    assert (examples / "cfglint.toml").exists() and (examples / "known.json").exists() and list(examples.glob("*/flights.toml"))


def test_broken_on_a_branch_then_waived_then_expired(club: Path) -> None:
    git(club, "switch", "-q", "-c", "slip")
    break_it(club)
    commit(club, "slip")
    status, said = cfglint(club, "check", *TODAY, "--write", "sarif=report.sarif", "--write", "markdown=report.md")
    assert status == 1 and "2.6 V" in said
    new = [f for f in findings(club) if f["baseline"] == "new"]
    rules = sorted({f["rule"] for f in new})
    assert rules and all(rule.startswith("battery/") for rule in rules)
    results = json.loads((club / "report.sarif").read_text(encoding="utf-8"))["runs"][0]["results"]
    states = {
        r["baselineState"]
        for r in results
        if r.get("ruleId") in rules and r.get("kind", "fail") == "fail" and "baselineState" in r
    }
    assert "new" in states and any(r.get("suppressions") for r in results)
    assert "2.6 V" in (club / "report.md").read_text(encoding="utf-8")

    status, said = cfglint(club, "compare", "main..slip")
    assert status == 1 and "battery.cell_critical" in said and any(rule in said for rule in rules)

    waivers = "".join(
        f"\n[[waiver]]\nrule = '{rule}'\ncraft = 'Cartwheel'\nreason = 'a bench supply for the show'\nowner = 'workshop'\n"
        "until = 2026-05-31\n"
        "values = { 'battery.cell_critical' = '2.6 V' }\n"
        for rule in rules
    )
    configuration = club / "cfglint.toml"
    configuration.write_text(configuration.read_text(encoding="utf-8") + waivers, encoding="utf-8")
    assert cfglint(club, "check", *TODAY)[0] == 0
    assert cfglint(club, "check", *TODAY, "--no-waivers")[0] == 1
    status, said = cfglint(club, "check", "--today", "2026-06-01")
    assert status == 1 and "waiver/expired" in said

    path = club / DUMP
    path.write_text(path.read_text(encoding="utf-8").replace("peg Last 2.60 V", "peg Last 2.50 V"), encoding="utf-8")
    status, said = cfglint(club, "check", *TODAY)
    assert status == 1 and "waiver/lapsed" in said


def test_a_proposed_patch_is_taken_by_git(club: Path) -> None:
    break_it(club)
    commit(club, "slip")
    status, _ = cfglint(club, "check", DUMP, *TODAY, "--propose", "remedy.patch")
    assert status == 1
    git(club, "apply", "remedy.patch")
    assert cfglint(club, "check", DUMP, *TODAY)[0] == 0
    changed = [line for line in git(club, "diff", "-U0").splitlines() if line.startswith(("+", "-")) and line[1:2] not in "+-"]
    assert changed and all("V" in line for line in changed)


def test_the_order_of_names_and_the_number_of_processes_change_nothing(club: Path) -> None:
    outputs = {cfglint(club, "check", *TODAY, "--format", "json", "--jobs", jobs)[1] for jobs in ("1", "2")}
    assert len(outputs) == 1


@pytest.mark.skipif(shutil.which("pre-commit") is None, reason="the pre-commit program is not installed")
def test_the_hook_manifest_is_valid() -> None:
    subprocess.run(["pre-commit", "validate-manifest", str(ROOT / ".pre-commit-hooks.yaml")], check=True)


@pytest.mark.skipif(shutil.which("pre-commit") is None, reason="the pre-commit program is not installed")
def test_the_hook_stops_a_commit_that_breaks_something(club: Path, tmp_path: Path) -> None:
    """The real program runs the hooks of the manifest, here with the interpreter of the tests instead of one of its own."""
    import re

    manifest = (ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8")
    local = re.sub(r"language: python", "language: system", manifest)
    local = local.replace(
        "entry: cfglint check", f"entry: env PYTHONPATH={ROOT} {sys.executable} -m cfglint check --today 2026-05-01"
    )
    hooks = "\n".join("    " + line for line in local.splitlines())
    (club / ".pre-commit-config.yaml").write_text(f"repos:\n- repo: local\n  hooks:\n{hooks}\n", encoding="utf-8")
    commit(club, "hooks")
    env = {**os.environ, "PRE_COMMIT_HOME": str(tmp_path / "home")}
    command = ["pre-commit", "run", "--all-files"]
    good = subprocess.run(command, cwd=club, env=env, capture_output=True, text=True, check=False)
    assert good.stdout.count("...Passed") >= 1, good.stdout
    assert "all setups" in good.stdout.split("Passed")[0]
    break_it(club)
    git(club, "add", "-A")
    bad = subprocess.run(["pre-commit", "run"], cwd=club, env=env, capture_output=True, text=True, check=False)
    assert bad.returncode == 1 and bad.stdout.count("Failed") == 2 and "2.6 V" in bad.stdout
