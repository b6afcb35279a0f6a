"""Card files (TOML): their model, and the check of names, units, prerequisites and citations. Never on the cached path."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from cfglint.flights.card import AIR_DENSITY
from cfglint.formula.check import check_amount, check_condition, require_set
from cfglint.formula.errors import FormulaError
from cfglint.formula.vocabulary import Function, Typed
from cfglint.pack.inputs import input_counts
from cfglint.pack.message import placeholders
from cfglint.pack.physics_functions import physics_functions
from cfglint.pack.rule import Pack
from cfglint.pack.words import Words
from cfglint.quantity.unit import UnitError, dimension_name, parse_unit, shown_unit
from cfglint.setup.airframe import FAMILIES
from cfglint.setup.toml_document import decode_toml, parse_toml, problem_at, read_file, validated
from cfglint.text.nearest import nearest
from cfglint.text.problem import Problem, Refused, refuse

MOST_CARDS = 500


class Strict(BaseModel):
    """No unknown key passes."""

    model_config = ConfigDict(extra="forbid")


class LimitTable(Strict):
    """One figure of a card. `side`: the end of a range that is safe to fly by; `unit`: how it is shown."""

    formula: str
    words: str = Field(min_length=1, max_length=300)
    basis: list[str] = Field(min_length=1)
    side: Literal["low", "high", "both"] = "low"
    role: Literal["plan", "pass", "abort"] = "plan"
    when: str = ""
    unit: str = ""


class EvidenceTable(Strict):
    """A fact that the card settles, and what to look for."""

    fact: str
    ask: str


class CardFile(Strict):
    """One card; its file's name is its id."""

    title: str = Field(min_length=1, max_length=120)
    airframes: list[str] = Field(min_length=1)
    place: Literal["bench", "field"]
    step: int = Field(ge=1, le=10_000)
    purpose: str
    after: list[str] = []
    clear: list[str] = []
    free_of_errors: list[str] = []
    when: str = ""
    repetitions: int = Field(default=1, ge=1, le=100)
    conditions: list[str] = []
    procedure: list[str] = Field(min_length=1, max_length=30)
    expect: list[str] = Field(min_length=1)
    note: list[str] = []
    cautions: list[str] = Field(min_length=1)
    measures: list[str] = []
    must_measure: list[str] = []
    proves: list[str] = []
    evidence: list[EvidenceTable] = []
    let: dict[str, str] = {}
    limit: dict[str, LimitTable] = {}


class Shared(NamedTuple):
    """What all cards rest on: the pack, its names for formulas, and the sources that may be cited."""

    pack: Pack
    typed: Mapping[str, Typed]
    functions: Mapping[str, Function]
    sources: frozenset[str]


def build_cards(folder: Path, pack: Pack, sources: frozenset[str]) -> list[dict[str, Any]]:
    """The stored cards of a folder, in the order of the ladder. Raises Refused with every problem found."""
    shared = Shared(pack, _typed(pack), physics_functions(), sources)
    problems: list[Problem] = []
    builders: dict[str, CardBuilder] = {}
    for path in sorted(folder.glob("*.toml"))[:MOST_CARDS]:
        model, text = _document(path, problems)
        if model is not None:
            builders[path.stem] = CardBuilder(path.stem, model, (text, str(path)), shared)
    stored = [builder.build() for builder in builders.values()]
    for builder in builders.values():
        builder.check_prerequisites({id: b.model for id, b in builders.items()})
        problems += builder.problems
    if not stored and not problems:
        raise refuse(str(folder), "there is no card in this folder")
    if problems:
        raise Refused(*problems[:50])
    return sorted(stored, key=lambda card: (card["step"], card["id"]))


