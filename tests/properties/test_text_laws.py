"""The laws of the text layer, for whatever bytes, lines, values and layouts come."""

from __future__ import annotations

import re
from functools import lru_cache

from hypothesis import example, given, settings
from hypothesis import strategies as st
from lark import Lark, Token, Tree
from lark.exceptions import LarkError

from cfglint.text.dump import Dump, LineKind, columns, read
from cfglint.text.edit import replace
from cfglint.text.grammar_of import grammar_of, value_grammar
from cfglint.text.layout import SEPARATORS, Layout, describe, vote
from cfglint.text.patterns import KINDS, line_pattern
from cfglint.text.source import Span, decode
from cfglint.text.value import Listing, Quoted, Unreadable, Value, Word, parse_value
from cfglint.text.visible import visible

_PIECES = st.sampled_from(
    ["a", "gain", "hover", "set", "aux", "profile", "unit[0]", "5", "-3.5", "0x1F", "V", "deg", "..", '"', "'", "\\",
     "=", ":", ":=", ",", "\t", " ", "  ", "#", ";", "//", "[", "]", "{", "}", "(", ")", "#ff8800", "\x1b[1m", "\x1b",
     "quail> ", "$ ", "> ", "-", "---", "\xa0", "\ufeff", "\x0b", "\u2028", "\x85", "\x00", "é"]
)  # fmt: skip
_ENDS = st.sampled_from(["\n", "\r\n", "\r"])
_LINES = st.lists(_PIECES, max_size=12).map("".join)
_TEXTS = st.lists(st.tuples(_LINES, _ENDS), max_size=12).map(lambda pairs: "".join(a + b for a, b in pairs))
_LAYOUTS = st.fixed_dictionaries(
    {
        "separator": st.sampled_from(SEPARATORS),
        "comments": st.sampled_from([("#", ";", "//"), ("#",), ("//",), ()]),
        "lead_words": st.sampled_from([(), ("set",), ("set", "gain")]),
        "sections": st.sampled_from(["none", "brackets", "braces", "word"]),
        "section_word": st.sampled_from(["profile", ""]),
        "rows": st.sampled_from([(), ("aux",)]),
    }
) | st.fixed_dictionaries(
    {
        "separator": st.sampled_from(["tab", ","]),
        "lead_words": st.sampled_from([(), ("set",)]),
        "columns": st.just(4),
        "key_column": st.sampled_from([0, 2]),
        "value_column": st.sampled_from([1, 3]),
        "skip_header": st.booleans(),
    }
)
_ANY_LAYOUT = _LAYOUTS.map(lambda fields: Layout()._replace(**fields))


@given(st.binary(max_size=300) | _TEXTS.map(lambda text: text.encode("utf-8")))
@example(b"")
@example(b"\xff\xfea\x00=\x005\x00")
@example("a = 5\n".encode("utf-16-be"))
@example(b"\xff\xfe\x00\xd8")
@example(b"a = \xe9\n")
def test_reading_keeps_every_byte_and_gives_every_line_a_kind(data: bytes) -> None:
    dump = read(data)
    assert bytes(dump) == data
    assert dump.source.text.encode(dump.source.codec) == data
    _check_whole(dump)
    assert all(isinstance(line, str) for line in describe(vote(dump.source.text)))


@given(_TEXTS | st.text(max_size=60), _ANY_LAYOUT)
def test_reading_in_any_layout_gives_lines_that_add_up(text: str, layout: Layout) -> None:
    _check_whole(read(text.encode("utf-8", "surrogatepass"), layout=layout))


def _check_whole(dump: Dump) -> None:
    lines = list(dump.lines)
    assert "".join(dump.source.text[line.start : line.end] for line in lines) == dump.source.text
    assert sum(dump.count(kind) for kind in LineKind) == len(lines) == dump.source.line_count
    assert lines == [dump.lines[index] for index in range(len(lines))]
    for line in lines:
        assert dump.source.position(line.start)[0] == line.number
        spans = [line.lead, line.key, line.value, line.comment]
        assert all(line.start <= span.start <= span.end <= line.end for span in spans)
        assert not any(mark in dump.text_of(span) for span in spans for mark in "\r\n")
        assert (line.kind is LineKind.ENTRY) <= (line.key.start < line.key.end)
        assert all(line.value.start <= cell.start < cell.end <= line.value.end for cell in columns(dump, line))
        for span in (line.key, line.value):
            shown = dump.text_of(span)
            assert shown == shown.strip(" \t\x0b\x0c\xa0")


