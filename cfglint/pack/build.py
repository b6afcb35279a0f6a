"""A folder of TOML files to a checked pack: two JSON values, one to judge with and one of texts to show.

Every formula is typed and unit-checked here, every name and citation resolved; what is wrong is said at its line. Never on
the path of a cached run.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from pydantic import BaseModel

from cfglint.formula.check import check_amount, check_condition, require_set
from cfglint.formula.errors import FormulaError
from cfglint.formula.vocabulary import Typed
from cfglint.pack.build_rule import RuleBuilder, Shared
from cfglint.pack.inputs import input_counts
from cfglint.pack.models import ConditionFile, QuantityFile, RuleFile, SourcesFile
from cfglint.pack.physics_functions import physics_functions
from cfglint.pack.words import Words
from cfglint.quantity.unit import parse_unit
from cfglint.setup.catalogue import Catalogue, stored_row
from cfglint.setup.catalogue_file import read_catalogue
from cfglint.setup.convert import exact_quantity
from cfglint.setup.toml_document import decode_toml, parse_toml, problem_at, read_file, validated
from cfglint.text.problem import Problem, Refused, refuse

FORMAT = 1
MOST_FILES = 5000


class Built(NamedTuple):
    """A built pack: what judging needs, the texts, and every problem found (empty: the pack is sound)."""

    pack: dict[str, Any]
    texts: dict[str, Any]
    problems: list[Problem]


def build_pack(folder: Path, base: Built | None = None) -> Built:
    """Build the pack of a folder; `base` lends its catalogue, quantities and sources to a pack that has none of its own.

    Raises Refused when the folder is no pack at all.
    """
    if not folder.is_dir():
        raise refuse(str(folder), "there is no such folder of rules")
    problems: list[Problem] = []
    catalogue = _catalogue(folder, base)
    sources = _sources(folder, base, problems)
    quantities, stored_quantities, quantity_texts = _quantities(folder, base, catalogue, problems)
    conditions, condition_texts = _conditions(folder, base, catalogue, quantities, problems)
    shared = Shared(catalogue, quantities, physics_functions(), frozenset(sources))
    rules, texts = _rules(folder, shared, problems)
    if not rules and not problems:
        raise refuse(str(folder), "there is no rule in this folder", "rules are files like checks/<topic>/<what-is-wrong>.toml")
    pack = {
        "format": FORMAT,
        "catalogue": [stored_row(definition) for definition in catalogue.values()],
        "quantities": stored_quantities,
        "conditions": conditions,
        "readers": readers_of(rules, stored_quantities, conditions),
        "rules": rules,
    }
    return Built(
        pack,
        {"rules": texts, "quantities": quantity_texts, "conditions": condition_texts, "sources": sources},
        problems,
    )


def _catalogue(folder: Path, base: Built | None) -> Catalogue:
    from cfglint.setup.catalogue import catalogue_of

    lent = catalogue_of(base.pack["catalogue"]) if base else {}
    if not (folder / "settings").is_dir():
        return lent
    try:
        return {**lent, **read_catalogue(folder / "settings")}
    except ValueError as error:
        raise refuse(str(folder / "settings"), str(error).split("\n")[0]) from None


def _sources(folder: Path, base: Built | None, problems: list[Problem]) -> dict[str, Any]:
    sources: dict[str, Any] = dict(base.texts["sources"]) if base else {}
    path = folder / "sources.toml"
    model = _document(path, SourcesFile, problems)[0] if path.exists() else None
    own: set[str] = set()
    for row in model.source if isinstance(model, SourcesFile) else ():
        if row.id in own:
            problems.append(Problem("error", "pack", f"the source {row.id} stands twice", str(path)))
        own.add(row.id)
        sources[row.id] = row.model_dump()
    return sources


def _quantities(
    folder: Path, base: Built | None, catalogue: Catalogue, problems: list[Problem]
) -> tuple[dict[str, Typed], dict[str, Any], dict[str, Any]]:
    typed: dict[str, Typed] = {}
    stored: dict[str, Any] = dict(base.pack["quantities"]) if base else {}
    texts: dict[str, Any] = dict(base.texts["quantities"]) if base else {}
    for name, table in stored.items():
        typed[name] = Typed("number", ["quantity", name], parse_unit(table["unit"]).dimension)
    waiting = {path.stem: path for path in sorted((folder / "quantities").glob("*.toml"))[:MOST_FILES]}
    models = {name: _document(path, QuantityFile, problems) for name, path in waiting.items()}
    while waiting:
        ready = [name for name in waiting if _is_ready(models[name][0], waiting, name)]
        for name in ready or list(waiting):
            model, text = models[name]
            if isinstance(model, QuantityFile):
                _quantity(name, model, (text, str(waiting[name])), (typed, stored, texts), catalogue, problems)
            del waiting[name]
    return typed, stored, texts


def _is_ready(model: BaseModel | None, waiting: Mapping[str, Path], name: str) -> bool:
    """Whether a quantity reads none that still waits; in a circle nobody is ready and the names stay unknown."""
    if not isinstance(model, QuantityFile):
        return True
    used = {word for way in model.way for word in re.findall(r"[A-Za-z_][A-Za-z0-9_.]*", way.formula)}
    return not used & (waiting.keys() - {name})


def _quantity(
    name: str,
    model: QuantityFile,
    where: tuple[str, str],
    into: tuple[dict[str, Typed], dict[str, Any], dict[str, Any]],
    catalogue: Catalogue,
    problems: list[Problem],
) -> None:
    text, path = where
    typed, stored, texts = into
    words = Words(catalogue, typed, physics_functions(), {})
    unit = parse_unit(model.unit)
    ways = []
    for index, way in enumerate(model.way):
        try:
            checked = check_amount(way.formula, words.vocabulary())
            if checked.dimension != unit.dimension:
                raise FormulaError(f"this is not in {model.unit}")
        except FormulaError as error:
            message = f"formula, column {error.column}: {error.message}"
            problems.append(problem_at(text, path, ("way", index, "formula"), message))
            continue
        ways.append([sorted(checked.needs), checked.tree])
    low, high = (exact_quantity(bound, unit) for bound in model.bounds)
    typed[name] = Typed("number", ["quantity", name], unit.dimension)
    stored[name] = {"unit": model.unit, "tree": ["ways", low, high, *ways]}
    texts[name] = model.model_dump(mode="json")


def _conditions(
    folder: Path, base: Built | None, catalogue: Catalogue, typed: dict[str, Typed], problems: list[Problem]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Shared conditions, in the order of their names: one may use those before it."""
    stored: dict[str, Any] = dict(base.pack["conditions"]) if base else {}
    texts: dict[str, Any] = dict(base.texts["conditions"]) if base else {}
    for name in stored:
        typed[name] = Typed("truth", ["condition", name])
    for path in sorted((folder / "conditions").glob("*.toml"))[:MOST_FILES]:
        model, text = _document(path, ConditionFile, problems)
        if not isinstance(model, ConditionFile):
            continue
        try:
            checked = check_condition(model.formula, Words(catalogue, typed, physics_functions(), {}).vocabulary())
            require_set(checked, frozenset(), "ask 'is set' first")
        except FormulaError as error:
            problems.append(problem_at(text, str(path), ("formula",), f"formula, column {error.column}: {error.message}"))
            continue
        typed[path.stem] = checked
        stored[path.stem] = checked.tree
        texts[path.stem] = model.model_dump(mode="json")
    return stored, texts


