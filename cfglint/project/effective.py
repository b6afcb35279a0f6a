"""What a run is checked with, value by value, each with the file and line it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfglint.project.check import Entry, Plan, Request
from cfglint.project.configuration import Configuration, Written
from cfglint.project.task import Asked

BUILT_IN, CALLER = "built in", "command line"


class Row(NamedTuple):
    """One value: its name, the value as text, and where it comes from."""

    name: str
    value: str
    origin: str


def run_rows(plan: Plan, request: Request) -> Iterator[Row]:
    """What holds for the whole run."""
    configuration = plan.configuration
    yield Row("configuration", configuration.file or "none", BUILT_IN if not request.configuration else CALLER)
    fail_on = request.fail_on or configuration.fail_on
    yield Row("fail_on", fail_on, CALLER if request.fail_on else _origin(configuration, "fail_on"))
    strict = configuration.strict if request.strict is None else request.strict
    yield Row("strict", "yes" if strict else "no", CALLER if request.strict is not None else _origin(configuration, "strict"))
    for name, values in (("dumps", configuration.dumps), ("exclude", configuration.exclude)):
        yield Row(name, ", ".join(values) or "nothing", _origin(configuration, name))
    yield Row("rules", ", ".join(configuration.rules) or "the shipped ones", _origin(configuration, "rules"))
    yield Row("baseline", configuration.baseline or "none", _origin(configuration, "baseline"))


def entry_rows(entry: Entry, plan: Plan, asked: Asked) -> Iterator[Row]:
    """What holds for one dump."""
    task, configuration = entry.task, plan.configuration
    groups = configuration.groups_of(task.relative)
    map_at = next((group.at for group in reversed(groups) if group.map), None)
    yield Row("map", task.map or "none: keys are catalogue ids", _of_group(bool(asked.map), map_at))
    for path in task.facts:
        yield Row("facts", path, CALLER if asked.craft else "beside the dump, or above")
    for folder in task.rules:
        at = next((g.at for g in groups if folder in map(configuration.path, g.rules)), None)
        named = folder in map(configuration.path, configuration.rules)
        origin = _origin(configuration, "rules") if named else _of_group(folder in asked.rules, at)
        yield Row("rules", folder, origin)
    if task.airframe:
        at = next((group.at for group in reversed(groups) if group.airframe), None)
        yield Row("airframe", task.airframe, _of_group(bool(asked.airframe), at))
    if any(group.full is not None for group in groups) or asked.full:
        at = next((group.at for group in reversed(groups) if group.full is not None), None)
        yield Row("full", "yes" if task.full else "no", _of_group(asked.full, at))
    for rule, adjustment in sorted(entry.levels.items()):
        yield Row(f"level of {rule}", f"{adjustment.level}: {adjustment.reason}", _place(adjustment.at))
    for waiver in entry.waivers:
        yield Row(f"waiver of {waiver.rule}", f"until {waiver.until}, {waiver.owner}: {waiver.reason}", _place(waiver.at))


def _of_group(by_caller: bool, at: Written | None) -> str:
    if by_caller:
        return CALLER
    return _place(at) if at is not None else BUILT_IN


def _place(at: Written) -> str:
    return f"{at.file}:{at.line}"


def _origin(configuration: Configuration, key: str) -> str:
    line = configuration.origins.get(key)
    return f"{configuration.file}:{line}" if line else BUILT_IN