@lru_cache(maxsize=500)
def _lexer(layout: Layout, noisy: bool) -> Lark:
    return Lark(grammar_of(layout, noisy), parser="lalr", lexer="basic")


@settings(max_examples=300, deadline=None)
@given(_TEXTS, _LINES, _ANY_LAYOUT, st.booleans())
def test_grammar_and_pattern_read_the_same_lines(text: str, last: str, layout: Layout, noisy: bool) -> None:
    text += last
    pattern = line_pattern(layout, noisy)
    kinds = {pattern.groupindex[kind]: kind for kind in KINDS}
    by_pattern = [(kinds[m.lastindex or 0], m.start(), m.end()) for m in pattern.finditer(text)]
    tokens = _lexer(layout, noisy).lex(text)
    assert by_pattern == [(token.type, token.start_pos, token.end_pos) for token in tokens]


_AMOUNTS = st.from_regex(r"[+-]?[0-9]{1,6}(\.[0-9]{1,4})?(e-?[0-9]{1,2})?( ?(V|deg|m/s|%|us|m/s\^2))?", fullmatch=True)
_VALUE_PIECES = st.sampled_from(
    ["1", "2.5", "-3", ".5", "0x1F", "1e3", "..", "V", "m/s", "deg", "%", "on", "hold", '"', "'", "\\", '"a, b"', "'c'",
     ",", " ", "[", "]", "(", ")", "{", "}", "1/s", "#ff8800", "x", "x2", "\u00b5s", "_"]
)  # fmt: skip
_VALUE_TEXTS = st.lists(_VALUE_PIECES, min_size=1, max_size=9).map("".join)
_values = Lark(value_grammar(), parser="lalr", lexer="basic")


@settings(max_examples=500)
@given(_VALUE_TEXTS | st.lists(_AMOUNTS, min_size=1, max_size=4).map(", ".join))
@example("600..680 g")
@example("[1 2 3]")
@example("1,")
def test_grammar_and_reader_read_the_same_values(text: str) -> None:
    text = text.strip()
    value = parse_value(text)
    try:
        tree = _values.parse(text)
    except LarkError:
        assert isinstance(value, Unreadable | Word)
        assert isinstance(value, Unreadable) or value.text == text
        return
    assert value == _from_tree(tree.children[0])


def _from_tree(items: Tree[Token] | Token) -> Value:
    """The value an `items` tree stands for; its leaves are read one by one."""
    assert isinstance(items, Tree)
    values = [_item(child) for child in items.children if getattr(child, "type", "") != "COMMA"]
    single = len(values) == 1 and len(items.children) == 1
    return values[0] if single else _listed(values)


def _item(child: Tree[Token] | Token) -> Value:
    if isinstance(child, Token):
        return Word(str(child)) if child.type == "BARE" else parse_value(str(child))
    inner = child.children[0] if child.children else None
    if not isinstance(inner, Tree):
        return Listing(())
    if len(inner.children) == 1 and getattr(inner.children[0], "type", "") == "NUMBERS":
        return _item(inner.children[0])
    return _listed([_item(item) for item in inner.children if getattr(item, "type", "") != "COMMA"])


def _listed(values: list[Value]) -> Value:
    bad = next((value for value in values if isinstance(value, Unreadable)), None)
    return bad or Listing(tuple(values))


@given(st.text(max_size=80) | _VALUE_TEXTS)
def test_reading_a_value_never_raises(text: str) -> None:
    value = parse_value(text)
    assert not isinstance(value, Unreadable) or value.reason


