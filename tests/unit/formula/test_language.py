"""The rule language: what parses, what its types and units forbid, and where the error points."""

from __future__ import annotations

import pytest

from cfglint.formula.check import check_amount, check_condition, require_set
from cfglint.formula.errors import FormulaError
from cfglint.formula.evaluate import Environment, Scope, compile_condition, compile_number
from cfglint.formula.parse import LONGEST_FORMULA, parse_formula
from cfglint.formula.vocabulary import Function, Name, Vocabulary
from cfglint.quantity.range import Range
from cfglint.quantity.truth import FALSE, TRUE, UNKNOWN
from cfglint.quantity.unit import PLAIN, parse_unit
from cfglint.quantity.value import OFF, SET, UNSET, Value, number_value, word_value

LENGTH, SPEED, PULSE = (parse_unit(u).dimension for u in ("m", "m/s", "us"))
NAMES = {
    "radius": Name("setting", "number", LENGTH, can_be_off=True, id="radius"),
    "speed": Name("fact", "number", SPEED, id="speed"),
    "other.speed": Name("fact", "number", SPEED, id="other.speed"),
    "throttle": Name("setting", "number", PULSE, id="throttle"),
    "action": Name("setting", "choice", words=frozenset(("none", "land", "return")), id="action"),
    "label": Name("setting", "text", id="label"),
}
DOUBLE = Function("doubled", ("length",), (LENGTH,), LENGTH, lambda a: Range(2 * a.low, 2 * a.high))
WORDS = Vocabulary(NAMES.get, lambda: list(NAMES), {"doubled": DOUBLE})
SCOPE = Scope({}, {"doubled": DOUBLE.evaluate}, {}, {}, {})


def truth(formula: str, **values: Value) -> object:
    tree = check_condition(formula, WORDS).tree
    return compile_condition(tree, SCOPE)(Environment(values, {}, frozenset()))


def amount(formula: str, **values: Value) -> Range:
    return compile_number(check_amount(formula, WORDS).tree, SCOPE)(Environment(values, {}, frozenset()))


def exact(number: float) -> Value:
    return number_value(Range(number, number))


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("1 + 2 * 3 ^ 2", 19.0),
        ("-(2 - 5)", 3.0),
        ("6 m / 2 m", 3.0),
        ("20 %", 0.2),
        ("(4 ^ (1/2)) * 2", 4.0),
        ("max(1, 2) + min(3, 4) + abs(-5)", 10.0),
        ("sqrt(9 m^2 / 1 m^2)", 3.0),
        ("sin(30 deg) * 2", 1.0),
        ("if 1 < 2 then 5 else 6", 5.0),
        ("lowest of {3, 2, 4} + highest of {3, 2, 4}", 6.0),
        ("acos(0.5) / 1 deg", 60.0),
    ],
)
def test_amounts(formula: str, value: float) -> None:
    assert amount(formula).low == pytest.approx(value)


def test_a_unit_belongs_to_its_number() -> None:
    assert check_amount("6 m/s", WORDS).dimension == SPEED
    assert check_amount("6 m / speed", WORDS).dimension == parse_unit("s").dimension
    assert check_amount("(5 m/s)^2", WORDS).dimension == parse_unit("m^2/s^2").dimension
    assert amount("10 cm + 1 in").low == pytest.approx(0.1254)


@pytest.mark.parametrize(
    ("formula", "column", "words"),
    [
        ("speed + 3", 9, "give the number a unit"),
        ("speed + 3 m", 9, "a length can't be added to a speed"),
        ("speed < throttle", 9, "a stick pulse can't be compared with a speed"),
        ("sped < 3 m/s", 1, "did you mean 'speed'?"),
        ("speed < 3 metres", 11, "unexpected"),
        ("action is lnd", 1, "did you mean 'land'?"),
        ("action > 3", 1, "is a choice"),
        ("label is set and label = 3", 18, "is a text"),
        ("doubled(speed)", 9, "length is a length, not a speed"),
        ("doubled(1 m, 2 m)", 1, "takes 1 values, 2 are given"),
        ("dubbled(1 m)", 1, "did you mean 'doubled'?"),
        ("sqrt(3 m)", 1, "has no square root"),
        ("speed ^ 0.5", 1, "whole power"),
        ("speed is off", 1, "no state or word"),
        ("speed", 1, "this is a number"),
        ("speed < 3 m/s and", 18, "unexpected"),
        ("(speed < 3 m/s", 15, "unexpected"),
        ("speed <", 8, "unexpected"),
        ("import os", 8, "unexpected"),
    ],
)
def test_errors_point_to_the_column(formula: str, column: int, words: str) -> None:
    with pytest.raises(FormulaError) as caught:
        check_condition(formula, WORDS)
    assert words in caught.value.message and caught.value.column == column


