"""What the text of a value says: a number with its unit, a word, a quoted text, a list, a range."""

from __future__ import annotations

import re
from math import gcd
from typing import NamedTuple, TypeAlias

_LONGEST_NUMBER = 40
_LONGEST_VALUE = 10_000
_DEEPEST = 8

_BLANKS = r" \t\x0b\x0c\xa0\ufeff"
_END = rf"(?=[{_BLANKS}]*+(?:[,\])}}]|\Z))"
_DECIMAL = r"(?:[0-9]++(?:\.(?!\.)[0-9]*+)?+|\.[0-9]++)(?:[eE][+-]?[0-9]++)?+(?![xX])"
_NUMBER = rf"[+-]?(?:0[xX][0-9A-Fa-f]++(?![A-Za-z])|{_DECIMAL})"
_UNIT_PART = r"(?:[A-Za-z\u00b0\u00b5\u03bc\u03a9\u2126]++|%)(?:\^?-?[0-9])?+[\u00b2\u00b3]?+"
_UNIT = rf"(?:1/)?+{_UNIT_PART}(?:[/*\u00b7]{_UNIT_PART})*+"
_QUANTITY = rf"({_NUMBER})(?:[{_BLANKS}]*+({_UNIT}))?+"
_TERMINALS = {
    "QUOTED": rf""""(?:[^"\\]++|\\.|"")*+"{_END}|'(?:[^'\\]++|\\.|'')*+'{_END}""",
    "RANGE": rf"{_QUANTITY}[{_BLANKS}]*+\.\.[{_BLANKS}]*+{_QUANTITY}{_END}",
    "QUANTITY": f"{_QUANTITY}{_END}",
    "NUMBERS": rf"{_NUMBER}(?:{_UNIT})?+(?:[{_BLANKS}]++{_NUMBER}(?:{_UNIT})?+)++{_END}",
    "BARE": rf"(?![\"'])[^{_BLANKS},\[\](){{}}]++(?:[{_BLANKS}]++[^{_BLANKS},\[\](){{}}]++)*+",
}
_PATTERNS = {
    "ITEM": "|".join(f"(?P<{name}>{pattern})" for name, pattern in _TERMINALS.items()),
    "AMOUNT": _QUANTITY,
    "RANGE": _TERMINALS["RANGE"],
    "GAP": f"[{_BLANKS}]*+",
    "PARTS": r"([+-]?)([0-9]*)(?:\.([0-9]*))?(?:[eE]([+-]?)([0-9]*))?",
    "ESCAPED": r"\\([\"'\\])",
    "CONTROL": r"[\x00-\x08\x0a\x0d-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]",
}
_SIMPLE = re.compile(
    r"(-?)([0-9]{1,18})(?:\.([0-9]{1,18}))?(?: ?([A-WYZa-wyz]{1,4}(?:\^[0-9])?(?:/[A-Za-z]{1,3}(?:\^[0-9])?)?|%))?\Z"
)
_JOINTS = {ord("_"): "a", ord("-"): "a"}
_CLOSERS = {"[": "]", "(": ")", "{": "}"}


class Number(NamedTuple):
    """An exact rational number in lowest terms, its unit as written ("" if none), and the weight of its last
    digit.

    "3.30 V" is 33/10 with a step of 1/100; "1540" has a step of 1, "1.5e3" of 100, a hexadecimal number of 1.
    """

    numerator: int
    denominator: int
    unit: str
    step_numerator: int
    step_denominator: int


class Word(NamedTuple):
    """Bare text that is no number; what it means is for the name map to say."""

    text: str


class Quoted(NamedTuple):
    """Quoted text without its quotes; escaped and doubled quotes are resolved."""

    text: str


class Listing(NamedTuple):
    """Values with commas between them, or in brackets, or numbers with blanks between them."""

    items: tuple[Value, ...]


class Between(NamedTuple):
    """A range `low..high`; one unit behind both belongs to both."""

    low: Number
    high: Number


class Unreadable(NamedTuple):
    """Text that cannot be a value, and why."""

    reason: str


Value: TypeAlias = Number | Word | Quoted | Listing | Between | Unreadable


def parse_value(text: str) -> Value:
    """Read the text of a value.

    Numbers are ASCII digits, decimal, hexadecimal or with an exponent, at most 40 characters and three digits
    of exponent. A decimal comma makes a list. What is neither number, quoted, list nor range is one bare
    word.
    Errors: never raises; what cannot be read is `Unreadable`, a list with it included.
    """
    text = text.strip(" \t\x0b\x0c\xa0\ufeff")
    if text[:1].isalpha() and text.isascii() and len(text) < _LONGEST_NUMBER and text.translate(_JOINTS).isalnum():
        return Word(text)
    simple = _SIMPLE.match(text)
    if simple is not None:
        return _simple_number(*simple.groups())
    if ".." in text:
        between = _simple_range(*text.split("..", 1))
        if between is not None:
            return between
    if not text:
        return Unreadable("no value is written")
    if len(text) > _LONGEST_VALUE:
        return Unreadable(f"the value is longer than {_LONGEST_VALUE} characters")
    control = _pattern("CONTROL").search(text)
    if control:
        return Unreadable(f"the value holds the control character U+{ord(control[0]):04X}")
    return _Reader(text).whole()


