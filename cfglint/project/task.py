"""One dump to be judged, with all that it is judged with: plain values that can be sent to another process."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from cfglint.project.configuration import Adjustment, Configuration, Waiver, is_inside
from cfglint.report.finding import SwitchedOff


class Task(NamedTuple):
    """One dump. `relative`: its path below the root. `facts`: files with facts, the nearest first. `off`: rules switched off.

    `alone`: rules whose findings lead no other, because they are waived, known or relevelled; "*" for all. `pinned`: values
    that waivers were granted for, as (setting, text). `outside`: a link leads out of the repository.
    `passed`: the report lists the rules that found nothing.
    """

    dump: str
    relative: str
    map: str = ""
    facts: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    airframe: str = ""
    full: bool = False
    off: tuple[SwitchedOff, ...] = ()
    alone: tuple[str, ...] = ()
    pinned: tuple[tuple[str, str], ...] = ()
    outside: bool = False
    passed: bool = False


class Asked(NamedTuple):
    """What the caller names for all dumps of a run; it goes before what the configuration says."""

    map: str = ""
    craft: str = ""
    rules: tuple[str, ...] = ()
    airframe: str = ""
    full: bool = False


def packs_of(relative: str, configuration: Configuration, asked: Asked) -> tuple[str, ...]:
    """The folders of rule packs that a dump is judged with beside the shipped one, each once."""
    groups = configuration.groups_of(relative)
    named = [*configuration.rules, *(folder for group in groups for folder in group.rules)]
    return tuple(dict.fromkeys([*map(configuration.path, named), *asked.rules]))


def map_of(relative: str, configuration: Configuration, asked: Asked) -> str:
    """The name map of a dump; "" without one."""
    named = [group.map for group in configuration.groups_of(relative) if group.map]
    return asked.map or (configuration.path(named[-1]) if named else "")


def airframe_of(relative: str, configuration: Configuration, asked: Asked) -> str:
    """The airframe type that is said of a dump; "" where none is."""
    named = [group.airframe for group in configuration.groups_of(relative) if group.airframe]
    return asked.airframe or (named[-1] if named else "")


def is_full(relative: str, configuration: Configuration, asked: Asked) -> bool:
    """Whether a dump is said to hold every setting."""
    said = [group.full for group in configuration.groups_of(relative) if group.full is not None]
    return asked.full or (said[-1] if said else False)


def expanded_rules(pattern: str, rules: Iterable[str]) -> list[str]:
    """The rules that `topic/*`, or one id, means."""
    if pattern.endswith("/*"):
        return [rule for rule in rules if rule.startswith(pattern[:-1])]
    return [rule for rule in rules if rule == pattern]


def levels_of(adjustments: Iterable[Adjustment], rules: Sequence[str]) -> dict[str, Adjustment]:
    """The last adjustment of each rule that has one."""
    return {rule: adjustment for adjustment in adjustments for rule in expanded_rules(adjustment.rule, rules)}


def switched_off(levels: dict[str, Adjustment]) -> tuple[SwitchedOff, ...]:
    """The rules that don't take part, in order."""
    return tuple(SwitchedOff(rule, levels[rule].reason) for rule in sorted(levels) if levels[rule].level == "off")


def leads_outside(dump: str, configuration: Configuration) -> bool:
    """Whether a dump below the root is a link to something outside of it."""
    return bool(configuration.file) and os.path.islink(dump) and not is_inside(configuration.root, dump)


def pinned_values(waivers: Iterable[Waiver]) -> tuple[tuple[str, str], ...]:
    """The values that waivers were granted for, each once."""
    return tuple(sorted({pair for waiver in waivers for pair in waiver.values.items()}))