@pytest.mark.parametrize(
    "formula",
    ["(" * 60 + "1" + ")" * 60 + " < 2", "1 < " + "1 + " * 600 + "1", "not " * 200 + "1 < 2", "-" * 500 + "1 < 2"],
)
def test_a_formula_is_bounded(formula: str) -> None:
    with pytest.raises(FormulaError):
        parse_formula(formula)
    with pytest.raises(FormulaError):
        parse_formula("1 < " + " " * LONGEST_FORMULA + "2")


def test_a_number_that_may_be_unset_must_be_asked_first() -> None:
    for formula in (
        "radius > 3 m",
        "radius > 3 m and radius is set",
        "radius is set or radius > 3 m",
        "speed > 1 m/s implies radius > 3 m",
    ):
        with pytest.raises(FormulaError, match="radius may be unset"):
            require_set(check_condition(formula, WORDS), frozenset(), "ask first")
    for formula in (
        "radius is set and radius > 3 m",
        "radius is not set or radius > 3 m",
        "radius is set implies radius > 3 m",
        "(if radius is set then radius else 0 m) > 3 m",
        "lowest of {radius, 3 m} > 1 m",
        "not (radius is not set) and radius > 3 m",
    ):
        require_set(check_condition(formula, WORDS), frozenset(), "ask first")


def test_three_valued_answers() -> None:
    wide = number_value(Range(1.0, 9.0))
    assert truth("speed > 5 m/s", speed=wide) is UNKNOWN
    assert truth("speed > 5 m/s or speed < 20 m/s", speed=wide) is TRUE
    assert truth("speed between 0 m/s and 10 m/s", speed=wide) is TRUE
    assert truth("0 m/s < speed < 1 m/s", speed=wide) is FALSE
    assert truth("action in {land, return}", action=word_value(frozenset(("land", "return")))) is TRUE
    assert truth("action is land", action=word_value(frozenset(("land", "unset")))) is UNKNOWN
    assert truth("action is not land", action=word_value(frozenset(("unset",)))) is TRUE


def test_states() -> None:
    assert truth("radius is set", radius=Value(SET, 1, 1, frozenset(), True)) is TRUE
    assert truth("radius is set", radius=Value(OFF, 0, 9, frozenset(), True)) is FALSE
    assert truth("radius is off", radius=Value(OFF, 0, 9, frozenset(), True)) is TRUE
    assert truth("radius is set", radius=Value(SET | UNSET, 0, 9, frozenset(), False)) is UNKNOWN
    assert truth("speed is known", speed=Value(SET, 0, 9, frozenset(), False)) is FALSE
    tree = check_condition("radius is default", WORDS).tree
    judge = compile_condition(tree, SCOPE)
    assert judge(Environment({"radius": exact(3)}, {"radius": exact(3)}, frozenset())) is TRUE
    assert judge(Environment({"radius": exact(4)}, {"radius": exact(3)}, frozenset())) is FALSE
    assert judge(Environment({"radius": exact(4)}, {}, frozenset())) is UNKNOWN


def test_the_members_that_may_be_unset_are_left_out() -> None:
    unset = Value(UNSET, 0, 9, frozenset(), True)
    perhaps = Value(SET | UNSET, 2, 4, frozenset(), False)
    assert amount("lowest of {radius, 5 m}", radius=unset) == Range(5.0, 5.0)
    assert amount("lowest of {radius, 5 m}", radius=perhaps) == Range(2.0, 5.0)
    assert amount("highest of {radius, 1 m}", radius=perhaps) == Range(1.0, 4.0)


def test_a_spread_is_any_value_between() -> None:
    assert amount("(speed to 3 * speed)", speed=exact(2.0)) == Range(2.0, 6.0)
    assert check_condition("1 < 2", WORDS).dimension == PLAIN
