"""What the configuration says of each dump: rules that are off or at another level, waivers, known findings."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from cfglint.pack.rule import Pack
from cfglint.project.adjust import adjustment_problems
from cfglint.project.baseline import KnownFinding, load_baseline
from cfglint.project.configuration import NO_CONFIGURATION, Configuration, Waiver
from cfglint.project.craft import CRAFT_FILE, craft_waivers
from cfglint.project.judging import Bench
from cfglint.project.task import Task, levels_of, pinned_values, switched_off
from cfglint.setup.toml_document import decode_toml, load_document, parse_toml
from cfglint.text.problem import Refused, refuse

if TYPE_CHECKING:
    from cfglint.project.check import Entry, Request


def entries_of(tasks: Iterable[Task], configuration: Configuration, request: Request, bench: Bench) -> list[Entry]:
    """The entries of a run. Raises Refused where the configuration names rules that don't exist or may not be touched."""
    tasks = list(tasks)
    _check_adjustments(tasks, configuration, bench)
    known = known_by_dump(configuration, request.baseline)
    return [_entry(task, configuration, request, bench, known.get(task.relative, [])) for task in tasks]


def known_by_dump(configuration: Configuration, wanted: bool = True) -> dict[str, list[KnownFinding]]:
    """The list of known findings, by dump. Raises Refused where it can't be read."""
    by_dump: dict[str, list[KnownFinding]] = {}
    if not configuration.baseline or not wanted:
        return by_dump
    path = configuration.path(configuration.baseline)
    if not os.path.lexists(path):
        line = configuration.origins.get("baseline", 0)
        message = f"there is no list of known findings at {configuration.baseline}"
        raise refuse(configuration.file, message, "write it with: cfglint baseline write", line, 1)
    for entry in load_baseline(path):
        by_dump.setdefault(entry.dump, []).append(entry)
    return by_dump


def craft_name(task: Task) -> str:
    """The name that the nearest craft file gives, as far as it can be read; "" without one."""
    for path in task.facts:
        try:
            name = str(load_document(path, "craft-name", _name)["name"])
        except Refused:
            return ""
        if name:
            return name
    return ""


def names_of(task: Task, name: str) -> tuple[str, ...]:
    """By what a waiver may call the craft of a dump: its name, its folder, its dump."""
    return tuple(text for text in (name, os.path.dirname(task.relative) or ".", task.relative) if text)


def _name(data: bytes, path: str) -> dict[str, Any]:
    craft = parse_toml(decode_toml(data, path), path).get("craft", {})
    return {"name": str(craft.get("name", "")) if isinstance(craft, dict) else ""}


def _entry(task: Task, configuration: Configuration, request: Request, bench: Bench, known: list[KnownFinding]) -> Entry:
    from cfglint.project.check import Entry

    if task.relative.startswith("../") or task.relative == "-":
        configuration = NO_CONFIGURATION
    try:
        pack = bench.pack(task.rules)
        waivers = _waivers(task, configuration)
    except Refused:
        return Entry(task)
    levels = levels_of(configuration.adjustments_of(task.relative), tuple(pack.rules))
    told = waivers if request.waivers else ()
    alone = {w.rule for w in told} | {k.rule for k in known} | {rule for rule, a in levels.items() if a.level != "off"}
    task = task._replace(
        off=switched_off(levels),
        alone=("*",) if request.unfolded else tuple(sorted(alone)),
        pinned=pinned_values(told),
    )
    return Entry(task, waivers, levels)


def _waivers(task: Task, configuration: Configuration) -> tuple[Waiver, ...]:
    """The waivers for a dump: those of the configuration, then those of its own craft file."""
    name = craft_name(task) if configuration.waivers else ""
    called = names_of(task, name)
    own = [w for path in task.facts if os.path.basename(path) == CRAFT_FILE for w in craft_waivers(path, called[0])]
    return (*(waiver for waiver in configuration.waivers if waiver.craft in called), *own)


def _check_adjustments(tasks: list[Task], configuration: Configuration, bench: Bench) -> None:
    """Raises Refused for a rule that no pack of the run knows, or that one of them keeps from being touched."""
    if not configuration.adjustments:
        return
    found = [adjustment_problems(configuration.adjustments, pack) for pack in _packs(tasks, bench)]
    everywhere = [p for p in found[0] if all(p in problems for problems in found)] if found else []
    stubborn = [p for problems in found for p in problems if "refuses" in p.message]
    wrong = list(dict.fromkeys([*everywhere, *stubborn]))
    if wrong:
        raise Refused(*wrong)


def _packs(tasks: list[Task], bench: Bench) -> list[Pack]:
    packs = []
    for folders in dict.fromkeys(task.rules for task in tasks):
        try:
            packs.append(bench.pack(folders))
        except Refused:
            continue
    return packs