@given(st.text(max_size=30).filter(lambda text: not re.search(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]", text)))
def test_what_is_quoted_comes_back(text: str) -> None:
    quoted = '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
    assert parse_value(quoted) == Quoted(text)


_NAMES = st.from_regex(r"[a-z]{2,8}([_.\-/][a-z0-9]{1,6}){0,2}(\[[0-9]\])?", fullmatch=True)
_SCALARS = st.one_of(
    st.from_regex(r"-?[0-9]{1,5}(\.[0-9]{1,3})?( ?(V|deg|us|%))?", fullmatch=True),
    st.sampled_from(["on", "off", "hold", "#ff8800", '"two words # 3"', '"a, b"', "0x1F", "600..680"]),
)
_MODELS = st.lists(st.tuples(_NAMES, _SCALARS), min_size=1, max_size=12, unique_by=lambda pair: pair[0])
_JOINTS = {"=": (" = ", "="), ":=": (" := ", ":="), ":": (": ", ":"), "tab": ("\t", "\t\t"), ",": (",", ", "),
           "blank": (" ", "   ")}  # fmt: skip


@given(_MODELS, st.sampled_from(SEPARATORS), st.booleans(), st.sampled_from(["", "set "]), st.data())
def test_a_written_dump_reads_back(
    model: list[tuple[str, str]], separator: str, tight: bool, lead: str, data: st.DataObject
) -> None:
    end = data.draw(_ENDS)
    remark = data.draw(st.sampled_from(["", "  # as flown", " ; as flown"]))
    joint = _JOINTS[separator][tight]
    text = "".join(f"{lead}{key}{joint}{value}{remark}{end}" for key, value in model)
    dump = read(text.encode())
    assert dump.vote is not None and not dump.vote.tied
    assert _entries(dump) == model


@given(_MODELS, st.sampled_from(SEPARATORS))
def test_a_written_dump_reads_back_in_its_given_layout(model: list[tuple[str, str]], separator: str) -> None:
    text = "".join(f"{key}{_JOINTS[separator][0]}{value}\n" for key, value in model)
    assert _entries(read(text.encode(), layout=Layout(separator=separator))) == model


def _entries(dump: Dump) -> list[tuple[str, str]]:
    entries = (line for line in dump.lines if line.kind is LineKind.ENTRY)
    return [(dump.text_of(line.key), dump.text_of(line.value)) for line in entries]


@given(st.lists(_LINES, max_size=12), _ENDS, _ENDS)
def test_line_ends_change_nothing(lines: list[str], first: str, second: str) -> None:
    one, other = (read(end.join([*lines, ""]).encode("utf-8")) for end in (first, second))
    assert one.layout == other.layout
    assert _shown(one) == _shown(other)


def _shown(dump: Dump) -> list[tuple[LineKind, str, str, str]]:
    return [(line.kind, dump.text_of(line.key), dump.text_of(line.value), line.section) for line in dump.lines]


@given(_TEXTS, st.data())
def test_an_edit_changes_its_spans_alone(text: str, data: st.DataObject) -> None:
    dump = read(text.encode())
    size = len(dump.source.text)
    cuts = sorted(data.draw(st.lists(st.integers(0, size), min_size=2, max_size=6).filter(lambda c: len(c) % 2 == 0)))
    spans = [Span(start, end) for start, end in zip(cuts[::2], cuts[1::2], strict=True)]
    changed = replace(dump, [(span, "new") for span in spans])
    kept, done = [], 0
    for span in spans:
        kept += [dump.source.text[done : span.start], "new"]
        done = span.end
    assert changed.decode(dump.source.codec) == "".join(kept) + dump.source.text[done:]


@given(st.text(max_size=50), st.booleans())
def test_nothing_raw_is_shown(text: str, ascii_only: bool) -> None:
    shown = visible(text, ascii_only)
    assert not re.search("[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]", shown)
    assert not ascii_only or shown.isascii()


@given(st.text(max_size=60), st.integers(-5, 80))
def test_a_position_lies_inside_its_line(text: str, offset: int) -> None:
    source = decode(text.encode("utf-8", "ignore"))
    line, column = source.position(offset)
    assert 1 <= line <= max(source.line_count, 1)
    assert 1 <= column <= len(source.line_text(line)) + 3
