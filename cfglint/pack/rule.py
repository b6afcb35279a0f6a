"""Rules ready to judge with: stored trees turned into closures for one airframe row order and one family member."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from cfglint.formula.errors import CompileError
from cfglint.formula.evaluate import Condition, Number, Scope, bound_id, compile_condition, compile_number
from cfglint.pack.inputs import input_counts
from cfglint.pack.physics_functions import range_evaluators
from cfglint.quantity.range import Range
from cfglint.setup.catalogue import Definition, catalogue_of

LEVELS = ("note", "warning", "error")


class Remedy(NamedTuple):
    """What a part offers: the setting to change, words in order of preference, or advice in words."""

    change: str
    prefer: tuple[str, ...]
    say: str


class CompiledPart(NamedTuple):
    """One part for one row order and member.

    `inputs` are the ids it reads, in order, those that `require` reads first: the first `decisive` of them. `named`: the
    amounts that `require` rests on, by role and name. `repeated`: inputs that stand in two places, where ranges lose what
    they share.
    """

    level: str
    when: Condition | None
    require: Condition
    message: str
    unknown_message: str
    remedy: Remedy | None
    undecided: str
    inputs: tuple[str, ...]
    repeated: tuple[str, ...]
    decisive: int = 0
    named: tuple[tuple[str, str], ...] = ()


class CompiledRule(NamedTuple):
    """One rule for one row order and member: its parts, and how each name of its messages is evaluated."""

    id: str
    parts: tuple[CompiledPart, ...]
    inputs: tuple[str, ...]
    scope: Scope
    binding: Mapping[str, str]


class Rule:
    """A stored rule. `families`: each variable's stem and members."""

    __slots__ = ("airframes", "families", "follows_from", "hybrids", "id", "pack", "stored", "title", "waivable")

    def __init__(self, stored: dict[str, Any], pack: Pack) -> None:
        self.stored = stored
        self.pack = pack
        self.id: str = stored["id"]
        self.title: str = stored["title"]
        self.airframes = frozenset(stored["airframes"])
        self.hybrids: bool = stored["hybrids"]
        self.follows_from: tuple[str, ...] = tuple(stored["follows_from"])
        self.waivable: bool = stored["waivable"]
        self.families: dict[str, tuple[str, tuple[str, ...]]] = {v: (f[0], tuple(f[1])) for v, f in stored["families"].items()}

    def compiled(self, rows: tuple[str, ...], binding: Mapping[str, str]) -> CompiledRule:
        """The rule for a row order (the most specific first) and a binding of its variables. Raises CompileError."""
        named = dict(self.pack.quantity_trees)
        for name, tree in self.stored["lets"].items():
            named["let", name] = tree
        for name, table in self.stored["thresholds"].items():
            named["threshold", name] = _threshold_tree(table, rows)
        scope = Scope(named, self.pack.functions, binding, {})
        parts = tuple(self._part(part, rows, scope) for part in self.stored["parts"])
        inputs = tuple(dict.fromkeys(id for part in parts for id in part.inputs))
        return CompiledRule(self.id, parts, inputs, scope, binding)

    def _part(self, part: Mapping[str, Any], rows: tuple[str, ...], scope: Scope) -> CompiledPart:
        remedy = part["remedy"]
        counts = self.pack.expanded(part["inputs"], scope)
        return CompiledPart(
            next((part["level"][row] for row in rows if row in part["level"]), "warning"),
            compile_condition(part["when"], scope) if part["when"] is not None else None,
            compile_condition(part["require"], scope),
            part["message"],
            part["unknown_message"],
            Remedy(bound_id(remedy["change"], scope), tuple(remedy["prefer"]), remedy["say"]) if remedy else None,
            part["undecided"],
            tuple(counts),
            tuple(id for id, count in counts.items() if count > 1),
            len(self.pack.expanded(part["decisive"], scope)),
            tuple((role, name) for role, name in part["named"]),
        )

    def units(self) -> Mapping[str, str]:
        """The unit in which each let and threshold is shown."""
        units: Mapping[str, str] = self.stored["units"]
        return units


class Pack:
    """Everything that judging needs of a pack. `key` identifies its content."""

    __slots__ = ("catalogue", "conditions", "functions", "key", "quantities", "quantity_inputs", "quantity_trees", "rules")

    def __init__(
        self, catalogue: dict[str, Definition], quantities: dict[str, Any], conditions: dict[str, Any], key: bytes
    ) -> None:
        self.catalogue = catalogue
        self.conditions = conditions
        self.quantities = quantities
        self.key = key
        self.functions: Mapping[str, Callable[..., Range]] = range_evaluators()
        self.quantity_trees: dict[tuple[str, str], Any] = {("quantity", n): q["tree"] for n, q in quantities.items()}
        self.quantity_trees |= {("condition", n): tree for n, tree in conditions.items()}
        self.quantity_inputs: dict[str, Mapping[str, int]] = {}
        self.rules: dict[str, Rule] = {}

    def expanded(self, inputs: Mapping[str, int], scope: Scope) -> dict[str, int]:
        """Input ids with quantities and thresholds replaced by what they read, members bound; in how many places each."""
        ids: dict[str, int] = {}
        for id, places in inputs.items():
            role, _, name = id.partition(":")
            read: Mapping[str, int] = {bound_id(id, scope): 1}
            if role in ("quantity", "condition"):
                read = self._quantity_inputs(role, name)
            elif role == "threshold":
                read = input_counts([scope.named["threshold", name]], {})
            for inner, count in read.items():
                ids[inner] = ids.get(inner, 0) + places * count
        return ids

    def _quantity_inputs(self, role: str, name: str) -> Mapping[str, int]:
        known = self.quantity_inputs.get(name)
        if known is None:
            tree = self.quantity_trees[role, name]
            known = self.quantity_inputs[name] = input_counts([tree], self.quantity_trees)
        return known


def pack_of(stored: Mapping[str, Any], key: bytes) -> Pack:
    """A pack from its stored form. Raises ValueError, KeyError or TypeError when it is damaged."""
    if stored["format"] != 1:
        raise ValueError("the stored pack is of another format")
    pack = Pack(catalogue_of(stored["catalogue"]), stored["quantities"], stored["conditions"], key)
    for rule in stored["rules"]:
        pack.rules[rule["id"]] = Rule(rule, pack)
    return pack


def compiled_amount(rule: CompiledRule, role: str, name: str) -> Number:
    """The closure of a named let, threshold or quantity of a compiled rule. Raises CompileError."""
    return compile_number([role, name], rule.scope)


def _threshold_tree(table: Mapping[str, Any], rows: tuple[str, ...]) -> Any:
    if "tree" in table:
        return table["tree"]
    by_airframe = table["airframe"]
    for row in rows:
        if row in by_airframe:
            return ["number", by_airframe[row]]
    raise CompileError(f"the threshold has no row for {rows[0]}")
