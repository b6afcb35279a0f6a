"""The JSON report as pydantic models: the source of its schema. Never on the path of a run."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Level = Literal["error", "warning", "note"]


class _Closed(BaseModel):
    model_config = ConfigDict(extra="forbid")


class PlaceModel(_Closed):
    """Where a value is written; lines and columns count from 1, columns in code points."""

    file: str
    line: int = Field(ge=1)
    column: int = Field(ge=1)
    text: str


class TraceModel(_Closed):
    """One number or word that a finding rests on, with its unit, its origin and its lines."""

    name: str
    value: str
    origin: str
    decisive: bool
    places: list[PlaceModel]


class ChangeModel(_Closed):
    """One value that clears the finding: the line to write in the dump's own syntax, and what it replaces."""

    setting: str
    value: str
    raw: str
    line_text: str
    replaces: PlaceModel | None
    moved_by: str | None
    steps: int
    makes_worse: list[str]


class AdviceModel(_Closed):
    """What to do where no single value is the remedy."""

    setting: None
    advice: str


class WaivedByModel(_Closed):
    """Who accepts a finding, why, until which day (included), and where that is written."""

    reason: str
    owner: str
    until: str
    file: str
    line: int
    column: int


class FindingModel(_Closed):
    """One finding. `provisional`: it rests on the assumptions or guesses in `rests_on`.

    `baseline`: how it stands to the list of known findings, null without one; `baseline_was`: what that list says of one that
    is worse. `relevelled`: why its level is not the rule's own. What is waived or known does not count, and does not fail a run.
    """

    rule: str
    level: Level
    at_least: bool
    verdict: Literal["risky", "undecided", "problem"]
    provisional: bool
    message: str
    file: str
    line: int | None
    column: int | None
    phase: str | None
    members: list[str]
    settings: list[str]
    trace: list[TraceModel]
    remedy: ChangeModel | AdviceModel | None
    rests_on: list[str]
    needs: list[str]
    witnesses: list[str]
    same_cause: list[str]
    sources: list[str]
    waived_by: WaivedByModel | None
    baseline: Literal["new", "known", "worse"] | None
    baseline_was: str | None
    relevelled: str | None


class UndecidedModel(_Closed):
    """A rule that could not be decided, and the fewest facts that would settle it."""

    rule: str
    title: str
    phase: str | None
    needs: list[str]
    witnesses: list[str]
    rests_on: list[str]


class CountsModel(_Closed):
    """How many findings and verdicts there are of each kind."""

    error: int
    warning: int
    note: int
    clear: int
    clear_on_assumptions: int
    not_applicable: int
    undecided: int
    waived: int
    known: int


class SwitchedOffModel(_Closed):
    """A rule that the configuration switches off, and why."""

    rule: str
    reason: str


class LinesModel(_Closed):
    """In which state the lines of the dump are; the numbers add up to all of them."""

    understood: int
    known_not_judged: int
    irrelevant: int
    unrecognised: int
    not_readable: int
    other: int
    first_not_understood: list[int]


class FileModel(_Closed):
    """One file. `judged` false: the findings say why not. `about` "configuration": of the configuration itself."""

    file: str
    about: Literal["setup", "configuration"]
    judged: bool
    craft: str
    airframe: str
    map: str
    layout: list[str]
    counts: CountsModel
    switched_off: list[SwitchedOffModel]
    lines: LinesModel
    findings: list[FindingModel]
    undecided: list[UndecidedModel]


class ToolModel(_Closed):
    """What wrote the report."""

    name: Literal["cfglint"]
    version: str


class ReportModel(_Closed):
    """A whole run. `status` is the exit status: 0 nothing failed, 1 findings, 2 something could not be judged.

    `today`: the day by which waivers were judged; null where there was none.
    """

    format: Literal["cfglint-report"]
    version: Literal[1]
    tool: ToolModel
    fail_on: Level
    strict: bool
    status: Literal[0, 1, 2]
    today: str | None
    files: list[FileModel]


def schema() -> dict[str, Any]:
    """The JSON Schema of the report."""
    made = ReportModel.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}
