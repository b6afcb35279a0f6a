"""Types and units of a formula, before it runs; the result is the tree that is stored and later evaluated."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NoReturn

from cfglint.formula.errors import FormulaError
from cfglint.formula.general import GENERAL
from cfglint.formula.parse import Node, parse_formula
from cfglint.formula.vocabulary import Name, Typed, Vocabulary
from cfglint.quantity.unit import (
    PLAIN,
    Dimension,
    Unit,
    UnitError,
    base_text,
    dimension_name,
    multiply_dimensions,
    parse_unit,
    power_dimension,
    to_base,
)

STATES = ("set", "known", "default", "flight-proven", "off")


def check_condition(text: str, vocabulary: Vocabulary) -> Typed:
    """Check a formula that must be true or false. Raises FormulaError."""
    typed = Checker(vocabulary).check(parse_formula(text))
    if typed.kind != "truth":
        _refuse("this is a number, not a condition; compare it with something", 1)
    return typed


def check_amount(text: str, vocabulary: Vocabulary) -> Typed:
    """Check a formula that must be a number. Raises FormulaError."""
    typed = Checker(vocabulary).check(parse_formula(text))
    if typed.kind != "number":
        _refuse("this is a condition, not a number", 1)
    return typed


def check_any(text: str, vocabulary: Vocabulary) -> Typed:
    """Check a formula that may be a number or a condition. Raises FormulaError."""
    return Checker(vocabulary).check(parse_formula(text))


def require_set(typed: Typed, certain: frozenset[str], what: str) -> None:
    """Raise FormulaError where a number is read that may be unset although nothing says `is set` before."""
    for name, column in typed.needs.items():
        if name not in certain:
            raise FormulaError(f"{name} may be unset here; {what}", column)


class Checker:
    """Walks a syntax tree and gives each node its type and its stored form."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary

    def check(self, node: Node) -> Typed:
        """The type of a node; the method is named after the node's operation."""
        typed: Typed = getattr(self, "_" + node.operation)(node)
        return typed

    def number(self, node: Node) -> Typed:
        """A node that must be a number."""
        typed = self.check(node)
        if typed.kind != "number":
            _refuse("a number is expected here", node.column)
        return typed

    def truth(self, node: Node) -> Typed:
        """A node that must be a condition."""
        typed = self.check(node)
        if typed.kind != "truth":
            _refuse("a condition is expected here", node.column)
        return typed

    def _quantity(self, node: Node) -> Typed:
        text = node.parts[0]
        digits = text.rstrip()
        cut = next(i for i, c in enumerate(digits) if not (c.isdigit() or c == "."))
        unit = _unit(text[cut:].strip(), node.column)
        return Typed("number", ["number", _exact(text[:cut], unit)], unit.dimension)

    def _number(self, node: Node) -> Typed:
        return Typed("number", ["number", float(node.parts[0])])

    def _read(self, node: Node) -> Typed:
        text = node.parts[0].parts[0]
        name = self.name(text, node.column)
        if name.typed is not None:
            moved = dict.fromkeys(name.typed.needs, node.column)
            return name.typed._replace(tree=[name.role, name.id], needs=moved)
        if name.kind != "number":
            _refuse(f"{text} is a {name.kind}, not a number; ask 'is' or 'in'", node.column)
        needs = {name.id: node.column} if name.role == "setting" else {}
        return Typed("number", ["value", name.id], name.dimension, needs)

    def _measured(self, node: Node) -> Typed:
        name = self._settable(node.parts[0])
        if name.kind != "number":
            _refuse("only a number can be measured", node.column)
        return Typed("number", ["value", "measured:" + name.id], name.dimension, {"measured:" + name.id: node.column})

    def _add(self, node: Node) -> Typed:
        return self._sum(node, "add", "added to")

    def _subtract(self, node: Node) -> Typed:
        return self._sum(node, "subtract", "subtracted from")

    def _sum(self, node: Node, operation: str, verb: str) -> Typed:
        a, b = (self.number(part) for part in node.parts)
        _agree(a, b, node.parts[1].column, verb)
        return Typed("number", [operation, a.tree, b.tree], a.dimension, _together(a, b))

    def _multiply(self, node: Node) -> Typed:
        a, b = (self.number(part) for part in node.parts)
        return Typed("number", ["multiply", a.tree, b.tree], multiply_dimensions(a.dimension, b.dimension), _together(a, b))

    def _divide(self, node: Node) -> Typed:
        a, b = (self.number(part) for part in node.parts)
        dimension = multiply_dimensions(a.dimension, b.dimension, -1)
        return Typed("number", ["divide", a.tree, b.tree], dimension, _together(a, b))

    def _power(self, node: Node) -> Typed:
        base = self.number(node.parts[0])
        exponent = _exponent(node.parts[1])
        if base.dimension != PLAIN and not float(exponent).is_integer():
            _refuse(f"a {dimension_name(base.dimension)} can only be raised to a whole power", node.column)
        dimension = power_dimension(base.dimension, int(exponent)) if base.dimension != PLAIN else PLAIN
        return Typed("number", ["power", base.tree, exponent], dimension, base.needs)

    def _negative(self, node: Node) -> Typed:
        a = self.number(node.parts[0])
        return a._replace(tree=["negative", a.tree])

    def _spread(self, node: Node) -> Typed:
        return self._sum(node, "spread", "spread to")

    def _call(self, node: Node) -> Typed:
        name, *arguments = node.parts
        typed = [self.number(part) for part in arguments]
        needs = _together(*typed)
        if name in GENERAL:
            dimension = GENERAL[name].check([t.dimension for t in typed], node.column)
            return Typed("number", ["call", name, *(t.tree for t in typed)], dimension, needs)
        function = self.vocabulary.functions.get(name)
        if function is None:
            _unknown(name, [*GENERAL, *self.vocabulary.functions], "function", node.column)
        self._check_arguments(function, typed, arguments, node.column)
        return Typed("number", ["call", name, *(t.tree for t in typed)], function.gives, needs)

    def _check_arguments(self, function: Any, typed: list[Typed], arguments: list[Node], column: int) -> None:
        wanted = f"{function.name}({', '.join(function.parameters)})"
        if len(typed) != len(function.takes):
            _refuse(f"{wanted} takes {len(function.takes)} values, {len(typed)} are given", column)
        for parameter, dimension, given, node in zip(function.parameters, function.takes, typed, arguments, strict=True):
            if given.dimension != dimension:
                _refuse(f"{wanted}: {parameter} is {_a(dimension)}, not {_a(given.dimension)}", node.column)

    def _lowest(self, node: Node) -> Typed:
        return self._extreme(node, "lowest")

    def _highest(self, node: Node) -> Typed:
        return self._extreme(node, "highest")

    def _extreme(self, node: Node, operation: str) -> Typed:
        members = [self.number(part) for part in node.parts]
        for member, part in zip(members, node.parts, strict=True):
            _agree(members[0], member, part.column, "compared with")
        return Typed("number", [operation, *([sorted(m.needs), m.tree] for m in members)], members[0].dimension)

    def _if(self, node: Node) -> Typed:
        condition, a, b = self.truth(node.parts[0]), self.number(node.parts[1]), self.number(node.parts[2])
        _agree(a, b, node.parts[2].column, "an alternative to")
        needs = {**condition.needs, **_without(a.needs, condition.if_true), **_without(b.needs, condition.if_false)}
        return Typed("number", ["if", condition.tree, a.tree, b.tree], a.dimension, needs)

    def _chain(self, node: Node) -> Typed:
        amounts = [self.number(part) for part in node.parts[0::2]]
        orders = node.parts[1::2]
        tests = []
        for a, order, b, part in zip(amounts, orders, amounts[1:], node.parts[2::2], strict=False):
            _agree(a, b, part.column, "compared with")
            tests.append([order, a.tree, b.tree])
        return Typed("truth", tests[0] if len(tests) == 1 else ["and", *tests], PLAIN, _together(*amounts))

    def _between(self, node: Node) -> Typed:
        value, low, high = (self.number(part) for part in node.parts)
        _agree(value, low, node.parts[1].column, "compared with")
        _agree(value, high, node.parts[2].column, "compared with")
        tree = ["and", ["<=", low.tree, value.tree], ["<=", value.tree, high.tree]]
        return Typed("truth", tree, PLAIN, _together(value, low, high))

    def _is(self, node: Node) -> Typed:
        subject, state = node.parts
        word = state.parts[0]
        if subject.operation == "measured_subject":
            name = self._settable(subject.parts[0])
            return self._state("measured:" + name.id, name, word, node.column)
        name = self.name(subject.parts[0].parts[0], subject.column)
        if word in name.words and name.kind == "choice":
            return Typed("truth", self._among(name, [word]))
        return self._state(name.id, name, word, node.column)

    def _is_not(self, node: Node) -> Typed:
        return self._not_of(self._is(node))

    def _in(self, node: Node) -> Typed:
        subject, words = node.parts
        name = self.name(subject.parts[0], subject.column)
        if name.kind != "choice":
            _refuse(f"{subject.parts[0]} is a {name.kind}; 'in' asks for a choice", node.column)
        chosen = [word.strip() for word in words.split(",")]
        for word in chosen:
            if word not in name.words:
                _unknown(word, sorted(name.words), f"word of {subject.parts[0]}", node.column)
        return Typed("truth", self._among(name, chosen))

    def _not_in(self, node: Node) -> Typed:
        return self._not_of(self._in(node))

    def _among(self, name: Name, words: list[str]) -> object:
        return ["member_in", name.id, *words] if name.role == "word" else ["in", name.id, *words]

    def _state(self, id: str, name: Name, state: str, column: int) -> Typed:
        allowed = [s for s in STATES if s != "off" or name.can_be_off]
        if name.typed is not None or name.role == "word":
            _refuse("only a setting or a fact has a state", column)
        if state not in allowed:
            _unknown(state, [*allowed, *sorted(name.words)], "state or word here", column)
        sets = frozenset((id,)) if state == "set" else frozenset()
        return Typed("truth", ["state", id, state], PLAIN, {}, sets)

    def _and(self, node: Node) -> Typed:
        return self._join([self.truth(part) for part in node.parts])

    def _or(self, node: Node) -> Typed:
        return self._not_of(self._join([self._not_of(self.truth(part)) for part in node.parts]))

    def _join(self, parts: list[Typed]) -> Typed:
        needs: dict[str, int] = {}
        certain: frozenset[str] = frozenset()
        for part in parts:
            needs |= _without(part.needs, certain)
            certain |= part.if_true
        if_false = frozenset.intersection(*(part.if_false for part in parts))
        return Typed("truth", ["and", *(p.tree for p in parts)], PLAIN, needs, certain, if_false)

    def _not(self, node: Node) -> Typed:
        return self._not_of(self.truth(node.parts[0]))

    def _not_of(self, typed: Typed) -> Typed:
        return Typed("truth", _denied(typed.tree), PLAIN, typed.needs, typed.if_false, typed.if_true)

    def _implies(self, node: Node) -> Typed:
        a, b = self.truth(node.parts[0]), self.truth(node.parts[1])
        return self._not_of(self._join([a, self._not_of(b)]))

    def _settable(self, node: Node) -> Name:
        name = self.name(node.parts[0], node.column)
        if name.role not in ("setting", "fact"):
            _refuse(f"{node.parts[0]} is neither a setting nor a fact", node.column)
        return name

    def name(self, text: str, column: int) -> Name:
        """Look a name up. Raises FormulaError with the nearest valid one."""
        name = self.vocabulary.find(text)
        if name is None:
            _unknown(text, self.vocabulary.names(), "name", column)
        return name


