"""What it means that a setting is not in the dump: unseen, unless the name map documents the meaning of absence."""

from __future__ import annotations

from collections.abc import Mapping

from cfglint.quantity.value import Value
from cfglint.setup.catalogue import Definition
from cfglint.setup.entries import Entries
from cfglint.setup.name_map import NameMap
from cfglint.setup.setting import DEFAULT, GUESS, UNSEEN, UNSET_ORIGIN, Setting


def absent_setting(
    definition: Definition, name_map: NameMap, entries: Entries, defaults: Mapping[str, Value], full: bool
) -> Setting:
    """The setting for a definition that nobody stated."""
    if definition.is_fact:
        return Setting(definition.id, definition.unseen(), UNSEEN)
    meaning = _meaning(definition, name_map, entries, defaults, full)
    rule = entries.rules.get(definition.id)
    if meaning == "default":
        raw = rule.default or "" if rule else ""
        origin = DEFAULT if rule is None or rule.confirmed else GUESS
        return Setting(definition.id, defaults[definition.id], origin, (), raw, 0.0, rule)
    if meaning == "unset":
        return Setting(definition.id, definition.unset(), UNSET_ORIGIN, (), "", 0.0, rule)
    return Setting(definition.id, definition.unseen(), UNSEEN, (), "", 0.0, rule)


def _meaning(definition: Definition, name_map: NameMap, entries: Entries, defaults: Mapping[str, Value], full: bool) -> str:
    rule = entries.rules.get(definition.id)
    stated = entries.absent_rows.get(definition.id) or (rule.absent if rule else "")
    documented = definition.id in defaults
    if stated:
        return "unseen" if stated == "default" and not documented else stated
    if name_map.absent == "default" and documented:
        return "default"
    further_range = "@" in definition.id
    return "unset" if full or further_range else "unseen"
