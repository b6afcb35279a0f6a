"""What reporters need beside the findings: the rules' texts and sources, and the folder that paths are told from."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from cfglint.report.finding import FileReport, Finding, RunReport


class Context(NamedTuple):
    """`rules` and `sources`: the pack's texts by id. `root`: the absolute folder that paths are told from, `here` the one
    that the run's own file names start at; where either is empty, paths stay as they were given.
    """

    rules: Mapping[str, Mapping[str, Any]] = {}
    sources: Mapping[str, Mapping[str, Any]] = {}
    root: str = ""
    here: str = ""


def path_below(file: str, context: Context) -> str | None:
    """The path of a file from the root, with forward slashes; None for what lies outside of it, or is no file."""
    if file == "-":
        return None
    path = os.path.normpath(file)
    if context.root and (context.here or Path(path).is_absolute()):
        path = os.path.relpath(os.path.join(context.here, path), context.root)
    path = path.replace(os.sep, "/")
    return None if Path(path).is_absolute() or path in ("..", ".") or path.startswith("../") else path


def path_bytes(path: str) -> bytes:
    """A path as bytes, also one that is no proper text."""
    try:
        return path.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:
        return path.encode("utf-8", "surrogatepass")


def fails(finding: Finding, file: FileReport, run: RunReport) -> bool:
    """Whether this finding alone would fail the run: by the same rule as the exit status."""
    alone = file._replace(findings=(finding,), undecided=(), refused=False)
    return run._replace(files=(alone,)).status == 1
