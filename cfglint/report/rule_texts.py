"""What every presentation of a rule needs of its texts: cited sources, threshold rows, levels, the words of marks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

MARKS = {
    "T": "text of the document seen",
    "S": "secondary source that restates it seen",
    "C": "computed from the formula",
    "M": "from memory, not verified",
    "": "no source",
}
_KEYS = ("value", "basis", "by", "row")


def cited_ids(rule: Mapping[str, Any]) -> list[str]:
    """Every source that a rule cites, in order: its own, then those of its thresholds."""
    ids = dict.fromkeys(rule["basis"])
    for table in rule["threshold"].values():
        for _, _, basis in threshold_rows(table):
            ids.update(dict.fromkeys(basis))
    return list(ids)


def threshold_rows(table: Mapping[str, Any]) -> Iterator[tuple[str, str, list[str]]]:
    """The rows of a threshold: row name ("" for a single value), value, authorities."""
    if table["value"] is not None:
        yield "", table["value"], _list(table["basis"])
        return
    for name, row in table.items():
        if name not in _KEYS:
            yield name, row["value"], _list(row["basis"])
    for row in table["row"]:
        yield (f"up to {row['upto']}" if row["upto"] else "above"), row["value"], _list(row["basis"])


def levels_of(rule: Mapping[str, Any]) -> list[str]:
    """The levels that a rule can have, the worst first."""
    levels = {w for part in rule["part"] for w in ([part["level"]] if isinstance(part["level"], str) else part["level"].values())}
    return sorted(levels, key=("error", "warning", "note").index)


def _list(basis: str | list[str]) -> list[str]:
    return [basis] if isinstance(basis, str) else list(basis)
