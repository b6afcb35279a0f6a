"""Reading dumps: against another reader, at the edges, and with what a name map fixes."""

from __future__ import annotations

import configparser
import resource
import time

import pytest

from cfglint.text.dump import Dump, LineKind, columns, read
from cfglint.text.edit import replace
from cfglint.text.layout import Layout, checked_fields, describe, vote
from cfglint.text.source import Span

_INI = """\
# kept by hand
[motor]
idle = 1100
top=1900
name = small bell

[battery]
; three cells
low = 3.5
critical = 3.3
note =
"""


def _entries(dump: Dump) -> dict[tuple[str, str], str]:
    entries = [line for line in dump.lines if line.kind is LineKind.ENTRY]
    return {(line.section, dump.text_of(line.key)): dump.text_of(line.value) for line in entries}


def test_ini_text_reads_as_the_standard_reader_reads_it() -> None:
    parser = configparser.ConfigParser(interpolation=None, delimiters=("=",))
    parser.read_string(_INI)
    expected = {(name, key): value for name in parser.sections() for key, value in parser[name].items()}
    assert _entries(read(_INI.encode())) == expected
    assert len(expected) == 6


def test_a_row_has_columns() -> None:
    dump = read(b"a = 1\nb = 2\nswitch 0, 1 900 'slow hold' # x\nswitch 1, 2 1300 fast\n")
    row = dump.lines[2]
    assert row.kind is LineKind.ROW
    assert [dump.text_of(cell) for cell in columns(dump, row)] == ["0", "1", "900", "'slow hold'"]


def test_many_rows_do_not_outvote_the_entries() -> None:
    rows = "".join(f"switch {number} 900 1300\n" for number in range(40))
    dump = read(f"a = 1\nb = 2\n{rows}c = hold\n".encode())
    assert (dump.layout.separator, dump.layout.rows) == ("=", ("switch",))
    assert dump.count(LineKind.FAULT) == 0


def test_lines_are_a_sequence() -> None:
    dump = read(b"a = 1\nb = 2\nc = 3\n")
    lines = dump.lines
    assert len(lines) == 3
    assert [line.number for line in lines[1:]] == [2, 3]
    assert lines[-1] == list(lines)[2]
    assert dump.line_at(7) == lines[1]
    with pytest.raises(IndexError):
        lines[3]


def test_a_given_layout_is_not_voted_on() -> None:
    dump = read(b"a: 1\nb: 2\n", layout=Layout(separator="="))
    assert dump.vote is None
    assert dump.count(LineKind.FAULT) == 2


def test_given_fields_are_kept_and_the_rest_is_voted_on() -> None:
    dump = read(b"tune a = 1\nb = 2 # x\nc = 3 ; y\n", given={"lead_words": ["tune"], "comments": ["#"]})
    assert dump.layout.separator == "="
    assert _entries(dump) == {("", "a"): "1", ("", "b"): "2", ("", "c"): "3 ; y"}


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"separater": "="}, "has no field separater"),
        ({"separator": "~"}, "must be one of"),
        ({"comments": "#"}, "must be a list of words"),
        ({"lead_words": [""]}, "must be one word"),
        ({"rows": ["a b"]}, "must be one word"),
        ({"columns": 3, "key_column": 1}, "two different columns"),
        ({"columns": 3, "separator": "="}, "separator tab or comma"),
        ({"columns": True}, "must be a whole number"),
    ],
)
def test_a_layout_that_does_not_fit_is_refused(given: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        checked_fields(given)


def test_a_tie_names_its_rivals_and_is_described() -> None:
    found = vote("climb = 1\ndescent: 2\n")
    assert found.tied
    assert found.rivals == ("=", ":")
    assert "tied between = and :: the lines concerned are not read" in describe(found)


def test_a_banner_of_bare_words_does_not_tie_with_the_only_entry() -> None:
    assert _entries(read(b"Welcome pilot\nBoard two\na = 5\n")) == {("", "a"): "5"}


def test_the_tallies_are_lines() -> None:
    found = vote("set a 1\nset a 2\nset b hold\nb = 3\n# x\n")
    assert dict(found.tallies) == {"separator =": 1, "separator blank": 3, "comment #": 1, "lead word set": 3}


def test_a_word_before_half_of_the_entries_may_be_lead_or_key() -> None:
    dump = read(b"fin left 3\nfin right 4\nbank 35\nclimb 2.5\n")
    assert dump.vote is not None and dump.vote.tied_word == "fin"
    assert [line.kind.name for line in dump.lines] == ["FAULT", "FAULT", "ENTRY", "ENTRY"]


def test_lines_outside_the_sample_are_heard_in_a_second_round() -> None:
    entries = "".join(f"key{number} = {number}\n" for number in range(3000))
    half = len(entries) // 2 + 3000
    cut = entries.index("\n", half) + 1
    text = entries[:cut] + "switch 0 1 900\nswitch 1 2 1300\n" + entries[cut:]
    dump = read(text.encode())
    assert dump.layout.rows == ("switch",)
    assert dump.count(LineKind.FAULT) == 0


def test_unplaced_lines_are_numbered() -> None:
    text = "a = 1\nnobody knows\nb = 2\n" + "odd\n" * 100
    dump = read(text.encode())
    assert dump.vote is not None
    assert dump.vote.unplaced == vote(text).unplaced == (2, *range(4, 53))


def test_a_line_of_two_megabytes_takes_no_more_than_its_length() -> None:
    start = time.process_time()
    for body in (b"a = " + b"x " * 1_000_000, b"a" * 2_000_000, b'a = "' + b"# " * 1_000_000, b"= " * 1_000_000):
        dump = read(body)
        assert bytes(dump) == body
        assert len(list(dump.lines)) == 1
    assert time.process_time() - start < 10


def test_sections_nest_no_deeper_than_they_are_kept() -> None:
    dump = read(b"a {\n" * 500 + b"x = 1\n" + b"}\n" * 500 + b"y = 2\n", layout=Layout(sections="braces"))
    lines = [line for line in dump.lines if line.kind is LineKind.ENTRY]
    assert [line.section for line in lines] == ["/".join("a" * 40), ""]


def test_edits_keep_encoding_and_refuse_to_overlap() -> None:
    dump = read("\ufeffa = 1\r\nb = 2\r\n".encode("utf-16-le"))
    values = [line.value for line in dump.lines]
    changed = replace(dump, [(values[1], "20"), (values[0], "10")])
    assert changed.decode("utf-16-le") == "\ufeffa = 10\r\nb = 20\r\n"
    with pytest.raises(ValueError, match="overlaps"):
        replace(dump, [(Span(1, 4), "x"), (Span(3, 5), "y")])
    with pytest.raises(ValueError, match="cannot be written"):
        replace(read(b"M\xf6we = 1"), [(Span(0, 1), "\u03a9")])


def test_memory_stays_within_six_times_the_text() -> None:
    body = b"some_setting_name = 1540\n" * 80_000
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    dump = read(body)
    assert dump.count(LineKind.ENTRY) == 80_000
    assert (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024 < 6 * len(body) + 8_000_000
