"""The JSON comparison as pydantic models: the source of its schema. Never on the path of a run."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class _Closed(BaseModel):
    model_config = ConfigDict(extra="forbid")


class PlaceModel(_Closed):
    """Where a value is written; lines and columns count from 1, columns in code points."""

    file: str
    line: int = Field(ge=1)
    column: int = Field(ge=1)
    text: str


class SettingChangeModel(_Closed):
    """One setting or fact before and after. `matters`: a verdict that got worse reads it."""

    setting: str
    old: str
    new: str
    relative: str | None
    old_origin: str
    new_origin: str
    old_place: PlaceModel | None
    new_place: PlaceModel | None
    matters: bool
    same_value: bool


class VerdictChangeModel(_Closed):
    """One verdict before and after. `moved`: whether a finding that stays is further from clear."""

    rule: str
    title: str
    change: Literal[
        "appears",
        "rises",
        "moves",
        "undecided now",
        "out of sight",
        "weaker",
        "goes",
        "falls",
        "settled",
        "firmer",
        "applies",
        "applies no more",
    ]
    worse: bool
    was: str
    now: str
    level: Literal["error", "warning", "note"] | None
    phase: str | None
    members: list[str]
    message: str | None
    old_message: str | None
    moved: Literal["further from clear", "nearer to clear"] | None
    settings: list[str]
    needs: list[str]
    rests_on: list[str]
    place: PlaceModel | None
    remedy: str | None


class LineChangeModel(_Closed):
    """Lines of a key that no rule reads."""

    key: str
    old: str | None
    new: str | None


class ProofChangeModel(_Closed):
    """A test card whose proof changed, and the edits that did it."""

    card: str
    was: str
    now: str
    because: list[str]
    worse: bool


class ProblemModel(_Closed):
    """Why a craft could not be compared."""

    message: str
    file: str
    line: int | None
    column: int | None
    remedy: str | None


class CraftModel(_Closed):
    """One craft whose files differ. `standing_findings`: how many findings there are now."""

    craft: str
    old_file: str | None
    new_file: str | None
    status: Literal["changed", "same", "new", "gone", "refused"]
    worse: int
    better: int
    standing_findings: int
    settings: list[SettingChangeModel]
    verdicts: list[VerdictChangeModel]
    unread_lines: list[LineChangeModel]
    proofs: list[ProofChangeModel]
    problems: list[ProblemModel]


class ToolModel(_Closed):
    """What wrote the comparison."""

    name: Literal["cfglint"]
    version: str


class ComparisonModel(_Closed):
    """A whole comparison. `status` is the exit status: 0 nothing got worse, 1 something did, 2 some could not be compared."""

    format: Literal["cfglint-comparison"]
    version: Literal[1]
    tool: ToolModel
    old: str
    new: str
    status: Literal[0, 1, 2]
    worse: int
    unchanged: int
    craft: list[CraftModel]


def comparison_schema() -> dict[str, Any]:
    """The JSON Schema of the comparison."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **ComparisonModel.model_json_schema()}
