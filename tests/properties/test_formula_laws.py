"""Law 2: a random point inside the input ranges evaluates inside the evaluated range; and a formula is total."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from cfglint.formula.evaluate import Environment, Scope, compile_condition, compile_number
from cfglint.formula.general import GENERAL
from cfglint.quantity.range import Range
from cfglint.quantity.truth import UNKNOWN
from cfglint.quantity.value import number_value

NAMES = ("a", "b", "c")
SCOPE = Scope({}, {}, {}, {}, {})
NUMBERS = st.floats(-1000, 1000, allow_nan=False)
LEAVES = st.one_of(
    NUMBERS.map(lambda x: ["number", x]),
    st.sampled_from(NAMES).map(lambda name: ["value", name]),
)
ORDERS = st.sampled_from(["<", "<=", ">", ">=", "=", "!="])


def _amounts(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    two = st.sampled_from(["add", "subtract", "multiply", "divide"])
    one_argument = st.sampled_from(sorted(name for name in GENERAL if name not in ("min", "max")))
    return st.one_of(
        st.tuples(two, inner, inner).map(list),
        inner.map(lambda a: ["negative", a]),
        st.tuples(inner, st.sampled_from([2.0, 3.0, -1.0, 0.5, 1 / 7, 2.2])).map(lambda t: ["power", *t]),
        st.tuples(st.sampled_from(["min", "max"]), inner, inner).map(lambda t: ["call", *t]),
        st.tuples(one_argument, inner).map(lambda t: ["call", *t]),
        st.tuples(ORDERS, inner, inner, inner, inner).map(lambda t: ["if", [t[0], t[1], t[2]], t[3], t[4]]),
        st.tuples(st.sampled_from(["lowest", "highest"]), inner, inner).map(lambda t: [t[0], [[], t[1]], [[], t[2]]]),
    )


AMOUNTS = st.recursive(LEAVES, _amounts, max_leaves=12)
ENDS = st.tuples(NUMBERS, NUMBERS).map(lambda ends: Range(min(ends), max(ends)))


def environment(ranges: dict[str, Range]) -> Environment:
    return Environment({name: number_value(r) for name, r in ranges.items()}, {}, frozenset())


@settings(max_examples=400, deadline=None)
@given(
    tree=AMOUNTS,
    ranges=st.fixed_dictionaries(dict.fromkeys(NAMES, ENDS)),
    spots=st.lists(st.floats(0, 1), min_size=3, max_size=3),
)
def test_a_point_evaluates_inside_the_evaluated_range(tree: Any, ranges: dict[str, Range], spots: list[float]) -> None:
    amount = compile_number(tree, SCOPE)
    whole = amount(environment(ranges))
    points = {}
    for (name, r), spot in zip(ranges.items(), spots, strict=True):
        x = min(r.high, max(r.low, r.low + spot * (r.high - r.low)))
        points[name] = Range(x, x)
    point = amount(environment(points))
    assert whole.low <= point.low and point.high <= whole.high


@settings(max_examples=300, deadline=None)
@given(order=ORDERS, a=AMOUNTS, b=AMOUNTS, ranges=st.fixed_dictionaries(dict.fromkeys(NAMES, ENDS)), data=st.data())
def test_what_holds_for_all_holds_for_each(order: str, a: Any, b: Any, ranges: dict[str, Range], data: st.DataObject) -> None:
    condition = compile_condition([order, a, b], SCOPE)
    truth = condition(environment(ranges))
    if truth is UNKNOWN:
        return
    points = {name: data.draw(st.floats(r.low, r.high)) for name, r in ranges.items()}
    assert condition(environment({name: Range(x, x) for name, x in points.items()})) in (truth, UNKNOWN)
