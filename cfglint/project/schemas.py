"""The JSON Schema of each file format that people write: made from the very models that check the files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from cfglint.flights.card_file import CardFile
from cfglint.flights.flight_file import FlightFile
from cfglint.pack.load import shipped_pack
from cfglint.pack.models import RuleFile
from cfglint.project.baseline_file import BaselineModel
from cfglint.project.configuration_file import ConfigurationFile, CraftWaivers
from cfglint.setup.catalogue import Catalogue, Definition
from cfglint.setup.name_map_file import NameMapFile

FOLDER = Path(__file__).parent.parent / "schemas"
DRAFT = "https://json-schema.org/draft/2020-12/schema"


def schemas() -> dict[str, dict[str, Any]]:
    """Every schema by the name of its file."""
    models: dict[str, type[BaseModel]] = {
        "configuration": ConfigurationFile,
        "map": NameMapFile,
        "rule": RuleFile,
        "card": CardFile,
        "flights": FlightFile,
        "baseline": BaselineModel,
    }
    made = {f"{name}.schema.json": _of_model(model) for name, model in models.items()}
    made["map.schema.json"] = _with_bare_numbers(made["map.schema.json"])
    return made | {"craft.schema.json": _craft(shipped_pack().catalogue)}


def schema_text(schema: dict[str, Any]) -> str:
    """A schema as the text of its file."""
    return json.dumps(schema, indent=1, ensure_ascii=True) + "\n"


def _of_model(model: type[BaseModel]) -> dict[str, Any]:
    return {"$schema": DRAFT, **model.model_json_schema(by_alias=True)}


def _with_bare_numbers(schema: Any) -> Any:
    """The same schema where a text may also be written as a bare number or switch: a name map takes either."""
    if isinstance(schema, list):
        return [_with_bare_numbers(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    if schema.get("type") == "string" and "enum" not in schema and "const" not in schema:
        return {**schema, "type": ["string", "number", "boolean"]}
    return {key: _with_bare_numbers(part) for key, part in schema.items()}


def _craft(catalogue: Catalogue) -> dict[str, Any]:
    """`craft.toml` and `site.toml`: their facts are those of the catalogue, and `[craft]` may state any setting by its id."""
    waivers = CraftWaivers.model_json_schema()
    settings = {id: _fact(d) for id, d in catalogue.items() if not d.is_fact}
    tables = {"craft": _table("craft", catalogue, settings), "site": _table("site", catalogue, {})}
    return {
        "$schema": DRAFT,
        "title": "CraftFile",
        "description": "What is known of a craft and of the place it flies at, as text with units.",
        "type": "object",
        "additionalProperties": False,
        "properties": {**tables, "waiver": waivers["properties"]["waiver"]},
        "$defs": waivers["$defs"],
    }


def _table(name: str, catalogue: Catalogue, more: dict[str, Any]) -> dict[str, Any]:
    free = {key: {"type": "string"} for key in ("name", "note", "inherits")}
    facts = {id.removeprefix(name + "."): _fact(d) for id, d in catalogue.items() if d.is_fact and id.startswith(name + ".")}
    return {"type": "object", "additionalProperties": False, "properties": {**free, **facts, **more}}


def _fact(definition: Definition) -> dict[str, Any]:
    kinds = ["string"]
    if definition.is_number and definition.unit in ("1", ""):
        kinds.append("number")
    if definition.kind == "switch":
        kinds.append("boolean")
    unit = f" ({definition.unit})" if definition.unit not in ("1", "") else ""
    return {"type": kinds if len(kinds) > 1 else "string", "description": definition.meaning + unit}
