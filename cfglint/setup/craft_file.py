"""craft.toml: what is known of the craft and of the place it flies at, as text with units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cfglint.setup.catalogue import Catalogue, Definition
from cfglint.setup.convert import convert
from cfglint.setup.setting import CRAFT, SITE, Facts, Place, Setting
from cfglint.setup.toml_document import decode_toml, line_of, load_document, parse_toml, problem_at
from cfglint.text.problem import Problem, Refused

TABLES = {"craft": CRAFT, "site": SITE}
WAIVERS = "waiver"
"""Waivers for this craft stand in the same file; the repository's part of the tool reads them."""
_FREE = ("name", "note", "inherits")


def load_facts(path: str, catalogue: Catalogue, catalogue_key: bytes) -> Facts:
    """The facts of a craft file. Raises Refused with every problem found, at its place."""

    def check(data: bytes, name: str) -> dict[str, Any]:
        return _check(data, name, catalogue)

    return facts_of(load_document(path, "craft", check, catalogue_key), path, catalogue)


def facts_of(document: Mapping[str, Any], path: str, catalogue: Catalogue) -> Facts:
    """Facts from a checked document: a row of (id, text, line, column, shown line) for each."""
    settings = {}
    for id, text, line, column, shown in document["facts"]:
        definition = catalogue[id]
        converted = convert(text, definition)
        origin = SITE if id.startswith("site.") else CRAFT
        if converted.value is not None:
            settings[id] = Setting(id, converted.value, origin, (Place(path, line, column, shown),), text, converted.step)
    return Facts(settings, document["craft_name"], document["site_name"], path)


def _check(data: bytes, path: str, catalogue: Catalogue) -> dict[str, Any]:
    text = decode_toml(data, path)
    table = parse_toml(text, path)
    problems: list[Problem] = []
    facts: list[list[Any]] = []
    for name, content in table.items():
        if name == WAIVERS:
            continue
        if name not in TABLES:
            problems.append(_unknown(text, path, (name,), name, [*TABLES, WAIVERS]))
        elif not isinstance(content, dict):
            problems.append(problem_at(text, path, (name,), f"'{name}' must be a table", f"write [{name}]"))
        else:
            _check_table(name, content, (text, path), catalogue, facts, problems)
    if problems:
        raise Refused(*problems)
    names = [str(table.get(t, {}).get("name", "")) for t in TABLES]
    return {"facts": facts, "craft_name": names[0], "site_name": names[1]}


def _check_table(
    name: str,
    content: dict[str, Any],
    where: tuple[str, str],
    catalogue: Catalogue,
    facts: list[list[Any]],
    problems: list[Problem],
) -> None:
    from cfglint.text.toml_place import place

    text, path = where
    for key, written in content.items():
        if key in _FREE:
            continue
        definition = _definition(name, key, catalogue)
        if definition is None:
            valid = [id.removeprefix(name + ".") for id in catalogue if id.startswith(name + ".")]
            problems.append(_unknown(text, path, (name, key), key, valid))
            continue
        problem = _wrong(written, definition)
        if problem:
            problems.append(problem_at(text, path, (name, key), *problem))
            continue
        line, column = place(text, (name, key))
        facts.append([definition.id, _text(written), line, column, line_of(text, line)])


def _definition(table: str, key: str, catalogue: Catalogue) -> Definition | None:
    """A fact of the table; in [craft], also a setting by its whole id."""
    own = catalogue.get(f"{table}.{key}")
    if own is not None and own.is_fact:
        return own
    other = catalogue.get(key) if table == "craft" else None
    return other if other is not None and not other.is_fact else None


def _wrong(written: Any, definition: Definition) -> tuple[str, str] | None:
    if isinstance(written, (dict, list)):
        return f"{definition.id} must be one value", f"expected {_example(definition)}"
    if isinstance(written, (int, float)) and not isinstance(written, bool) and definition.unit not in ("1", ""):
        return f"{definition.id} needs a unit", f'write "{written} {definition.unit}"'
    converted = convert(_text(written), definition)
    if converted.wrong:
        return f"{definition.id}: {converted.wrong}", f"expected {converted.expected}"
    return None


def _example(definition: Definition) -> str:
    return f'a text with its unit, such as "{definition.unit}"' if definition.is_number else "a word"


def _text(written: Any) -> str:
    if isinstance(written, bool):
        return "on" if written else "off"
    return str(written)


def _unknown(text: str, path: str, keys: tuple[str | int, ...], name: str, valid: list[str]) -> Problem:
    from cfglint.text.nearest import nearest

    near = nearest(name, valid)
    remedy = f"did you mean '{near}'?" if near else "the facts are listed by: cfglint settings --facts"
    return problem_at(text, path, keys, f"no fact is called '{name}'", remedy)
