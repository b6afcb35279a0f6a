"""`cfglint.toml`: what a repository of setups is checked with, and what is waived in it, each with its line."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any, NamedTuple

from cfglint.project.path_pattern import matches_any
from cfglint.setup.toml_document import load_document
from cfglint.text.problem import refuse

FILE_NAME = "cfglint.toml"
DUMPS = ("**/*.dump",)


class Written(NamedTuple):
    """Where something is written: file, line and column from 1, and the line itself."""

    file: str
    line: int = 0
    column: int = 0
    shown: str = ""


class Group(NamedTuple):
    """One `[[setups]]` table: what the dumps that `where` means are checked with. Empty or None: not said here."""

    where: tuple[str, ...]
    map: str
    rules: tuple[str, ...]
    airframe: str
    full: bool | None
    at: Written


class Adjustment(NamedTuple):
    """One `[[rule]]` table: a rule, or `topic/*`, switched off or given another level, with the reason."""

    rule: str
    level: str
    reason: str
    where: tuple[str, ...]
    at: Written


class Waiver(NamedTuple):
    """One `[[waiver]]` table. `craft`: a craft's name, its folder or its dump; `until`: the last day, YYYY-MM-DD.

    `values`: texts by setting id for which it was granted; it lapses when one of them changes.
    """

    rule: str
    craft: str
    reason: str
    owner: str
    until: str
    values: Mapping[str, str]
    at: Written


class Configuration(NamedTuple):
    """A whole configuration. `root`: the folder of its file; `origins`: the line of each value that is written, by key."""

    file: str
    root: str
    fail_on: str
    strict: bool
    dumps: tuple[str, ...]
    exclude: tuple[str, ...]
    rules: tuple[str, ...]
    baseline: str
    groups: tuple[Group, ...]
    adjustments: tuple[Adjustment, ...]
    waivers: tuple[Waiver, ...]
    origins: Mapping[str, int]

    def path(self, relative: str) -> str:
        """A path that the configuration names, as seen from the folder of the run."""
        return os.path.normpath(os.path.join(self.root, relative)) if self.root else relative

    def groups_of(self, relative: str) -> list[Group]:
        """The `[[setups]]` tables that mean a dump, in the order of the file: what a later one says counts."""
        return [group for group in self.groups if matches_any(group.where, relative)]

    def adjustments_of(self, relative: str) -> list[Adjustment]:
        """The `[[rule]]` tables that mean a dump."""
        return [a for a in self.adjustments if not a.where or matches_any(a.where, relative)]


NO_CONFIGURATION = Configuration("", "", "warning", False, DUMPS, (), (), "", (), (), (), {})


def find_configuration(start: str) -> str:
    """The nearest `cfglint.toml` in a folder or above it, as a path seen like `start`; "" without one.

    The search ends at the folder that holds `.git`: what lies above belongs to somebody else.
    """
    folder = start or os.curdir
    for _ in range(60):
        path = os.path.join(folder, FILE_NAME)
        if os.path.isfile(path):
            return os.path.normpath(path)
        if os.path.lexists(os.path.join(folder, ".git")) or os.path.dirname(os.path.abspath(folder)) == os.path.abspath(folder):
            return ""
        folder = os.path.join(folder, os.pardir)
    return ""


def load_configuration(path: str) -> Configuration:
    """The configuration of a file. Raises Refused with every problem found, at its place."""

    def check(data: bytes, name: str) -> dict[str, Any]:
        from cfglint.project.configuration_file import check_configuration

        return check_configuration(data, name)

    return configuration_of(load_document(path, "configuration", check), path)


def configuration_of(document: Mapping[str, Any], path: str) -> Configuration:
    """A configuration from its checked document. Raises Refused where a path leads out of its folder through a link."""
    root = os.path.dirname(path)
    configuration = Configuration(
        path,
        root,
        document["fail_on"],
        document["strict"],
        tuple(document["dumps"]),
        tuple(document["exclude"]),
        tuple(document["rules"]),
        document["baseline"],
        tuple(_group(row, path) for row in document["setups"]),
        tuple(_adjustment(row, path) for row in document["rule"]),
        tuple(waiver_of(row, path) for row in document["waiver"]),
        document["origins"],
    )
    for named, line in _paths(configuration):
        _refuse_outside(configuration, named, line)
    return configuration


def waiver_of(row: Mapping[str, Any], path: str) -> Waiver:
    """A waiver from its checked row."""
    return Waiver(row["rule"], row["craft"], row["reason"], row["owner"], row["until"], row["values"], _written(row, path))


def is_inside(root: str, path: str) -> bool:
    """Whether a path stays in a folder once every link is followed."""
    real, within = os.path.realpath(path), os.path.realpath(root or os.curdir)
    return real == within or real.startswith(within.rstrip(os.sep) + os.sep)


def _group(row: Mapping[str, Any], path: str) -> Group:
    return Group(tuple(row["where"]), row["map"], tuple(row["rules"]), row["airframe"], row["full"], _written(row, path))


def _adjustment(row: Mapping[str, Any], path: str) -> Adjustment:
    return Adjustment(row["id"], row["level"], row["reason"], tuple(row["where"]), _written(row, path))


def _written(row: Mapping[str, Any], path: str) -> Written:
    return Written(path, row["line"], row["column"], row["shown"])


def _paths(configuration: Configuration) -> list[tuple[str, int]]:
    lines = configuration.origins
    named = [(folder, lines.get("rules", 0)) for folder in configuration.rules]
    named += [(configuration.baseline, lines.get("baseline", 0))] if configuration.baseline else []
    for group in configuration.groups:
        named += [(path, group.at.line) for path in (group.map, *group.rules) if path]
    return named


def _refuse_outside(configuration: Configuration, named: str, line: int) -> None:
    if not is_inside(configuration.root, configuration.path(named)):
        message = f"'{named}' leads out of the folder of this file"
        raise refuse(configuration.file, message, "keep what is named here in the repository", line, 1 if line else 0)
