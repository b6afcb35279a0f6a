"""Name map files (TOML): their model, and the check against the catalogue. Never on the path of a cached run."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator

from cfglint.quantity.unit import UnitError, dimension_name, parse_unit
from cfglint.setup.catalogue import Catalogue, Definition
from cfglint.setup.convert import Reading, convert, exact_fraction, stick_unit
from cfglint.setup.name_map import name_map_of
from cfglint.setup.toml_document import decode_toml, parse_toml, problem_at, validated
from cfglint.text.nearest import nearest
from cfglint.text.problem import Problem, Refused

Absent = Literal["", "default", "unset", "unseen"]
MOST_KEYS = 20_000


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", coerce_numbers_to_str=True)


class ItemTable(_Strict):
    """What one value means: the setting, and how it is written."""

    setting: str = ""
    unit: str | None = None
    add: str = "0"
    codes: dict[str, str] = {}
    off: list[str] = []
    default: str | None = None
    absent: Absent = ""
    step: str = ""
    confirmed: bool = True

    @field_validator("default", mode="before")
    @classmethod
    def _plain_text(cls, value: Any) -> Any:
        return {True: "on", False: "off"}[value] if isinstance(value, bool) else value

    @field_validator("add", "step")
    @classmethod
    def _exact(cls, text: str) -> str:
        if text and exact_fraction(text) is None:
            raise ValueError(f"'{text}' is no plain number")
        return text


class KeyTable(ItemTable):
    """One key; `items` where its value is a list."""

    items: list[ItemTable] = []


class RowTable(_Strict):
    """One kind of row."""

    lead: str
    columns: list[str] = Field(min_length=1, max_length=64)
    skip: dict[str, list[str]] = {}
    member: str
    codes: dict[str, str]
    absent: Literal["unset", "unseen"] = "unseen"
    cell: dict[str, ItemTable]


class KnownTable(_Strict):
    """Keys that are recognised although no rule speaks of them."""

    keys: list[str] = []
    irrelevant: list[str] = []


class LayoutTable(_Strict):
    """The layout, as far as the map fixes it."""

    separator: Literal["=", ":", ":=", ",", "tab", "blank"]
    comments: list[str] | None = None
    lead_words: list[str] | None = None
    sections: Literal["none", "brackets", "braces", "word"] | None = None
    section_word: str | None = None
    rows: list[str] | None = None
    key_column: int | None = Field(default=None, ge=0, le=63)
    value_column: int | None = Field(default=None, ge=0, le=63)
    skip_header: bool | None = None


class NameMapFile(_Strict):
    """A whole name map."""

    controller: str
    note: str = ""
    dump: Literal["full", "changes-only"] = "changes-only"
    repeated: Literal["last", "first", "either"] = "either"
    absent: Literal["", "default"] = ""
    layout: LayoutTable | None = None
    key: dict[str, KeyTable] = Field(default={}, max_length=MOST_KEYS)
    row: list[RowTable] = []
    known: KnownTable = KnownTable()


def check_name_map(data: bytes, path: str, catalogue: Catalogue) -> dict[str, Any]:
    """The checked document of a name map. Raises Refused with every problem, at its place."""
    text = decode_toml(data, path)
    model = validated(parse_toml(text, path), text, path, NameMapFile)
    assert isinstance(model, NameMapFile)
    problems = _Check(text, path, catalogue).problems_of(model)
    if problems:
        raise Refused(*problems)
    document = model.model_dump(exclude_none=True)
    document.setdefault("layout", None)
    document["known"], document["irrelevant"] = model.known.keys, model.known.irrelevant
    name_map_of(document, path)
    return document


class _Check:
    """What a model can't see: settings that don't exist, units of another kind, words that a choice doesn't have."""

    def __init__(self, text: str, path: str, catalogue: Catalogue) -> None:
        self.text, self.path, self.catalogue = text, path, catalogue
        self.problems: list[Problem] = []

    def problems_of(self, model: NameMapFile) -> list[Problem]:
        if not model.key and not model.row:
            self._say((), "the map names no key", 'add a table [key."NAME"] with setting = "…"')
        for key, table in model.key.items():
            self._value(("key", key), table)
            for index, item in enumerate(table.items):
                self._value(("key", key, "items", index), item)
        for index, row in enumerate(model.row):
            self._row(("row", index), row)
        return self.problems

    def _row(self, keys: tuple[str | int, ...], row: RowTable) -> None:
        for column in [row.member, *row.skip, *row.cell]:
            if column not in row.columns:
                self._say(keys, f"no column is called '{column}'", f"columns: {', '.join(row.columns)}")
        for code, member in row.codes.items():
            for column, cell in row.cell.items():
                filled = cell.model_copy(update={"setting": cell.setting.replace("{" + row.member + "}", member)})
                self._value((*keys, "cell", column), filled, f"code {code}: ")

    def _value(self, keys: tuple[str | int, ...], table: ItemTable, before: str = "") -> None:
        if not table.setting:
            return
        definition = self.catalogue.get(table.setting)
        if definition is None or definition.is_fact:
            settings = [id for id, d in self.catalogue.items() if not d.is_fact]
            near = nearest(table.setting, settings)
            remedy = f"did you mean '{near}'?" if near else "the settings are listed by: cfglint settings"
            self._say((*keys, "setting"), f"{before}no setting is called '{table.setting}'", remedy)
            return
        self._unit(keys, table, definition)
        self._codes(keys, table, definition)

    def _unit(self, keys: tuple[str | int, ...], table: ItemTable, definition: Definition) -> None:
        if table.unit is None or not definition.is_number:
            return
        try:
            unit = parse_unit(stick_unit(table.unit, definition.shown_in.dimension))
        except UnitError as error:
            from cfglint.quantity.units import UNITS

            near = nearest(error.unknown, UNITS) if error.unknown else None
            self._say((*keys, "unit"), str(error), f"did you mean '{near}'?" if near else "")
            return
        if unit.dimension != definition.shown_in.dimension:
            wanted, got = dimension_name(definition.shown_in.dimension), dimension_name(unit.dimension)
            self._say(
                (*keys, "unit"),
                f"'{table.unit}' is a {got}; {definition.id} is a {wanted}",
                f"such as '{definition.unit}'",
            )

    def _codes(self, keys: tuple[str | int, ...], table: ItemTable, definition: Definition) -> None:
        for code, word in table.codes.items():
            converted = convert(word, definition)
            if converted.wrong:
                near = nearest(word, definition.words)
                remedy = f"did you mean '{near}'?" if near else f"expected {converted.expected}"
                self._say((*keys, "codes", code), f"code {code}: {converted.wrong} ({definition.id})", remedy)
        if table.default is not None and not self.problems:
            reading = Reading(table.unit, table.codes, tuple(table.off), exact_fraction(table.add) or (0, 1), table.step)
            converted = convert(table.default, definition, reading)
            if converted.wrong:
                self._say((*keys, "default"), f"default: {converted.wrong}", f"expected {converted.expected}")

    def _say(self, keys: tuple[str | int, ...], message: str, remedy: str = "") -> None:
        if len(self.problems) < 50:
            self.problems.append(problem_at(self.text, self.path, keys, message, remedy))
