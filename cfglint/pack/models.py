"""The TOML files of a rule pack as pydantic models. Never on the path of a cached run."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

Level = Literal["error", "warning", "note"]
Outcome = Literal["risky", "clear", "undecided", "not-applicable"]


class Strict(BaseModel):
    """No unknown key passes."""

    model_config = ConfigDict(extra="forbid")


class Remedy(Strict):
    """How to put it right: a setting whose value is searched (`prefer`: words in order of preference), or advice."""

    change: str = ""
    prefer: list[str] = []
    say: str = ""

    @model_validator(mode="after")
    def _one_of_both(self) -> Remedy:
        if bool(self.change) == bool(self.say):
            raise ValueError("a remedy either changes a setting or says what to do")
        return self


class Part(Strict):
    """One condition with its own level. `when` empty: always. `undecided`: the level of not knowing, if that is a finding."""

    level: Level | dict[str, Level]
    when: str = ""
    require: str
    message: str
    remedy: Remedy | None = None
    undecided: Literal["", "error", "warning", "note"] = ""
    unknown_message: str = ""


class Row(Strict):
    """One value of a threshold, with its authority; `upto` where a number chooses the row."""

    value: str
    basis: str | list[str]
    upto: str | None = None


class Threshold(BaseModel):
    """A value, or a table of rows chosen by airframe type, size class or any one fact."""

    model_config = ConfigDict(extra="allow")
    value: str | None = None
    basis: str | list[str] | None = None
    by: str = ""
    row: list[Row] = []

    @property
    def rows(self) -> dict[str, Row]:
        """The rows that a word chooses, in order."""
        return {name: Row.model_validate(table) for name, table in (self.__pydantic_extra__ or {}).items()}

    @model_validator(mode="after")
    def _shape(self) -> Threshold:
        rows = self.rows
        if self.value is not None and (self.by or rows or self.row):
            raise ValueError("a threshold is one value, or a table by something, not both")
        if self.value is None and not (self.by and (rows or self.row)):
            raise ValueError('a threshold needs a value, or by = "…" with rows')
        if self.value is not None and not self.basis:
            raise ValueError("a threshold needs a basis")
        return self


class Example(Strict):
    """A setup and what the rule must say of it: the rule's own test, and its witness that the verdict can be reached."""

    name: str
    airframe: str
    expect: Outcome
    level: Level | None = None
    says: str = ""
    settings: dict[str, str] = {}
    craft: dict[str, str] = {}
    site: dict[str, str] = {}
    defaults: dict[str, str] = {}
    unset: list[str] = []
    proven: list[str] = []
    measured: dict[str, str] = {}
    full: bool = False
    remedy: str | None = None

    @field_validator("settings", "craft", "site", "defaults", "measured", mode="before")
    @classmethod
    def _texts(cls, table: Any) -> Any:
        if not isinstance(table, dict):
            return table
        return {k: {True: "on", False: "off"}[v] if isinstance(v, bool) else str(v) for k, v in table.items()}


class RuleFile(Strict):
    """One rule."""

    title: str
    status: Literal["preview", "stable", "deprecated", "removed"] = "stable"
    since: str
    airframes: list[str] = Field(min_length=1)
    hybrids: bool = True
    why: str
    exceptions: str = ""
    find_out: str = ""
    basis: list[str] = Field(min_length=1)
    follows_from: list[str] = []
    waivable: bool = True
    for_: dict[str, str] = Field(default={}, alias="for")
    let: dict[str, str] = {}
    threshold: dict[str, Threshold] = {}
    part: list[Part] = Field(min_length=1, max_length=12)
    example: list[Example] = Field(min_length=1)


class Way(Strict):
    """One way to know a shared quantity, with its authority."""

    formula: str
    basis: list[str] = Field(min_length=1)
    says: str


class QuantityFile(Strict):
    """A quantity that several rules share."""

    title: str
    unit: str
    bounds: tuple[str, str]
    meaning: str
    find_out: str = ""
    way: list[Way] = Field(min_length=1)


class ConditionFile(Strict):
    """A condition that several rules share, such as whether a mode that holds height is used at all."""

    title: str
    meaning: str
    formula: str


class Source(Strict):
    """One row of the bibliography. `mark`: T text seen, S secondary source seen, C computed, M from memory."""

    id: str
    topic: str = ""
    document: str
    place: str = ""
    mark: Literal["T", "S", "C", "M", ""]
    also: str = ""
    says: str = ""
    note: str = ""


class SourcesFile(Strict):
    """The bibliography of a pack."""

    source: list[Source]
