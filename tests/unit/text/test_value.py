"""Values, one by one."""

from __future__ import annotations

import pytest

from cfglint.text.value import Between, Listing, Number, Quoted, Unreadable, Value, Word, parse_value


def _whole(number: int, unit: str = "") -> Number:
    return Number(number, 1, unit, 1, 1)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1540", _whole(1540)),
        ("-3.30 V", Number(-33, 10, "V", 1, 100)),
        ("+.5", Number(1, 2, "", 1, 10)),
        ("5.", _whole(5)),
        ("1.5e3", Number(1500, 1, "", 100, 1)),
        ("1.5e-3", Number(3, 2000, "", 1, 10_000)),
        ("0x1F", _whole(31)),
        ("-0x10", _whole(-16)),
        ("1540us", _whole(1540, "us")),
        ("40 deg", _whole(40, "deg")),
        ("35 %", _whole(35, "%")),
        ("8 m/s", _whole(8, "m/s")),
        ("9.81 m/s^2", Number(981, 100, "m/s^2", 1, 100)),
        ("0.1 V", Number(1, 10, "V", 1, 10)),
        ("600..680 g", Between(_whole(600, "g"), _whole(680, "g"))),
        ("1 .. 2", Between(_whole(1), _whole(2))),
        ("600 g..0.68 kg", Between(_whole(600, "g"), Number(17, 25, "kg", 1, 100))),
        ("3,5", Listing((_whole(3), _whole(5)))),
        ("[1, [2, 3]]", Listing((_whole(1), Listing((_whole(2), _whole(3)))))),
        ("1 2 3", Listing((_whole(1), _whole(2), _whole(3)))),
        ("(1 2)", Listing((_whole(1), _whole(2)))),
        ("{}", Listing(())),
        ("5,", Listing((_whole(5),))),
        ('"a, b"', Quoted("a, b")),
        ("'it''s'", Quoted("it's")),
        (r'"a \"b\" \\"', Quoted('a "b" \\')),
        ("on", Word("on")),
        ("return home", Word("return home")),
        ("1_000", Word("1_000")),
        ("nan", Word("nan")),
        ("inf", Word("inf")),
        ("\u0661\u0662", Word("\u0661\u0662")),
        ("12:30", Word("12:30")),
        ("5x3", Word("5x3")),
        ("0x", Word("0x")),
        ("a,,b", Word("a,,b")),
        ("f(1, 2)", Word("f(1, 2)")),
    ],
)
def test_values(text: str, value: Value) -> None:
    assert parse_value(text) == value
    assert parse_value(f"  {text}\t") == value


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "no value is written"),
        ("1" * 41, "longer than 40 characters"),
        ("1e1000", "more than three digits of exponent"),
        ("1, 1e1000", "more than three digits of exponent"),
        ("9..1", "from the greater to the smaller"),
        ("600 g..680", "behind its lower end only"),
        ('"open', "not closed"),
        ("a\x1bb", "U+001B"),
        ("x" * 10_001, "longer than 10000 characters"),
    ],
)
def test_unreadable(text: str, reason: str) -> None:
    value = parse_value(text)
    assert isinstance(value, Unreadable)
    assert reason in value.reason


def test_deep_and_long_lists_are_words_not_crashes() -> None:
    assert parse_value("[" * 9_000) == Word("[" * 9_000)
    assert isinstance(parse_value("1," * 4_000), Listing)