def _denied(tree: Any) -> object:
    """The opposite of a stored condition, pushed inwards so that no double denial is stored."""
    head = tree[0]
    if head == "not":
        return tree[1]
    if head == "and":
        return ["or", *(_denied(part) for part in tree[1:])]
    if head == "or":
        return ["and", *(_denied(part) for part in tree[1:])]
    opposite = {"<": ">=", ">=": "<", ">": "<=", "<=": ">", "=": "!=", "!=": "="}.get(head)
    return [opposite, *tree[1:]] if opposite else ["not", tree]


def _together(*parts: Typed) -> dict[str, int]:
    needs: dict[str, int] = {}
    for part in parts:
        needs |= part.needs
    return needs


def _without(needs: Mapping[str, int], certain: frozenset[str]) -> dict[str, int]:
    return {name: column for name, column in needs.items() if name not in certain}


def _agree(a: Typed, b: Typed, column: int, verb: str) -> None:
    if a.dimension != b.dimension:
        _refuse(f"{_a(b.dimension)} can't be {verb} {_a(a.dimension)}{_advice(a, b)}", column)


def _advice(a: Typed, b: Typed) -> str:
    tree: Any = b.tree
    if b.dimension == PLAIN and tree[0] == "number":
        return f"; give the number a unit, such as {base_text(a.dimension)}"
    return ""


def _a(dimension: Dimension) -> str:
    name = "plain number" if dimension == PLAIN else dimension_name(dimension)
    return ("an " if name[0] in "aeiou" else "a ") + name


def _exponent(node: Node) -> float:
    sign = -1.0 if node.operation.startswith("negative") else 1.0
    top = float(node.parts[0])
    bottom = float(node.parts[1]) if len(node.parts) > 1 else 1.0
    if bottom == 0 or top > 1000:
        _refuse("an exponent must be a number of sensible size", node.column)
    return sign * top / bottom


def _unit(text: str, column: int) -> Unit:
    try:
        return parse_unit(text)
    except UnitError as error:
        raise FormulaError(str(error), column) from None


def _exact(text: str, unit: Unit) -> float:
    whole, _, fraction = text.strip().partition(".")
    return to_base(int(whole + fraction), int(10 ** len(fraction)), unit)


def _unknown(word: str, words: list[str], what: str, column: int) -> NoReturn:
    from cfglint.text.nearest import nearest

    near = nearest(word, words)
    _refuse(f"no {what} is called '{word}'" + (f"; did you mean '{near}'?" if near else ""), column)


def _refuse(message: str, column: int) -> NoReturn:
    raise FormulaError(message, column)
