"""Many craft at a glance: a row a craft, the riskiest first, a column a topic."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from cfglint.report.finding import LEVELS, FileReport

MARKS = {"error": "E", "warning": "W", "note": "n"}
UNDECIDED, NOTHING, REFUSED = "?", ".", "!"


class Row(NamedTuple):
    """One craft. `cells`: for each topic its worst mark; `refused`: it could not be judged."""

    name: str
    errors: int
    warnings: int
    undecided: int
    cells: tuple[str, ...]
    refused: bool


class Overview(NamedTuple):
    """The topics in which anything was found or left open, by name, and the craft."""

    topics: tuple[str, ...]
    rows: tuple[Row, ...]


def overview(files: Sequence[FileReport]) -> Overview:
    """The overview of a run: what could not be judged first, then by errors, warnings, what is undecided, and name."""
    setups = [file for file in files if file.about == "setup"]
    topics = tuple(sorted({topic for file in setups for topic in _marks(file)}))
    rows = [_row(file, topics) for file in setups]
    return Overview(topics, tuple(sorted(rows, key=_risk)))


def _risk(row: Row) -> tuple[bool, int, int, int, str]:
    return not row.refused, -row.errors, -row.warnings, -row.undecided, row.name


def _row(file: FileReport, topics: tuple[str, ...]) -> Row:
    marks = _marks(file)
    cells = tuple(REFUSED if file.refused else marks.get(topic, NOTHING) for topic in topics)
    return Row(file.file, file.count("error"), file.count("warning"), len(file.undecided), cells, file.refused)


def _marks(file: FileReport) -> dict[str, str]:
    """The worst mark of each topic: an open finding by its level, else what is undecided."""
    if file.refused:
        return {}
    marks = {undecided.rule.partition("/")[0]: UNDECIDED for undecided in file.undecided}
    for level in reversed(LEVELS):
        marks |= {f.rule.partition("/")[0]: MARKS[level] for f in file.findings if f.level == level and not f.accepted}
    return marks
