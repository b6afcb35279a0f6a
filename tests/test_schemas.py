"""The shipped JSON Schemas are those of the models, and every example is valid against its own."""

from __future__ import annotations

import datetime
import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from cfglint.project.schemas import FOLDER, schema_text, schemas
from tests.conftest import ROOT

FILES = {
    "configuration": ["examples/cfglint.toml"],
    "map": ["examples/*.map.toml"],
    "craft": ["examples/*/craft.toml", "examples/*/site.toml", "examples/site.toml"],
    "flights": ["examples/*/flights.toml"],
    "baseline": ["examples/*.json"],
    "rule": ["rules/checks/*/*.toml"],
    "card": ["rules/cards/*.toml"],
}
NAMES = sorted(FILES)


def plain(value: Any) -> Any:
    """TOML values as JSON has them: a day is a text."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [plain(item) for item in value]
    return value.isoformat() if isinstance(value, datetime.date) else value


def document(path: Path) -> Any:
    text = path.read_text(encoding="utf-8")
    return json.loads(text) if path.suffix == ".json" else plain(tomllib.loads(text))


def shipped(name: str) -> Any:
    return json.loads((FOLDER / f"{name}.schema.json").read_text(encoding="utf-8"))


def test_the_shipped_schemas_are_those_of_the_models(bless: bool) -> None:
    made = {name: schema_text(schema) for name, schema in schemas().items()}
    if bless:
        for name, text in made.items():
            (FOLDER / name).write_text(text, encoding="utf-8")
    assert {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.json")} == made


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_is_one(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(shipped(name))


@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_valid(name: str) -> None:
    paths = [path for pattern in FILES[name] for path in sorted(ROOT.glob(pattern))]
    assert paths
    validator = jsonschema.Draft202012Validator(shipped(name))
    assert not [(path.name, error.message) for path in paths for error in validator.iter_errors(document(path))]


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("configuration", {"fail-on": "error"}),
        ("configuration", {"setups": [{"map": "a.map.toml"}]}),
        ("configuration", {"waiver": [{"rule": "a/b", "craft": "c", "owner": "me", "until": "2027-01-01"}]}),
        ("map", {"controler": "x"}),
        ("craft", {"craft": {"mas": "1 kg"}}),
        ("craft", {"craft": {"mass": 3}}),
        ("baseline", {"format": "cfglint-baseline", "version": 2, "findings": []}),
        ("rule", {"title": "x"}),
    ],
)
def test_what_is_wrong_is_seen(name: str, wrong: Any) -> None:
    assert list(jsonschema.Draft202012Validator(shipped(name)).iter_errors(wrong))