def _simple_number(sign: str, whole: str, fraction: str | None, unit: str | None) -> Number:
    """The number that most values are: digits, perhaps a fraction, perhaps a short unit."""
    if fraction is None:
        return Number(int(sign + whole), 1, unit or "", 1, 1)
    step = 10 ** len(fraction)
    numerator = int(sign + whole + fraction)
    shared = gcd(numerator, step)
    return Number(numerator // shared, step // shared, unit or "", 1, step)


def _simple_range(left: str, right: str) -> Between | None:
    """A range of two simple numbers, the lesser first, one unit behind both; None where it takes a closer look."""
    low, high = _SIMPLE.match(left.rstrip(" ")), _SIMPLE.match(right.lstrip(" "))
    if low is None or high is None or low[4]:
        return None
    first, last = _simple_number(*low.groups()), _simple_number(*high.groups())
    if first.numerator * last.denominator > last.numerator * first.denominator:
        return None
    return Between(first._replace(unit=last.unit), last)


def _pattern(name: str) -> re.Pattern[str]:
    """One of the patterns, compiled when it is first needed: simple values need none of them."""
    known = _COMPILED.get(name)
    if known is None:
        known = _COMPILED[name] = re.compile(_PATTERNS[name])
    return known


_COMPILED: dict[str, re.Pattern[str]] = {}


class _NoList(Exception):
    """The text has brackets or commas, but is no list."""


class _Reader:
    """Reads items from left to right; nothing is read twice."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.place = 0

    def whole(self) -> Value:
        try:
            items = self._items("", 0)
        except _NoList:
            items = []
        if len(items) == 1 and "," not in self.text[-1]:
            return items[0]
        if items:
            return _listed(items)
        if self.text[0] in "\"'":
            return Unreadable("a quote that is not closed at the end of the value")
        return Word(self.text)

    def _items(self, closer: str, depth: int) -> list[Value]:
        """Items up to the closing bracket, or to the end of the text where there is none; a last comma may
        stand."""
        items: list[Value] = []
        while True:
            if self._at(closer) and closer:
                return items
            items.append(self._item(depth))
            if not self._at(","):
                if self._at(closer) if closer else self.place == len(self.text):
                    return items
                raise _NoList
            if not closer and self._skip() == len(self.text):
                return items

    def _item(self, depth: int) -> Value:
        start = self._skip()
        closer = _CLOSERS.get(self.text[start : start + 1])
        if closer:
            self.place += 1
            if depth == _DEEPEST:
                raise _NoList
            items = self._items(closer, depth + 1)
            only = items[0] if len(items) == 1 else None
            return only if isinstance(only, Listing) and self._numbers_only(start) else _listed(items)
        match = _pattern("ITEM").match(self.text, start)
        if match is None:
            raise _NoList
        self.place = match.end()
        return _read_item(match.lastgroup or "", match[0])

    def _numbers_only(self, start: int) -> bool:
        """Whether the brackets hold nothing but numbers with blanks between them."""
        return not any(mark in self.text[start + 1 : self.place - 1] for mark in "[({,")

    def _skip(self) -> int:
        gap = _pattern("GAP").match(self.text, self.place)
        self.place = gap.end() if gap else self.place
        return self.place

    def _at(self, mark: str) -> bool:
        """Step over a mark, if it comes next."""
        self._skip()
        found = bool(mark) and self.text.startswith(mark, self.place)
        self.place += found
        return found


def _listed(items: list[Value]) -> Listing | Unreadable:
    bad = next((item for item in items if isinstance(item, Unreadable)), None)
    return bad or Listing(tuple(items))


def _read_item(kind: str, text: str) -> Value:
    if kind == "QUANTITY":
        return _quantity(text)
    if kind == "QUOTED":
        quote = text[0]
        return Quoted(_pattern("ESCAPED").sub(r"\1", text[1:-1].replace(quote * 2, quote)))
    if kind == "RANGE":
        return _between(text)
    if kind == "NUMBERS":
        return _listed([_quantity(word) for word in text.split()])
    return Word(text)


def _quantity(text: str) -> Number | Unreadable:
    match = _pattern("AMOUNT").match(text)
    assert match is not None, "what was found by this pattern must match it"
    return _number(match[1], match[2] or "")


def _number(digits: str, unit: str) -> Number | Unreadable:
    if len(digits) > _LONGEST_NUMBER:
        return Unreadable(f"a number is longer than {_LONGEST_NUMBER} characters")
    if "x" in digits or "X" in digits:
        sign = -1 if digits[0] == "-" else 1
        return Number(sign * int(digits.lstrip("+-")[2:], 16), 1, unit, 1, 1)
    parts = _pattern("PARTS").fullmatch(digits)
    assert parts is not None, "every decimal number has these parts"
    sign_mark, whole, fraction, exponent_sign, exponent = (part or "" for part in parts.groups())
    if len(exponent) > 3:
        return Unreadable("a number has more than three digits of exponent")
    power = int(exponent_sign + (exponent or "0")) - len(fraction)
    amount = int(whole + fraction) * (-1 if sign_mark == "-" else 1)
    up, down = 10 ** max(power, 0), 10 ** max(-power, 0)
    common = gcd(amount * up, down)
    return Number(amount * up // common, down // common, unit, up, down)


def _between(text: str) -> Between | Unreadable:
    match = _pattern("RANGE").match(text)
    assert match is not None, "what was found by this pattern must match it"
    low_digits, low_unit, high_digits, high_unit = match.groups()
    if low_unit and not high_unit:
        return Unreadable("the unit of a range stands behind its lower end only")
    low, high = _number(low_digits, low_unit or high_unit or ""), _number(high_digits, high_unit or "")
    if isinstance(low, Unreadable):
        return low
    if isinstance(high, Unreadable):
        return high
    if low.unit == high.unit and low.numerator * high.denominator > high.numerator * low.denominator:
        return Unreadable("a range runs from the greater to the smaller number")
    return Between(low, high)
