"""Rules ready to judge with: stored trees turned into closures for one airframe row order and one family member."""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from cfglint.formula.errors import CompileError
from cfglint.formula.evaluate import Condition, Environment, Number, Scope, bound_id, compile_condition, compile_number
from cfglint.pack.inputs import input_counts, named_amounts
from cfglint.pack.physics_functions import range_evaluators
from cfglint.quantity.range import Range
from cfglint.quantity.truth import TRUE, Truth
from cfglint.setup.catalogue import Definition, catalogue_of

LEVELS = ("note", "warning", "error")


class Remedy(NamedTuple):
    """What a part offers: the setting to change, words in order of preference, or advice in words."""

    change: str
    prefer: tuple[str, ...]
    say: str


class CompiledPart:
    """One part for one row order and member. Closures, and what it reads, are worked out when they are first asked for."""

    __slots__ = (
        "_decisive",
        "_inputs",
        "_require",
        "_when",
        "level",
        "message",
        "pack",
        "remedy",
        "scope",
        "stored",
        "undecided",
    )

    def __init__(self, stored: Mapping[str, Any], rows: tuple[str, ...], scope: Scope, pack: Pack) -> None:
        self.stored, self.scope, self.pack = stored, scope, pack
        self.level: str = next((stored["level"][row] for row in rows if row in stored["level"]), "warning")
        self.message: str = stored["message"]
        self.undecided: str = stored["undecided"]
        offered = stored["remedy"]
        self.remedy = Remedy(bound_id(offered["change"], scope), tuple(offered["prefer"]), offered["say"]) if offered else None
        self._when: Condition | None = None
        self._require: Condition | None = None
        self._inputs: dict[str, int] | None = None
        self._decisive = -1

    @property
    def unknown_message(self) -> str:
        """What is said where not knowing is the finding; "" for the rule's title."""
        message: str = self.stored["unknown_message"]
        return message

    def when(self, environment: Environment) -> Truth:
        """Whether the part applies. Raises CompileError on a stored node nobody knows."""
        if self._when is None:
            tree = self.stored["when"]
            self._when = compile_condition(tree, self.scope) if tree is not None else _always
        return self._when(environment)

    def require(self, environment: Environment) -> Truth:
        """Whether what must hold does hold. Raises CompileError on a stored node nobody knows."""
        if self._require is None:
            self._require = compile_condition(self.stored["require"], self.scope)
        return self._require(environment)

    @property
    def inputs(self) -> tuple[str, ...]:
        """The ids the part reads, in order, those of the requirement first."""
        return tuple(self._counts())

    @property
    def decisive(self) -> int:
        """How many of the inputs, from the first, the requirement itself reads."""
        self._counts()
        return self._decisive

    @property
    def repeated(self) -> tuple[str, ...]:
        """Inputs that stand in two places, where ranges lose what they share."""
        return tuple(id for id, places in self._counts().items() if places > 1)

    @property
    def named(self) -> list[tuple[str, str]]:
        """The amounts that the requirement rests on, by role and name."""
        return named_amounts(self.stored["require"], self.scope.named)

    def _counts(self) -> dict[str, int]:
        if self._inputs is None:
            counts = input_counts([self.stored["require"]], self.scope.named)
            self._decisive = len(dict.fromkeys(bound_id(id, self.scope) for id in counts))
            if self.stored["when"] is not None:
                for id, places in input_counts([self.stored["when"]], self.scope.named).items():
                    counts[id] = counts.get(id, 0) + places
            bound: dict[str, int] = {}
            for id, places in counts.items():
                name = bound_id(id, self.scope)
                bound[name] = bound.get(name, 0) + places
            self._inputs = bound
        return self._inputs


class CompiledRule(NamedTuple):
    """One rule for one row order and member: its parts, and how each name of its messages is evaluated."""

    id: str
    parts: tuple[CompiledPart, ...]
    scope: Scope
    binding: Mapping[str, str]

    @property
    def inputs(self) -> tuple[str, ...]:
        """Every id that some part reads."""
        return tuple(dict.fromkeys(id for part in self.parts for id in part.inputs))


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
        named: dict[tuple[str, str], Any] = {}
        for name, tree in self.stored["lets"].items():
            named["let", name] = tree
        for name, table in self.stored["thresholds"].items():
            named["threshold", name] = _threshold_tree(table, rows)
        scope = Scope(ChainMap(named, self.pack.quantity_trees), self.pack.functions, binding, {}, self.pack.shared)
        parts = tuple(CompiledPart(part, rows, scope, self.pack) for part in self.stored["parts"])
        return CompiledRule(self.id, parts, scope, binding)

    def units(self) -> Mapping[str, str]:
        """The unit in which each let and threshold is shown."""
        units: Mapping[str, str] = self.stored["units"]
        return units


class Pack:
    """Everything that judging needs of a pack. `key` identifies its content."""

    __slots__ = (
        "_readers",
        "catalogue",
        "conditions",
        "functions",
        "key",
        "quantities",
        "quantity_trees",
        "rules",
        "shared",
    )

    def __init__(
        self,
        catalogue: dict[str, Definition],
        quantities: dict[str, Any],
        conditions: dict[str, Any],
        readers: Mapping[str, list[str]],
        key: bytes,
    ) -> None:
        self.catalogue = catalogue
        self.conditions = conditions
        self.quantities = quantities
        self.key = key
        self.functions: Mapping[str, Callable[..., Range]] = range_evaluators()
        self.quantity_trees: dict[tuple[str, str], Any] = {("quantity", n): q["tree"] for n, q in quantities.items()}
        self.quantity_trees |= {("condition", n): tree for n, tree in conditions.items()}
        self.rules: dict[str, Rule] = {}
        self.shared: dict[object, Any] = {}
        self._readers = readers

    def readers(self, id: str) -> frozenset[str]:
        """The rules that may read a setting."""
        found = self._readers.get(id, ())
        stem, dot, rest = id.partition(".")
        _, dot, rest = rest.partition(".")
        family = self._readers.get(f"{stem}.*.{rest}", ()) if dot else ()
        return frozenset((*found, *family))


def pack_of(stored: Mapping[str, Any], key: bytes) -> Pack:
    """A pack from its stored form. Raises ValueError, KeyError or TypeError when it is damaged."""
    if stored["format"] != 1:
        raise ValueError("the stored pack is of another format")
    pack = Pack(catalogue_of(stored["catalogue"]), stored["quantities"], stored["conditions"], stored["readers"], key)
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


def _always(environment: Environment) -> Truth:
    return TRUE
