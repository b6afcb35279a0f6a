"""Many dumps: the number of processes and the store change no answer, one bad file stops nothing, an interrupt ends cleanly."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
import zlib
from pathlib import Path

import pytest

from cfglint.cli.main import main
from cfglint.project.fleet import processes_for
from cfglint.project.judging import Bench
from cfglint.project.stored_report import restored, stored
from cfglint.project.task import Task
from cfglint.report.overview import overview
from tests.conftest import ROOT
from tests.project.club import check, configuration, craft


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    root = tmp_path / "fleet"
    for number in range(12):
        craft(root, f"Craft{number:02}", f"{2.8 + number * 0.05:.2f} V")
    (root / "craft03" / "craft03.dump").write_bytes(b"\x00\x01\x02" * 99)
    configuration(root)
    return root


def test_the_number_of_processes_changes_nothing(fleet: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    runs = []
    for jobs in (1, 2, 3):
        monkeypatch.setenv("CFGLINT_CACHE", str(tmp_path / f"store{jobs}"))
        runs.append(check(fleet, jobs=jobs).run)
    assert runs[0] == runs[1] == runs[2]
    assert [file.refused for file in runs[0].files].count(True) == 1 and runs[0].status == 2


def test_what_was_stored_is_the_same_and_is_used(fleet: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("CFGLINT_CACHE", str(tmp_path / "store"))
    first = check(fleet).run
    judged: list[str] = []
    real = Bench.judged
    monkeypatch.setattr(Bench, "judged", lambda self, task, data=None: judged.append(task.dump) or real(self, task, data))  # type: ignore[func-returns-value]
    assert check(fleet).run == first
    assert [Path(name).name for name in judged] == ["craft03.dump"]


@pytest.mark.parametrize("what", ["dump", "craft", "record", "garbage", "read-only"])
def test_the_store_is_never_stale_nor_trusted(what: str, fleet: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    store = tmp_path / "store"
    monkeypatch.setenv("CFGLINT_CACHE", str(store))
    check(fleet)
    if what == "dump":
        (fleet / "craft00" / "craft00.dump").write_text("loiter.radius = 3 m\ncruise.speed = 15 m/s\n")
    elif what == "craft":
        facts = fleet / "craft00" / "craft.toml"
        facts.write_text(facts.read_text().replace("lipo", "li_ion"))
    elif what == "record":
        (fleet / "craft00" / "flights.toml").write_text("[[flight]]\n")
    elif what == "garbage":
        kept = list((store / "judged").glob("*/*"))
        assert len(kept) == 11
        for number, path in enumerate(kept):
            path.write_bytes([zlib.compress(b"[[1, 2, [3]]]"), b"no report", b"", zlib.compress(b"[" * 5000)][number % 4])
    else:
        monkeypatch.setenv("CFGLINT_CACHE", "/proc/nowhere")
    after = check(fleet).run
    monkeypatch.setenv("CFGLINT_CACHE", str(tmp_path / "fresh"))
    assert check(fleet).run == after


@pytest.mark.parametrize("name", ["thimble", "washboard", "cartwheel", "sickle"])
def test_a_report_comes_back_equal(name: str) -> None:
    import json

    board = "oxlip" if name in ("thimble", "washboard") else "pennywort"
    folder = ROOT / "examples" / name
    task = Task(
        str(folder / f"{name}.dump"),
        "-",
        str(ROOT / f"examples/{board}.map.toml"),
        (str(folder / "craft.toml"),),
        passed=True,
    )
    judged = Bench().judged(task)
    assert not judged.report.refused
    assert restored(json.loads(json.dumps(stored(judged)))) == judged


def test_few_dumps_need_no_processes() -> None:
    assert processes_for(3, 8) == 1 and processes_for(100, 2) == 2 and processes_for(8, 64) == 2


def test_the_overview_has_the_riskiest_first(fleet: Path) -> None:
    rows = overview(check(fleet).run.files).rows
    assert rows[0].refused and not any(row.refused for row in rows[1:])
    assert [row.errors for row in rows[1:]] == sorted((row.errors for row in rows[1:]), reverse=True)
    assert len(rows) == 12


def test_the_overview_fits_its_width(fleet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(fleet), "--overview", "--width", "60"])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 60


def test_an_interrupt_ends_cleanly(tmp_path: Path) -> None:
    root = tmp_path / "many"
    source = (ROOT / "examples/sickle/sickle.dump").read_text()
    for number in range(400):
        dump = craft(root, f"Craft{number:03}")
        dump.write_text(source + f"// {number}\n")
    (root / "p.map.toml").write_bytes((ROOT / "examples/pennywort.map.toml").read_bytes())
    configuration(root, "[[setups]]\nwhere = ['**']\nmap = 'p.map.toml'\n")
    env = {**os.environ, "CFGLINT_CACHE": str(tmp_path / "store")}
    check_command = [sys.executable, "-m", "cfglint", "check", str(root), "--jobs", "2"]
    subprocess.run([*check_command[:-3], str(root / "craft000")], cwd=ROOT, env=env, capture_output=True, check=False)
    process = subprocess.Popen(
        check_command, cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True
    )
    time.sleep(1.5)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=30)
    assert process.returncode == 2 and out == b""
    assert err.decode().splitlines() == ["cfglint: stopped"]
    with pytest.raises(ProcessLookupError):
        os.killpg(process.pid, 0)
