"""Catalogue files (TOML) to definitions. Never on the path of a cached run."""

from __future__ import annotations

import itertools
import tomllib
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from cfglint.quantity.unit import Unit, parse_unit
from cfglint.setup.catalogue import Definition
from cfglint.setup.convert import exact_quantity


class Assumption(BaseModel):
    """A value used in a second, provisional judgement when nobody has stated one."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    value: str
    because: str
    basis: list[str] = Field(min_length=1)


class Entry(BaseModel):
    """One `[[setting]]` of a catalogue file; `names` expands the placeholders of its id."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    id: str
    kind: Literal["number", "count", "choice", "switch", "text", "date"]
    unit: str = ""
    bounds: tuple[str, str] | None = None
    bounds_basis: str = ""
    off: str | None = None
    off_means: str = "off"
    words: list[str] = []
    words_of: str = ""
    airframes: list[str]
    fact: bool = False
    stands_for: str = ""
    meaning: str
    known_as: list[str] = []
    names: dict[str, list[str]] = {}
    repeats: int = 1
    assume: Assumption | None = None


class CatalogueFile(BaseModel):
    """One topic of the catalogue."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    title: str
    setting: list[Entry]


def read_catalogue(folder: Path) -> dict[str, Definition]:
    """All definitions of a folder of catalogue files. Raises ValueError naming file and id."""
    entries: list[Entry] = []
    for path in sorted(folder.glob("*.toml")):
        try:
            entries += CatalogueFile.model_validate(tomllib.loads(path.read_text(encoding="utf-8"))).setting
        except ValueError as error:
            raise ValueError(f"{path.name}: {error}") from None
    words = {entry.id: entry.words for entry in entries}
    definitions = [_definition(entry, id, words) for entry in entries for id in _ids(entry)]
    known: dict[str, Definition] = {}
    for definition in definitions:
        if definition.id in known:
            raise ValueError(f"{definition.id} is defined twice")
        known[definition.id] = definition
    return known


def _ids(entry: Entry) -> list[str]:
    ids = []
    for chosen in itertools.product(*entry.names.values()):
        id = entry.id
        for placeholder, word in zip(entry.names, chosen, strict=True):
            id = id.replace("{" + placeholder + "}", word)
        ids.append(id)
        stem, _, rest = id.rpartition(".")
        ids += [f"{stem}@{n}.{rest}" for n in range(2, entry.repeats + 1)]
    return ids


def _definition(entry: Entry, id: str, words: dict[str, list[str]]) -> Definition:
    try:
        unit = parse_unit(entry.unit or "1")
        low, high = _bounds(entry, unit)
        off = None if entry.off is None else exact_quantity(entry.off, unit)
        chosen = entry.words or words.get(entry.words_of, [])
        if entry.kind == "switch":
            chosen = ["on", "off"]
        if entry.kind == "choice" and not chosen:
            raise ValueError("a choice needs words")
    except ValueError as error:
        raise ValueError(f"{id}: {error}") from None
    assumed: dict[str, Any] | None = entry.assume.model_dump() if entry.assume else None
    return Definition(
        id, entry.kind, entry.unit or ("1" if entry.kind in ("number", "count", "date") else ""), low, high, off, entry.off_means,
        tuple(chosen), tuple(entry.airframes), entry.fact, entry.stands_for, entry.meaning, tuple(entry.known_as), assumed,
    )  # fmt: skip


def _bounds(entry: Entry, unit: Unit) -> tuple[float, float]:
    if entry.kind == "date":
        return 1900.0, 2100.0
    if entry.kind not in ("number", "count"):
        return 0.0, 0.0
    if entry.bounds is None:
        raise ValueError("a number needs finite bounds")
    low, high = (exact_quantity(text, unit) for text in entry.bounds)
    if not low < high:
        raise ValueError("the lower bound is not below the upper one")
    return low, high
