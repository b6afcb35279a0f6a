"""Golden reports of the examples: terminal and JSON, byte for byte. `pytest --bless` rewrites them."""

from __future__ import annotations

import contextlib
import io
import json
import os
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from cfglint.cli.main import main
from cfglint.report.json_model import ReportModel, schema
from tests.conftest import ROOT

CASES = {
    "thimble": ["examples/thimble/thimble.dump", "--map", "examples/oxlip.map.toml"],
    "washboard": ["examples/washboard/washboard.dump", "--map", "examples/oxlip.map.toml"],
    "cartwheel": ["examples/cartwheel/cartwheel.dump", "--map", "examples/pennywort.map.toml"],
    "sickle": ["examples/sickle/sickle.dump", "--map", "examples/pennywort.map.toml"],
}
FORMATS = {
    "txt": ["--width", "80", "--color", "never"],
    "narrow.txt": ["--width", "60", "--color", "never"],
    "json": ["--format", "json"],
}


def output_of(arguments: list[str], monkeypatch: pytest.MonkeyPatch) -> tuple[str, int]:
    monkeypatch.chdir(ROOT)
    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)
    with contextlib.redirect_stdout(stream):
        status = main(["check", *arguments])
    stream.seek(0)
    return stream.read(), status


@pytest.mark.parametrize("format", sorted(FORMATS))
@pytest.mark.parametrize("case", sorted(CASES))
def test_report(case: str, format: str, bless: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    text, _ = output_of([*CASES[case], *FORMATS[format]], monkeypatch)
    path = Path(__file__).parent / "golden" / f"{case}.{format}"
    if bless:
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")


def test_no_golden_file_is_an_orphan() -> None:
    expected = {f"{case}.{format}" for case in CASES for format in FORMATS}
    assert {path.name for path in (Path(__file__).parent / "golden").iterdir()} == expected


@pytest.mark.parametrize("case", sorted(CASES))
def test_json_is_valid_against_the_shipped_schema(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    text, status = output_of([*CASES[case], "--format", "json"], monkeypatch)
    document = json.loads(text)
    shipped = json.loads((ROOT / "cfglint/report/report.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(document, shipped)
    assert ReportModel.model_validate(document).status == status


def test_the_shipped_schema_is_the_one_of_the_models(bless: bool) -> None:
    path = ROOT / "cfglint/report/report.schema.json"
    made = json.dumps(schema(), indent=2) + "\n"
    if bless:
        path.write_text(made, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == made


@pytest.mark.parametrize("case", ["washboard", "cartwheel"])
def test_the_clean_craft_are_clean(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    text, _ = output_of([*CASES[case], "--format", "json"], monkeypatch)
    found = [f for f in json.loads(text)["files"][0]["findings"] if f["level"] != "note" and not _waits_for_flight(f)]
    assert not [(f["rule"], f["message"]) for f in found]


def _waits_for_flight(finding: dict[str, Any]) -> bool:
    """Findings that say of a craft only that it has not been on the bench or flown yet."""
    return "unproven" in finding["rule"] or "unverified" in finding["rule"]


def test_lines_of_the_narrow_report_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    for case in CASES.values():
        text, _ = output_of([*case, *FORMATS["narrow.txt"]], monkeypatch)
        assert max(len(line) for line in text.split("\n")) <= 60


def test_the_same_bytes_from_another_locale_and_hash_seed(tmp_path: Path) -> None:
    import subprocess
    import sys

    outputs = set()
    for seed, locale in (("1", "C.UTF-8"), ("77", "en_US.UTF-8")):
        env = {**os.environ, "PYTHONHASHSEED": seed, "LC_ALL": locale, "PYTHONUTF8": "1"}
        command = [sys.executable, "-m", "cfglint", "check", *CASES["sickle"], "--format", "json"]
        outputs.add(subprocess.run(command, capture_output=True, cwd=ROOT, env=env, check=False).stdout)
    assert len(outputs) == 1
