"""The wheel, installed into a clean environment and run from another folder: rules, grammar and schema are inside."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

from tests.conftest import ROOT


def run(*command: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    env = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"} | {"CFGLINT_CACHE": str(cwd / "cache")}
    return subprocess.run(command, capture_output=True, text=True, cwd=cwd, env=env, check=False)


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clean environment with the wheel in it."""
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    kept = shutil.ignore_patterns(".git", ".venv", ".*cache*", ".hypothesis", "tests", "__pycache__")
    shutil.copytree(ROOT, source, ignore=kept)
    built = run(
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--no-deps",
        "--no-build-isolation",
        "-q",
        "-w",
        str(folder),
        ".",
        cwd=source,
    )
    assert built.returncode == 0, built.stderr
    assert not (source / "cfglint/pack/shipped.json").exists()
    venv.create(folder / "env", with_pip=True)
    wheel = next(folder.glob("*.whl"))
    done = run(str(folder / "env/bin/pip"), "install", "-q", str(wheel), cwd=folder)
    assert done.returncode == 0, done.stderr
    return folder


def test_it_judges_without_its_source(installed: Path) -> None:
    shutil.copytree(ROOT / "examples", installed / "elsewhere" / "examples", dirs_exist_ok=True)
    where = installed / "elsewhere"
    command = str(installed / "env/bin/cfglint")
    done = run(command, "check", "examples/sickle/sickle.dump", "--map", "examples/pennywort.map.toml", cwd=where)
    assert done.returncode == 1, done.stderr
    assert "wing/loiter-inside-turn-radius" in done.stdout


def test_the_shipped_pack_needs_neither_lark_nor_pydantic(installed: Path) -> None:
    dump = installed / "x.dump"
    dump.write_text("loiter.radius = 6 m\n")
    program = (
        "import sys; from cfglint.cli.main import main; main(['check', 'x.dump', '--airframe', 'tailed']);"
        "print('LOADED', *sorted(sys.modules))"
    )
    done = run(str(installed / "env/bin/python"), "-c", program, cwd=installed)
    loaded = set(done.stdout.split("LOADED")[1].split())
    assert not loaded & {"lark", "pydantic", "rich", "tomllib"}


def test_explain_and_rules_check_work_there(installed: Path) -> None:
    command = str(installed / "env/bin/cfglint")
    explained = run(command, "explain", "wing/loiter-inside-turn-radius", cwd=installed)
    assert explained.returncode == 0 and "TURN-1" in explained.stdout
    checked = run(command, "rules", "check", cwd=installed)
    assert checked.returncode == 0, checked.stdout[-2000:]
