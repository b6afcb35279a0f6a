"""Name maps: which key of a controller's dump is which setting, in which unit, with which codes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from cfglint.setup.catalogue import Catalogue
from cfglint.setup.convert import Reading, exact_fraction
from cfglint.setup.toml_document import load_document


class KeyRule(NamedTuple):
    """What one key (or one column of a row, or one item of a list) means.

    `default`: documented default as raw text, None if none. `absent`: what absence means, "" where the map's own rule holds.
    `items`: the meanings of a list's items, None for one that is not mapped. `confirmed`: false for a guess.
    """

    key: str
    setting: str
    reading: Reading
    default: str | None = None
    absent: str = ""
    items: tuple[KeyRule | None, ...] = ()
    confirmed: bool = True


class RowRule(NamedTuple):
    """What a kind of row means: which column names the family's member, by which codes, and what the others hold."""

    lead: str
    columns: tuple[str, ...]
    skip: Mapping[str, tuple[str, ...]]
    member: str
    codes: Mapping[str, str]
    absent: str
    cells: Mapping[str, KeyRule]


class NameMap(NamedTuple):
    """A controller's names. `absent`: what the absence of a key means where the key does not say it itself.

    `layout` fixes fields of the layout by name; what it leaves out is left to the vote.
    """

    file: str
    controller: str
    full: bool
    repeated: str
    absent: str
    layout: Mapping[str, Any]
    keys: Mapping[str, KeyRule]
    rows: tuple[RowRule, ...]
    known: tuple[str, ...]
    irrelevant: tuple[str, ...]
    is_identity: bool = False


def identity_map() -> NameMap:
    """The map of a dump whose keys are catalogue ids."""
    return NameMap("", "catalogue ids", False, "either", "", {}, {}, (), (), (), True)


def load_name_map(path: str, catalogue: Catalogue, catalogue_key: bytes) -> NameMap:
    """The name map of a file. Raises Refused with every problem found, at its place."""

    def check(data: bytes, name: str) -> dict[str, Any]:
        from cfglint.setup.name_map_file import check_name_map

        return check_name_map(data, name, catalogue)

    return name_map_of(load_document(path, "map", check, catalogue_key), path)


def name_map_of(document: Mapping[str, Any], path: str) -> NameMap:
    """A name map from its checked document."""
    return NameMap(
        path,
        document["controller"],
        document["dump"] == "full",
        document["repeated"],
        document["absent"],
        document["layout"] or {},
        {key: _key_rule(key, table) for key, table in document["key"].items()},
        tuple(_row_rule(table) for table in document["row"]),
        tuple(document["known"]),
        tuple(document["irrelevant"]),
    )


def _key_rule(key: str, table: Mapping[str, Any]) -> KeyRule:
    items = tuple(_key_rule(key, item) if item.get("setting") else None for item in table.get("items", ()))
    return KeyRule(
        key,
        table.get("setting", ""),
        Reading(
            table.get("unit"),
            table.get("codes", {}),
            tuple(table.get("off", ())),
            exact_fraction(str(table.get("add", "0"))) or (0, 1),
            table.get("step") or "",
        ),
        table.get("default"),
        table.get("absent", ""),
        items,
        table.get("confirmed", True),
    )


def _row_rule(table: Mapping[str, Any]) -> RowRule:
    return RowRule(
        table["lead"],
        tuple(table["columns"]),
        {column: tuple(texts) for column, texts in table["skip"].items()},
        table["member"],
        table["codes"],
        table["absent"],
        {column: _key_rule(column, cell) for column, cell in table["cell"].items()},
    )
