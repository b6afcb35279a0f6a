"""Stored trees to closures that evaluate on ranges. Every node that is reached is looked at: one nobody knows raises
CompileError. The parts of `and` and `or` are made when they are reached, since most are not.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from cfglint.formula.errors import CompileError
from cfglint.formula.general import GENERAL
from cfglint.quantity import range as ranges
from cfglint.quantity.range import EVERYTHING, INFINITY, Range, exactly, hull
from cfglint.quantity.truth import FALSE, TRUE, UNKNOWN, Truth, negation
from cfglint.quantity.value import OFF, SET, Value

Number = Callable[["Environment"], Range]
Condition = Callable[["Environment"], Truth]
DEEPEST_TREE = 200


class Environment:
    """The values that formulas are evaluated on.

    `values`: what each id may be. `defaults`: the documented default of each id that has one. `proven`: ids that a flight
    has proven. `memory`: results of named quantities, good for this environment only.
    """

    __slots__ = ("defaults", "memory", "proven", "values")

    def __init__(self, values: Mapping[str, Value], defaults: Mapping[str, Value], proven: frozenset[str]) -> None:
        self.values = values
        self.defaults = defaults
        self.proven = proven
        self.memory: dict[object, Any] = {}

    def with_values(self, changed: Mapping[str, Value]) -> Environment:
        """The same environment but for some values."""
        return Environment({**self.values, **changed}, self.defaults, self.proven)


class Scope(NamedTuple):
    """What names in a stored tree stand for.

    `named`: the trees of lets, thresholds and quantities by (role, name). `functions`: how calls are evaluated.
    `binding`: the member that each variable of a family stands for. `compiled`: closures of the rule's own named trees made so
    far; `shared`: closures of the quantities and conditions that all rules of a pack share, evaluated once in an environment.
    """

    named: Mapping[tuple[str, str], Any]
    functions: Mapping[str, Callable[..., Range]]
    binding: Mapping[str, str]
    compiled: dict[object, Any]
    shared: dict[object, Any]


def compile_condition(tree: Any, scope: Scope, depth: int = 0) -> Condition:
    """The closure of a stored condition. Raises CompileError on a node nobody knows."""
    head = _head(tree, depth)
    maker = _CONDITIONS.get(head)
    if maker is None:
        raise CompileError(f"no condition is called {head!r}")
    return maker(tree, scope, depth + 1)


def compile_number(tree: Any, scope: Scope, depth: int = 0) -> Number:
    """The closure of a stored number. Raises CompileError on a node nobody knows."""
    head = _head(tree, depth)
    maker = _NUMBERS.get(head)
    if maker is None:
        raise CompileError(f"no amount is called {head!r}")
    return maker(tree, scope, depth + 1)


def bound_id(id: str, scope: Scope) -> str:
    """An id with the variables of a family replaced: `switch.{m}.from` is `switch.return.from`."""
    if "{" not in id:
        return id
    for variable, member in scope.binding.items():
        id = id.replace("{" + variable + "}", member)
    return id


def _head(tree: Any, depth: int) -> str:
    if not isinstance(tree, list) or not tree or not isinstance(tree[0], str) or depth > DEEPEST_TREE:
        raise CompileError("a stored formula is damaged")
    return tree[0]


def _constant(tree: Any, scope: Scope, depth: int) -> Number:
    if not isinstance(tree[1], (int, float)):
        raise CompileError("a stored number is damaged")
    numbers = exactly(float(tree[1]))
    return lambda environment: numbers


def _value(tree: Any, scope: Scope, depth: int) -> Number:
    id = bound_id(tree[1], scope)

    def read(environment: Environment) -> Range:
        value = environment.values.get(id)
        return EVERYTHING if value is None else Range(value.low, value.high)

    return read


def _named(tree: Any, scope: Scope, depth: int) -> Number:
    number: Number = _once(tree, scope, depth, compile_number)
    return number


def _named_condition(tree: Any, scope: Scope, depth: int) -> Condition:
    condition: Condition = _once(tree, scope, depth, compile_condition)
    return condition


def _once(tree: Any, scope: Scope, depth: int, make: Callable[[Any, Scope, int], Callable[[Environment], Any]]) -> Any:
    """The closure of a named tree: made once, and evaluated once in an environment."""
    key = (tree[0], tree[1])
    made = scope.shared if tree[0] in ("quantity", "condition") else scope.compiled
    if key in made:
        return made[key]
    if key not in scope.named:
        raise CompileError(f"no {tree[0]} is called {tree[1]!r}")
    inner = make(scope.named[key], scope, depth)

    def remembered(environment: Environment) -> Any:
        result = environment.memory.get(inner)
        if result is None:
            result = environment.memory[inner] = inner(environment)
        return result

    made[key] = remembered
    return remembered


def _binary(function: Callable[[Range, Range], Range]) -> Callable[[Any, Scope, int], Number]:
    def make(tree: Any, scope: Scope, depth: int) -> Number:
        a, b = compile_number(tree[1], scope, depth), compile_number(tree[2], scope, depth)
        return lambda environment: function(a(environment), b(environment))

    return make


def _negative(tree: Any, scope: Scope, depth: int) -> Number:
    a = compile_number(tree[1], scope, depth)
    return lambda environment: ranges.negative(a(environment))


def _power(tree: Any, scope: Scope, depth: int) -> Number:
    a, exponent = compile_number(tree[1], scope, depth), float(tree[2])
    return lambda environment: ranges.power(a(environment), exponent)


def _call(tree: Any, scope: Scope, depth: int) -> Number:
    name = tree[1]
    function = GENERAL[name].evaluate if name in GENERAL else scope.functions.get(name)
    if function is None:
        raise CompileError(f"no function is called {name!r}")
    arguments = [compile_number(part, scope, depth) for part in tree[2:]]
    evaluate = function
    return lambda environment: evaluate(*[argument(environment) for argument in arguments])


def _if(tree: Any, scope: Scope, depth: int) -> Number:
    condition = compile_condition(tree[1], scope, depth)
    a, b = compile_number(tree[2], scope, depth), compile_number(tree[3], scope, depth)

    def choose(environment: Environment) -> Range:
        truth = condition(environment)
        if truth is TRUE:
            return a(environment)
        return b(environment) if truth is FALSE else hull(a(environment), b(environment))

    return choose


def _extreme(tree: Any, scope: Scope, depth: int) -> Number:
    lowest = tree[0] == "lowest"
    nothing = INFINITY if lowest else -INFINITY
    pick = ranges.lowest if lowest else ranges.highest
    members = [([bound_id(i, scope) for i in ids], compile_number(inner, scope, depth)) for ids, inner in tree[1:]]

    def choose(environment: Environment) -> Range:
        result = exactly(nothing)
        for ids, inner in members:
            there = _all_set(ids, environment)
            if there is not FALSE:
                candidate = pick(result, inner(environment))
                result = candidate if there is TRUE else hull(result, candidate)
        return result

    return choose


def _all_set(ids: list[str], environment: Environment) -> Truth:
    truth = TRUE
    for id in ids:
        value = environment.values.get(id)
        truth = min(truth, FALSE if value is None else value.has(SET))
    return truth


def _rows(tree: Any, scope: Scope, depth: int) -> Number:
    """["rows", selector, [[upto or null, value], ...]]: the first row whose limit is not exceeded."""
    selector = compile_number(tree[1], scope, depth)
    rows = [(INFINITY if upto is None else float(upto), exactly(float(value))) for upto, value in tree[2]]

    def choose(environment: Environment) -> Range:
        chosen = selector(environment)
        result: Range | None = None
        lower = -INFINITY
        for upto, value in rows:
            if chosen.low <= upto and chosen.high > lower:
                result = value if result is None else hull(result, value)
            lower = upto
        return result if result is not None and chosen.high <= lower else EVERYTHING

    return choose


def _word_rows(tree: Any, scope: Scope, depth: int) -> Number:
    """["word_rows", id, {word: value}]: a row for each word that the choice may be; everything where one lacks."""
    id = bound_id(tree[1], scope)
    rows = {word: exactly(float(value)) for word, value in tree[2].items()}

    def choose(environment: Environment) -> Range:
        value = environment.values.get(id)
        words = value.words if value is not None else frozenset()
        if not words or not words <= rows.keys():
            return EVERYTHING
        result = None
        for word in words:
            result = rows[word] if result is None else hull(result, rows[word])
        return result or EVERYTHING

    return choose


def _ways(tree: Any, scope: Scope, depth: int) -> Number:
    """["ways", low, high, [[ids], tree], ...]: what all ways to know a quantity allow together, within its bounds.

    Where they contradict each other the earlier, more trusted ones stand; the contradiction itself is reported elsewhere.
    """
    bounds = Range(float(tree[1]), float(tree[2]))
    ways = [([bound_id(i, scope) for i in ids], compile_number(inner, scope, depth)) for ids, inner in tree[3:]]

    def meet(environment: Environment) -> Range:
        result = bounds
        for ids, inner in ways:
            if _all_set(ids, environment) is TRUE:
                result = ranges.intersection(result, inner(environment)) or result
        return result

    return meet


def _and(tree: Any, scope: Scope, depth: int) -> Condition:
    trees: list[Any] = tree[1:]
    parts: list[Condition] = []

    def judge(environment: Environment) -> Truth:
        result = TRUE
        for index, part in enumerate(trees):
            if index == len(parts):
                parts.append(compile_condition(part, scope, depth))
            truth = parts[index](environment)
            if truth is FALSE:
                return FALSE
            if truth is UNKNOWN:
                result = UNKNOWN
        return result

    return judge


def _or(tree: Any, scope: Scope, depth: int) -> Condition:
    trees: list[Any] = tree[1:]
    parts: list[Condition] = []

    def judge(environment: Environment) -> Truth:
        result = FALSE
        for index, part in enumerate(trees):
            if index == len(parts):
                parts.append(compile_condition(part, scope, depth))
            truth = parts[index](environment)
            if truth is TRUE:
                return TRUE
            if truth is UNKNOWN:
                result = UNKNOWN
        return result

    return judge


def _not(tree: Any, scope: Scope, depth: int) -> Condition:
    part = compile_condition(tree[1], scope, depth)
    return lambda environment: negation(part(environment))


def _compare(test: Callable[[Range, Range], Truth], swapped: bool, denied: bool) -> Callable[[Any, Scope, int], Condition]:
    def make(tree: Any, scope: Scope, depth: int) -> Condition:
        a, b = compile_number(tree[1], scope, depth), compile_number(tree[2], scope, depth)
        if swapped:
            a, b = b, a
        if denied:
            return lambda environment: negation(test(a(environment), b(environment)))
        return lambda environment: test(a(environment), b(environment))

    return make


def _in(tree: Any, scope: Scope, depth: int) -> Condition:
    id, words = bound_id(tree[1], scope), frozenset(tree[2:])

    def judge(environment: Environment) -> Truth:
        value = environment.values.get(id)
        return UNKNOWN if value is None else value.is_among(words)

    return judge


def _member_in(tree: Any, scope: Scope, depth: int) -> Condition:
    member = bound_id(tree[1], scope).rpartition(".")[2].partition("@")[0]
    truth = TRUE if member in tree[2:] else FALSE
    return lambda environment: truth


def _state(tree: Any, scope: Scope, depth: int) -> Condition:
    id = bound_id(tree[1], scope)
    judge = _STATES.get(tree[2])
    if judge is None:
        raise CompileError(f"no state is called {tree[2]!r}")
    ask = judge
    return lambda environment: ask(environment, id)


def _is_set(environment: Environment, id: str) -> Truth:
    value = environment.values.get(id)
    return FALSE if value is None else value.has(SET)


def _is_off(environment: Environment, id: str) -> Truth:
    value = environment.values.get(id)
    return FALSE if value is None else value.has(OFF)


def _is_known(environment: Environment, id: str) -> Truth:
    value = environment.values.get(id)
    return TRUE if value is not None and value.known else FALSE


def _is_proven(environment: Environment, id: str) -> Truth:
    return TRUE if id in environment.proven else FALSE


def _is_default(environment: Environment, id: str) -> Truth:
    value, default = environment.values.get(id), environment.defaults.get(id)
    if value is None or default is None:
        return UNKNOWN
    if value.words or default.words:
        return value.is_among(default.words)
    if value.is_exact and value.presence != SET:
        return TRUE if value.presence == default.presence else FALSE
    if not value.presence & default.presence:
        return FALSE
    return ranges.equal(value.range, default.range)


_STATES: dict[str, Callable[[Environment, str], Truth]] = {
    "set": _is_set,
    "off": _is_off,
    "known": _is_known,
    "default": _is_default,
    "flight-proven": _is_proven,
}

_NUMBERS: dict[str, Callable[[Any, Scope, int], Number]] = {
    "number": _constant,
    "value": _value,
    "let": _named,
    "quantity": _named,
    "threshold": _named,
    "add": _binary(ranges.add),
    "subtract": _binary(ranges.subtract),
    "multiply": _binary(ranges.multiply),
    "divide": _binary(ranges.divide),
    "spread": _binary(hull),
    "negative": _negative,
    "power": _power,
    "call": _call,
    "if": _if,
    "lowest": _extreme,
    "highest": _extreme,
    "rows": _rows,
    "word_rows": _word_rows,
    "ways": _ways,
}

_CONDITIONS: dict[str, Callable[[Any, Scope, int], Condition]] = {
    "and": _and,
    "or": _or,
    "not": _not,
    "<": _compare(ranges.less, swapped=False, denied=False),
    ">=": _compare(ranges.less, swapped=False, denied=True),
    ">": _compare(ranges.less, swapped=True, denied=False),
    "<=": _compare(ranges.less, swapped=True, denied=True),
    "=": _compare(ranges.equal, swapped=False, denied=False),
    "!=": _compare(ranges.equal, swapped=False, denied=True),
    "let": _named_condition,
    "condition": _named_condition,
    "in": _in,
    "member_in": _member_in,
    "state": _state,
}
