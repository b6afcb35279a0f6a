"""Places in SARIF: relative addresses, regions that count lines and columns from 1, columns in code points."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any
from urllib.parse import quote_from_bytes

from cfglint.report.context import Context, path_below, path_bytes
from cfglint.setup.setting import Place


def artifact(file: str, context: Context) -> dict[str, Any]:
    """The address of a file: relative to the root; absolute for what lies outside of it."""
    return {"uri": address(file, context)}


def address(file: str, context: Context) -> str:
    """A file's name as a URI reference. Every byte that is no plain letter of one is escaped."""
    if file == "-":
        return "stdin"
    path = path_below(file, context)
    if path is None:
        whole = os.path.normpath(os.path.join(context.here, file)).replace(os.sep, "/")
        return ("file://" if Path(whole).is_absolute() else "") + _escaped(whole)
    return _escaped(path)


def location(file: str, context: Context, line: int = 0, column: int = 0, end: int = 0) -> dict[str, Any]:
    """A location; the whole file where there is no line, up to the end of the line where there is no end."""
    physical: dict[str, Any] = {"artifactLocation": artifact(file, context)}
    if line:
        physical["region"] = region(line, column, end)
    return {"physicalLocation": physical}


def region(line: int, column: int, end: int = 0) -> dict[str, int]:
    """A stretch of one line; `end` is the column behind it."""
    found = {"startLine": line, "startColumn": max(1, column)}
    return {**found, "endLine": line, "endColumn": end} if end > column else found


def place_location(place: Place, context: Context) -> dict[str, Any]:
    """Where a value is written."""
    return location(place.file, context, place.line, place.column, place_end(place))


def place_end(place: Place) -> int:
    """The column behind a value; 0 where its length is not known."""
    return place.column + place.span.end - place.span.start if place.span is not None else 0


def _escaped(path: str) -> str:
    return quote_from_bytes(path_bytes(path), safe="/")
