"""`cfglint.toml` and the waivers of `craft.toml` as pydantic models. Never on the path of a cached run."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator
from pydantic.config import JsonDict

from cfglint.project.configuration import DUMPS
from cfglint.project.path_pattern import LONGEST_PATTERN
from cfglint.setup.airframe import airframe_types, kinds_of
from cfglint.setup.toml_document import decode_toml, line_of, parse_toml, validated
from cfglint.text.nearest import nearest
from cfglint.text.toml_place import place

MOST_TABLES = 5_000

Level = Literal["error", "warning", "note"]

_WRITTEN: JsonDict = {"type": ["string", "number", "boolean"]}


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


def _path_inside(text: str) -> str:
    parts = text.replace("\\", "/").split("/")
    if not text or text.startswith(("/", "\\", "~")) or ":" in parts[0]:
        raise ValueError(f"'{text}' must be a path below the folder of this file")
    if ".." in parts:
        raise ValueError(f"'{text}' climbs out of the folder of this file")
    return "/".join(part for part in parts if part not in ("", "."))


def _pattern(text: str) -> str:
    if not text.strip() or len(text) > LONGEST_PATTERN:
        raise ValueError(f"a pattern has 1 to {LONGEST_PATTERN} characters")
    if text.startswith(("/", "\\")) or ".." in text.replace("\\", "/").split("/"):
        raise ValueError(f"'{text}' climbs out of the folder of this file")
    return text.replace("\\", "/")


def _said(text: str) -> str:
    if not text.strip():
        raise ValueError("it must say something")
    return text.strip()


class SetupsTable(_Strict):
    """What some of the dumps are checked with. Where several tables mean a dump, what the later one says counts."""

    where: list[str] = Field(min_length=1, description="patterns for dumps, or folders, below this file")
    map: str = Field(default="", description="the name map of the controller")
    rules: list[str] = Field(default=[], description="folders of further rule packs")
    airframe: str = Field(default="", description="the airframe type, where craft.toml does not say it")
    full: bool | None = Field(default=None, description="the dumps hold every setting: what is absent is unset")

    @field_validator("where")
    @classmethod
    def _patterns(cls, texts: list[str]) -> list[str]:
        return [_pattern(text) for text in texts]

    @field_validator("map")
    @classmethod
    def _map(cls, text: str) -> str:
        return _path_inside(text)

    @field_validator("rules")
    @classmethod
    def _rules(cls, texts: list[str]) -> list[str]:
        return [_path_inside(text) for text in texts]

    @field_validator("airframe")
    @classmethod
    def _airframe(cls, text: str) -> str:
        if kinds_of(text) is None:
            near = nearest(text, airframe_types())
            raise ValueError(f"no airframe type is called '{text}'" + (f"; did you mean '{near}'?" if near else ""))
        return text


class RuleTable(_Strict):
    """A rule, or all rules of a topic as `topic/*`, switched off or given another level."""

    id: str
    level: Literal["off", "error", "warning", "note"]
    reason: str
    where: list[str] = Field(default=[], description="patterns for dumps; none: all")

    @field_validator("reason")
    @classmethod
    def _reason(cls, text: str) -> str:
        return _said(text)

    @field_validator("where")
    @classmethod
    def _patterns(cls, texts: list[str]) -> list[str]:
        return [_pattern(text) for text in texts]


class CraftWaiverTable(_Strict):
    """A finding that somebody accepts for a time. `values`: what it was granted for; it lapses when one of them changes."""

    rule: str
    reason: str
    owner: str
    until: datetime.date = Field(description="the last day on which it holds")
    values: dict[str, str] = Field(default={}, max_length=100, json_schema_extra={"additionalProperties": _WRITTEN})

    @field_validator("rule", "reason", "owner")
    @classmethod
    def _texts(cls, text: str) -> str:
        return _said(text)

    @field_validator("until", mode="before")
    @classmethod
    def _day(cls, value: Any) -> Any:
        if isinstance(value, datetime.datetime) or not isinstance(value, (datetime.date, str)):
            raise ValueError("the last day is written 2027-06-30")
        if isinstance(value, datetime.date):
            return value
        try:
            return datetime.date.fromisoformat(value)
        except ValueError:
            raise ValueError(f"'{value[:40]}' is no day; it is written 2027-06-30") from None

    @field_validator("values", mode="before")
    @classmethod
    def _values(cls, table: Any) -> Any:
        if not isinstance(table, dict):
            return table
        words = {True: "on", False: "off"}
        return {k: words[v] if isinstance(v, bool) else str(v) if isinstance(v, (int, float)) else v for k, v in table.items()}


class WaiverTable(CraftWaiverTable):
    """A waiver in `cfglint.toml`: it also says for which craft, by name, folder or dump."""

    craft: str

    @field_validator("craft")
    @classmethod
    def _craft(cls, text: str) -> str:
        return _said(text)


class ConfigurationFile(_Strict):
    """The configuration of a repository of setups."""

    fail_on: Level = Field(default="warning", description="the level from which findings fail a run")
    strict: bool = Field(default=False, description="undecided rules, and findings that rest on assumptions, fail too")
    dumps: list[str] = Field(default=list(DUMPS), min_length=1, description="patterns for the settings dumps")
    exclude: list[str] = Field(default=[], description="patterns for what is left out")
    rules: list[str] = Field(default=[], description="folders of further rule packs")
    baseline: str = Field(default="", description="the list of known findings")
    setups: list[SetupsTable] = Field(default=[], max_length=MOST_TABLES)
    rule: list[RuleTable] = Field(default=[], max_length=MOST_TABLES)
    waiver: list[WaiverTable] = Field(default=[], max_length=MOST_TABLES)

    @field_validator("dumps", "exclude")
    @classmethod
    def _patterns(cls, texts: list[str]) -> list[str]:
        return [_pattern(text) for text in texts]

    @field_validator("rules")
    @classmethod
    def _rules(cls, texts: list[str]) -> list[str]:
        return [_path_inside(text) for text in texts]

    @field_validator("baseline")
    @classmethod
    def _baseline(cls, text: str) -> str:
        return _path_inside(text)


class CraftWaivers(BaseModel):
    """The waivers of a `craft.toml`; its other tables are facts, which are checked elsewhere."""

    model_config = ConfigDict(extra="ignore")
    waiver: list[CraftWaiverTable] = Field(default=[], max_length=MOST_TABLES)


def check_configuration(data: bytes, path: str) -> dict[str, Any]:
    """The checked document of a configuration. Raises Refused with every problem, at its place."""
    text = decode_toml(data, path)
    model = validated(parse_toml(text, path), text, path, ConfigurationFile)
    document = model.model_dump(mode="json")
    for table in ("setups", "rule", "waiver"):
        document[table] = _placed(document[table], table, text)
    written = [key for key in model.model_fields_set if key not in ("setups", "rule", "waiver")]
    document["origins"] = {key: place(text, (key,))[0] for key in sorted(written)}
    return document


def check_craft_waivers(data: bytes, path: str) -> dict[str, Any]:
    """The waivers of a craft file. Raises Refused with every problem, at its place."""
    text = decode_toml(data, path)
    table: Mapping[str, Any] = parse_toml(text, path)
    model = validated({"waiver": table.get("waiver", [])}, text, path, CraftWaivers)
    rows = model.model_dump(mode="json")["waiver"]
    return {"waiver": [{**row, "craft": ""} for row in _placed(rows, "waiver", text)]}


def _placed(rows: list[dict[str, Any]], table: str, text: str) -> list[dict[str, Any]]:
    placed = []
    for index, row in enumerate(rows):
        line, column = place(text, (table, index))
        placed.append({**row, "line": line, "column": column, "shown": line_of(text, line)})
    return placed