class CardBuilder:
    """Builds one card; `problems` says what is wrong with it."""

    def __init__(self, id: str, model: CardFile, where: tuple[str, str], shared: Shared) -> None:
        self.id, self.model, self.shared = id, model, shared
        self.text, self.path = where
        self.problems: list[Problem] = []
        self.trees: dict[str, Any] = {}
        self.units: dict[str, str] = {}
        self.words = Words(shared.pack.catalogue, shared.typed, shared.functions, {})

    def build(self) -> dict[str, Any]:
        """The stored card; complete only if no problem was found."""
        for airframe in self.model.airframes:
            if airframe not in FAMILIES:
                self._unknown(("airframes",), airframe, "airframe family", FAMILIES)
        for name, formula in self.model.let.items():
            self._amount(("let", name), name, formula, frozenset())
        limits = [self._limit(name, table) for name, table in self.model.limit.items()]
        self._check_texts()
        when = self._condition(self.model.when, ("when",)) if self.model.when else None
        return {
            **self.model.model_dump(include=_KEPT),
            "id": self.id,
            "clear": self._rules(self.model.clear, ("clear",), errors_only=False),
            "free_of_errors": self._rules(self.model.free_of_errors, ("free_of_errors",), errors_only=True),
            "when": when.tree if when else None,
            "measures": self._ids(self.model.measures, ("measures",), numbers=True),
            "must_measure": self._ids(self.model.must_measure, ("must_measure",), numbers=True),
            "proves": self._ids(self.model.proves, ("proves",)),
            "evidence": [self._evidence(index, row) for index, row in enumerate(self.model.evidence)],
            "lets": self.trees,
            "units": self.units,
            "limits": limits,
        }

    def check_prerequisites(self, cards: Mapping[str, CardFile]) -> None:
        """Every card it rests on exists and comes before it: so the ladder has no circle."""
        for other in self.model.after:
            if other not in cards:
                self._unknown(("after",), other, "card", cards)
            elif cards[other].step >= self.model.step:
                steps = f"step {cards[other].step}, this one {self.model.step}"
                message = f"it rests on {other}, which does not come before it ({steps})"
                self._say(("after",), message, "cards rest on earlier ones only, so that nothing goes in a circle")

    def _limit(self, name: str, table: LimitTable) -> dict[str, Any]:
        keys = ("limit", name)
        when = self._condition(table.when, (*keys, "when")) if table.when else None
        self._amount((*keys, "formula"), name, table.formula, when.if_true if when else frozenset())
        tree = self.trees.pop(name)
        unit = self._unit(table.unit, self.units[name], (*keys, "unit"))
        for source in table.basis:
            if source not in self.shared.sources:
                self._unknown((*keys, "basis"), source, "source", self.shared.sources)
        self.trees[name] = tree
        self.units[name] = unit
        read = input_counts([tree, *([when.tree] if when else [])], self._named())
        kept = table.model_dump(include={"words", "basis", "side", "role"})
        return {
            **kept,
            "name": name,
            "tree": tree,
            "when": when.tree if when else None,
            "unit": unit,
            "inputs": list(read),
        }

    def _amount(self, keys: tuple[str | int, ...], name: str, formula: str, certain: frozenset[str]) -> None:
        try:
            typed = check_amount(formula, self.words.vocabulary())
            require_set(typed, certain, "ask 'is set' in 'when'") if keys[0] == "limit" else None
        except FormulaError as error:
            self._say(keys, f"column {error.column}: {error.message}")
            typed = Typed("number", ["number", 0.0])
        self.trees[name] = typed.tree
        self.units[name] = shown_unit(typed.dimension).symbol
        self.words.add("let", name, typed)

    def _condition(self, formula: str, keys: tuple[str | int, ...]) -> Typed:
        try:
            typed = check_condition(formula, self.words.vocabulary())
            require_set(typed, frozenset(), "ask 'is set' first")
            return typed
        except FormulaError as error:
            self._say(keys, f"column {error.column}: {error.message}")
            return Typed("truth", ["and"])

    def _unit(self, text: str, found: str, keys: tuple[str | int, ...]) -> str:
        if not text:
            return found
        try:
            if parse_unit(text).dimension != parse_unit(found).dimension:
                self._say(keys, f"this figure is no {dimension_name(parse_unit(text).dimension)}")
        except UnitError as error:
            self._say(keys, str(error))
            return found
        return text

    def _check_texts(self) -> None:
        texts = {"purpose": [self.model.purpose], "limit": [t.words for t in self.model.limit.values()]}
        for field in ("conditions", "procedure", "expect", "note", "cautions"):
            texts[field] = getattr(self.model, field)
        for field, lines in texts.items():
            for line in lines:
                for name, _ in placeholders(line):
                    found = self.words.find(name)
                    if found is None or found.kind == "truth":
                        self._unknown((field,), name, "name that can be shown", self.words.names())

    def _rules(self, patterns: list[str], keys: tuple[str], errors_only: bool) -> list[str]:
        """Rule ids; `topic/*` is every rule of a topic that does not itself ask for a proof, and only for being no error."""
        rules = self.shared.pack.rules
        found: dict[str, None] = {}
        for pattern in patterns:
            topic = pattern.removesuffix("*")
            chosen = [pattern] if pattern in rules else []
            if topic != pattern:
                chosen = [id for id in rules if id.startswith(topic) and not asks_for_proof(rules[id].stored)]
            if topic != pattern and not errors_only:
                self._say(keys, f"'{pattern}': whole topics belong into free_of_errors")
            if not chosen:
                self._unknown(keys, pattern, "rule", rules)
            found.update(dict.fromkeys(chosen))
        return list(found)

    def _ids(self, patterns: list[str], keys: tuple[str], numbers: bool = False) -> list[str]:
        catalogue = self.shared.pack.catalogue
        found: dict[str, None] = {}
        for pattern in patterns:
            wanted = re.compile(re.escape(pattern).replace(r"\*", "[^.]+") + r"(?:@[0-9])?" * ("*" in pattern))
            chosen = [id for id in catalogue if wanted.fullmatch(id)]
            chosen += [AIR_DENSITY] if pattern == AIR_DENSITY and not numbers else []
            if not chosen:
                self._unknown(keys, pattern, "setting or fact", catalogue)
            for id in chosen:
                if numbers and not catalogue[id].is_number:
                    self._say(
                        keys,
                        f"{id} is no number and can't be measured",
                        "a word that is seen belongs into [[evidence]]",
                    )
            found.update(dict.fromkeys(chosen))
        return list(found)

    def _evidence(self, index: int, row: EvidenceTable) -> list[str]:
        definition = self.shared.pack.catalogue.get(row.fact)
        if definition is None or not definition.is_fact:
            facts = [id for id, d in self.shared.pack.catalogue.items() if d.is_fact]
            self._unknown(("evidence", index, "fact"), row.fact, "fact", facts)
        return [row.fact, row.ask]

    def _named(self) -> dict[tuple[str, str], Any]:
        return {**self.shared.pack.quantity_trees, **{("let", name): tree for name, tree in self.trees.items()}}

    def _unknown(self, keys: tuple[str | int, ...], name: str, what: str, valid: Any) -> None:
        near = nearest(name, valid)
        self._say(keys, f"no {what} is called '{name}'", f"did you mean '{near}'?" if near else "")

    def _say(self, keys: tuple[str | int, ...], message: str, remedy: str = "") -> None:
        self.problems.append(problem_at(self.text, self.path, keys, message, remedy))


def asks_for_proof(tree: Any) -> bool:
    """Whether a stored rule asks what a flight has proven: such a rule is cleared by a card, and can't be asked before it."""
    if isinstance(tree, dict):
        return any(asks_for_proof(part) for part in tree.values())
    if not isinstance(tree, list):
        return False
    return (tree[:1] == ["state"] and tree[2:] == ["flight-proven"]) or any(asks_for_proof(part) for part in tree)


_KEPT = {
    "title", "airframes", "place", "step", "purpose", "after", "repetitions",
    "conditions", "procedure", "expect", "note", "cautions",
}  # fmt: skip


def _typed(pack: Pack) -> dict[str, Typed]:
    typed = {n: Typed("number", ["quantity", n], parse_unit(q["unit"]).dimension) for n, q in pack.quantities.items()}
    return typed | {name: Typed("truth", ["condition", name]) for name in pack.conditions}


def _document(path: Path, problems: list[Problem]) -> tuple[CardFile | None, str]:
    try:
        text = decode_toml(read_file(str(path)), str(path))
        model = validated(parse_toml(text, str(path)), text, str(path), CardFile)
        return (model if isinstance(model, CardFile) else None), text
    except Refused as refused:
        problems += refused.problems
        return None, ""
