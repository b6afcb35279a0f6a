"""One rule file to its stored form: formulas typed, thresholds turned into rows, messages and citations resolved."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

from cfglint.formula.check import check_any, check_condition, require_set
from cfglint.formula.errors import FormulaError
from cfglint.formula.vocabulary import Function, Typed
from cfglint.pack.message import placeholders
from cfglint.pack.models import Part, Row, RuleFile, Threshold
from cfglint.pack.words import Words, family_members
from cfglint.quantity.unit import UnitError, dimension_name, parse_unit, shown_unit
from cfglint.setup.airframe import FAMILIES, airframe_types
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.convert import exact_quantity
from cfglint.setup.toml_document import problem_at
from cfglint.text.nearest import nearest
from cfglint.text.problem import Problem
from cfglint.text.value import Number, parse_value

SIZE_LIMITS = {"micro": 0.25, "small": 0.9, "medium": 4.0, "large": math.inf}
"""Size classes by take-off mass in kg, the limit itself belonging to the next class (CLASS-1)."""

ROW_WORDS = (*airframe_types(), "any")


class Shared(NamedTuple):
    """What all rules of a pack share."""

    catalogue: Catalogue
    quantities: Mapping[str, Typed]
    functions: Mapping[str, Function]
    sources: frozenset[str]


class RuleBuilder:
    """Builds one rule; `problems` says what is wrong with it."""

    def __init__(self, id: str, model: RuleFile, text: str, path: str, shared: Shared) -> None:
        self.id, self.model, self.text, self.path, self.shared = id, model, text, path, shared
        self.problems: list[Problem] = []
        self.trees: dict[str, Any] = {}
        self.units: dict[str, str] = {}
        self.families = {v: family_members(pattern, shared.catalogue) for v, pattern in model.for_.items()}
        self.words = Words(shared.catalogue, shared.quantities, shared.functions, self.families)

    def build(self) -> dict[str, Any]:
        """The stored rule; complete only if no problem was found."""
        self._head()
        thresholds = {name: self._threshold(name, table) for name, table in self.model.threshold.items()}
        for name, formula in self.model.let.items():
            self._let(name, formula)
        parts = [self._part(index, part) for index, part in enumerate(self.model.part)]
        return {
            "id": self.id,
            "file": self.path,
            "title": self.model.title,
            "status": self.model.status,
            "airframes": self.model.airframes,
            "hybrids": self.model.hybrids,
            "follows_from": self.model.follows_from,
            "waivable": self.model.waivable,
            "families": {variable: [stem, list(members)] for variable, (stem, members) in self.families.items()},
            "lets": self.trees,
            "thresholds": thresholds,
            "units": self.units,
            "basis": self.model.basis,
            "parts": parts,
        }

    def texts(self) -> dict[str, Any]:
        """What is shown of the rule, read only when it is shown."""
        document = self.model.model_dump(by_alias=True)
        for name, threshold in self.model.threshold.items():
            document["threshold"][name] = threshold.model_dump()
        document["file"] = self.path
        return document

    def _head(self) -> None:
        for airframe in self.model.airframes:
            if airframe not in FAMILIES:
                self._say(("airframes",), f"no airframe family is called '{airframe}'", f"families: {', '.join(FAMILIES)}")
        for variable, (stem, members) in self.families.items():
            if not members:
                self._say(("for", variable), f"there is no family '{stem}.*'")
        self._cite(self.model.basis, ("basis",))

    def _cite(self, basis: str | list[str] | None, keys: tuple[str | int, ...]) -> None:
        for source in [basis] if isinstance(basis, str) else basis or []:
            if source not in self.shared.sources:
                near = nearest(source, self.shared.sources)
                self._say(keys, f"no source is called '{source}'", f"did you mean '{near}'?" if near else "see sources.toml")

    def _let(self, name: str, formula: str) -> None:
        try:
            typed = check_any(formula, self.words.vocabulary())
        except FormulaError as error:
            self._formula_problem(("let", name), f"let {name}", error)
            typed = Typed("number", ["number", 0.0])
        self.trees[name] = typed.tree
        if typed.kind == "number":
            self.units[name] = shown_unit(typed.dimension).symbol
        self.words.add("let", name, typed)

    def _threshold(self, name: str, table: Threshold) -> dict[str, Any]:
        rows = table.rows
        listed = [Row(value=table.value, basis=table.basis or "")] if table.value is not None else [*rows.values(), *table.row]
        values = [self._row_value(name, row) for row in listed]
        units = [unit for _, unit in values]
        if any(parse_unit(u).dimension != parse_unit(units[0]).dimension for u in units):
            self._say(("threshold", name), "the rows of a threshold must all be the same kind of quantity")
        for row in listed:
            self._cite(row.basis, ("threshold", name))
        self.units[name] = units[0]
        self.words.add("threshold", name, Typed("number", ["threshold", name], parse_unit(units[0]).dimension))
        numbers = [number for number, _ in values]
        return self._rows(name, table, list(rows), numbers)

    def _rows(self, name: str, table: Threshold, row_names: list[str], numbers: list[float]) -> dict[str, Any]:
        keys = ("threshold", name)
        if table.value is not None:
            return {"tree": ["number", numbers[0]]}
        if table.by == "airframe":
            self._check_rows(keys, row_names, ROW_WORDS)
            return {"airframe": dict(zip(row_names, numbers, strict=True))}
        if table.by == "size":
            self._check_rows(keys, row_names, tuple(SIZE_LIMITS))
            limits = sorted((SIZE_LIMITS[n], v) for n, v in zip(row_names, numbers, strict=True) if n in SIZE_LIMITS)
            return {"tree": ["rows", ["value", "craft.mass"], [_below(limit, v) for limit, v in limits]]}
        definition = self.shared.catalogue.get(table.by)
        if definition is None:
            near = nearest(table.by, self.shared.catalogue)
            self._say((*keys, "by"), f"no setting or fact is called '{table.by}'", f"did you mean '{near}'?" if near else "")
            return {"tree": ["number", 0.0]}
        if not table.row:
            self._check_rows(keys, row_names, definition.words)
            return {"tree": ["word_rows", table.by, dict(zip(row_names, numbers, strict=True))]}
        limits_of = [None if r.upto is None else exact_quantity(r.upto, definition.shown_in) for r in table.row]
        return {"tree": ["rows", ["value", table.by], [list(pair) for pair in zip(limits_of, numbers, strict=True)]]}

    def _check_rows(self, keys: tuple[str | int, ...], names: list[str], valid: tuple[str, ...]) -> None:
        for name in names:
            if name not in valid:
                near = nearest(name, valid)
                self._say((*keys, name), f"no row can be called '{name}'", f"did you mean '{near}'?" if near else "")

    def _row_value(self, name: str, row: Row) -> tuple[float, str]:
        parsed = parse_value(row.value)
        try:
            unit = parse_unit(parsed.unit or "1") if isinstance(parsed, Number) else None
            if unit is None:
                raise ValueError(f"'{row.value}' is no quantity")
            return exact_quantity(row.value, unit), unit.symbol
        except (UnitError, ValueError) as error:
            self._say(("threshold", name), str(error))
            return 0.0, "1"

    def _part(self, index: int, part: Part) -> dict[str, Any]:
        keys = ("part", index)
        when = self._condition(part.when, (*keys, "when"), frozenset()) if part.when else None
        certain = when.if_true if when else frozenset()
        require = self._condition(part.require, (*keys, "require"), certain)
        self._levels(part, keys)
        self._message(part.message, (*keys, "message"))
        if part.unknown_message:
            self._message(part.unknown_message, (*keys, "unknown_message"))
        self._remedy(part, keys)
        return {
            "level": {"any": part.level} if isinstance(part.level, str) else part.level,
            "when": when.tree if when else None,
            "require": require.tree,
            "message": part.message,
            "unknown_message": part.unknown_message,
            "remedy": part.remedy.model_dump() if part.remedy else None,
            "undecided": part.undecided,
        }

    def _condition(self, formula: str, keys: tuple[str | int, ...], certain: frozenset[str]) -> Typed:
        try:
            typed = check_condition(formula, self.words.vocabulary())
            require_set(typed, certain, "ask 'is set' first, in 'when' or with 'and'")
            return typed
        except FormulaError as error:
            self._formula_problem(keys, str(keys[-1]), error)
            return Typed("truth", ["and"])

    def _levels(self, part: Part, keys: tuple[str | int, ...]) -> None:
        if isinstance(part.level, dict):
            self._check_rows((*keys, "level"), list(part.level), ROW_WORDS)

    def _message(self, template: str, keys: tuple[str | int, ...]) -> None:
        for name, unit_text in placeholders(template):
            found = self.words.find(name)
            if found is None:
                near = nearest(name, self.words.names())
                self._say(keys, f"the message speaks of '{name}', which is no name", f"did you mean '{near}'?" if near else "")
            elif found.kind == "truth":
                self._say(keys, f"the message can't show the condition {name}")
            elif unit_text and found.kind == "number" and parse_unit(unit_text).dimension != found.dimension:
                self._say(keys, f"{name} is a {dimension_name(found.dimension)} and can't be shown in {unit_text}")

    def _remedy(self, part: Part, keys: tuple[str | int, ...]) -> None:
        if part.remedy is None or not part.remedy.change:
            return
        found = self.words.find(part.remedy.change)
        if found is None or found.role != "setting":
            near = nearest(part.remedy.change, self.shared.catalogue)
            self._say(
                (*keys, "remedy"),
                f"no setting is called '{part.remedy.change}'",
                f"did you mean '{near}'?" if near else "",
            )
        elif found.kind == "choice":
            for word in part.remedy.prefer:
                if word not in found.words:
                    self._say((*keys, "remedy"), f"'{word}' is no word of {part.remedy.change}")

    def _formula_problem(self, keys: tuple[str | int, ...], what: str, error: FormulaError) -> None:
        self._say(keys, f"{what}, column {error.column}: {error.message}")

    def _say(self, keys: tuple[str | int, ...], message: str, remedy: str = "") -> None:
        self.problems.append(problem_at(self.text, self.path, keys, message, remedy))


def _below(limit: float, value: float) -> list[float | None]:
    return [None if math.isinf(limit) else math.nextafter(limit, 0.0), value]
