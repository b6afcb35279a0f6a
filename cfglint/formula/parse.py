"""Formula text to a plain syntax tree, through the lark grammar beside this file. Never on the path of a cached run."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from cfglint.formula.errors import FormulaError

if TYPE_CHECKING:
    from lark import Lark

LONGEST_FORMULA = 2000
DEEPEST_FORMULA = 40


class Node(NamedTuple):
    """One node as written: `operation` is the grammar's alias, `parts` are nodes or token texts."""

    operation: str
    parts: tuple[Any, ...]
    column: int


def parse_formula(text: str) -> Node:
    """Parse one formula.

    Raises FormulaError with the column: text too long, nested too deep, or not in the language.
    """
    if len(text) > LONGEST_FORMULA:
        raise FormulaError(f"a formula has at most {LONGEST_FORMULA} characters, this one {len(text)}", LONGEST_FORMULA)
    _check_nesting(text)
    node = _node(_parsed(text).children[0], text)
    if _depth(node) > DEEPEST_FORMULA:
        raise FormulaError(f"a formula is nested at most {DEEPEST_FORMULA} levels deep")
    return node


def _check_nesting(text: str) -> None:
    depth = 0
    for offset, character in enumerate(text):
        depth += (character in "({") - (character in ")}")
        if depth > DEEPEST_FORMULA:
            raise FormulaError(f"a formula is nested at most {DEEPEST_FORMULA} levels deep", offset + 1)
    if text.count("not") + text.count("-") + text.count("if") > 4 * DEEPEST_FORMULA:
        raise FormulaError("a formula may not pile up so many 'not', '-' and 'if'")


def _parsed(text: str) -> Any:
    from lark.exceptions import UnexpectedInput

    try:
        return _parser().parse(text)
    except UnexpectedInput as error:
        raise _explained(error, text) from None


def _explained(error: Any, text: str) -> FormulaError:
    at = error.pos_in_stream if error.pos_in_stream is not None else len(text)
    ended = getattr(getattr(error, "token", None), "type", "") == "$END"
    at = len(text) if at < 0 or ended else at
    rest = text[at:].split()
    seen = f"'{rest[0][:30]}'" if rest else "the end"
    allowed = sorted(getattr(error, "expected", None) or getattr(error, "allowed", None) or ())
    words = sorted({_TOKEN_WORDS.get(token, token.lower()) for token in allowed} - {""})
    expected = f"; expected {', '.join(words)}" if 0 < len(words) <= 8 else ""
    return FormulaError(f"unexpected {seen}{expected}", at + 1)


_TOKEN_WORDS = {
    "$END": "the end",
    "NAME": "a name",
    "NUMBER": "a number",
    "QUANTITY": "a quantity with its unit",
    "WORDS": "words separated by commas",
    "LPAR": "'('",
    "RPAR": "')'",
    "LBRACE": "'{'",
    "RBRACE": "'}'",
    "COMMA": "','",
    "ORDER": "a comparison",
    "PLUS": "'+'",
    "MINUS": "'-'",
    "STAR": "'*'",
    "SLASH": "'/'",
    "CIRCUMFLEX": "'^'",
    "PROVEN": "'flight-proven'",
}


@lru_cache(maxsize=1)
def _parser() -> Lark:
    from lark import Lark

    text = (Path(__file__).parent / "grammar.lark").read_text(encoding="utf-8")
    grammar = text.replace("@UNIT@", unit_pattern().replace("/", r"\/"))
    return Lark(grammar, parser="lalr", propagate_positions=True)


def unit_pattern() -> str:
    """A pattern of every unit that may stand behind a number, the longest symbol first."""
    from cfglint.quantity.units import UNITS

    symbols = sorted((s for s in UNITS if " " not in s and s != "1"), key=len, reverse=True)
    symbol = "(?:" + "|".join(symbols) + r")(?:\^[0-9])?"
    return symbol + "(?:[*/]" + symbol + r")*(?![A-Za-z0-9_.])"


def _node(tree: Any, text: str) -> Node:
    parts = tuple(_node(c, text) if hasattr(c, "children") else str(c) for c in tree.children)
    start = getattr(tree.meta, "start_pos", None)
    operation = {"start": "start"}.get(tree.data, str(tree.data).rstrip("_"))
    return Node(operation, parts, 1 if start is None else start + 1)


def _depth(node: Node) -> int:
    return 1 + max((_depth(part) for part in node.parts if isinstance(part, Node)), default=0)