def _rules(folder: Path, shared: Shared, problems: list[Problem]) -> tuple[list[Any], dict[str, Any]]:
    root = folder / "checks"
    paths = sorted(root.rglob("*.toml")) if root.is_dir() else []
    if len(paths) > MOST_FILES:
        raise refuse(str(root), f"more than {MOST_FILES} rule files")
    rules, texts = [], {}
    for path in paths:
        model, text = _document(path, RuleFile, problems)
        id = path.relative_to(root).with_suffix("").as_posix()
        if isinstance(model, RuleFile):
            builder = RuleBuilder(id, model, text, str(path), shared)
            rules.append(builder.build())
            texts[id] = builder.texts()
            problems += builder.problems
    _check_links(rules, texts, problems)
    return rules, texts


def readers_of(rules: list[Any], quantities: Mapping[str, Any], conditions: Mapping[str, Any]) -> dict[str, list[str]]:
    """For each setting or fact the rules that read it; a member of a family stands as `*`."""
    shared: dict[tuple[str, str], Any] = {("quantity", name): q["tree"] for name, q in quantities.items()}
    shared |= {("condition", name): tree for name, tree in conditions.items()}
    readers: dict[str, list[str]] = {}
    for rule in rules:
        named = {**shared, **{("let", name): tree for name, tree in rule["lets"].items()}}
        named |= {("threshold", name): table["tree"] for name, table in rule["thresholds"].items() if "tree" in table}
        trees = [part[key] for part in rule["parts"] for key in ("when", "require") if part[key] is not None]
        for id in input_counts(trees, named):
            readers.setdefault(re.sub(r"\{[^}]*\}", "*", id), []).append(rule["id"])
    return readers


def _check_links(rules: list[Any], texts: Mapping[str, Any], problems: list[Problem]) -> None:
    for rule in rules:
        for other in rule["follows_from"]:
            if other not in texts:
                problems.append(Problem("error", "pack", f"{rule['id']} follows from {other}, which is no rule", rule["file"]))


def _document(path: Path, model: type[BaseModel], problems: list[Problem]) -> tuple[BaseModel | None, str]:
    text = ""
    try:
        text = decode_toml(read_file(str(path)), str(path))
        return validated(parse_toml(text, str(path)), text, str(path), model), text
    except Refused as refused:
        problems += refused.problems
        return None, text
