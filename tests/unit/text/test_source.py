"""Bytes, text and positions."""

from __future__ import annotations

import pytest

from cfglint.text.source import binary_reason, decode


@pytest.mark.parametrize(
    ("data", "encoding"),
    [
        (b"", "utf-8"),
        (b"a = 5\n", "utf-8"),
        ("µ".encode(), "utf-8"),
        (b"\xef\xbb\xbfa", "utf-8-sig"),
        ("\ufeffa = 5".encode("utf-16-le"), "utf-16-le"),
        ("\ufeffa = 5".encode("utf-16-be"), "utf-16-be"),
        ("a = 5".encode("utf-16-le"), "utf-16-le"),
        ("a = 5".encode("utf-16-be"), "utf-16-be"),
        (b"M\xf6we", "latin-1"),
        (b"\xff\xfea", "latin-1"),
        (b"\xff\xfe\x00\xd8", "latin-1"),
    ],
)
def test_encodings_round_trip(data: bytes, encoding: str) -> None:
    source = decode(data, "thistle.dump")
    assert source.encoding == encoding
    assert source.text.encode(source.codec) == data == bytes(source)


def test_lines_end_at_carriage_return_and_line_feed_only() -> None:
    source = decode("a\x0bb\x85c\u2028d\r\ne\rf\n\ng".encode())
    assert source.line_count == 5
    lines = [source.line_text(number) for number in range(7)]
    assert lines == ["", "a\x0bb\x85c\u2028d", "e", "f", "", "g", ""]


def test_positions_count_from_one_and_stay_inside() -> None:
    source = decode(b"ab\r\ncd\n")
    assert [source.position(offset) for offset in (-3, 0, 1, 4, 5, 99)] == [
        (1, 1), (1, 1), (1, 2), (2, 1), (2, 2), (2, 4),
    ]  # fmt: skip
    assert decode(b"").position(0) == (1, 1)


def test_a_byte_order_mark_takes_no_column() -> None:
    source = decode(b"\xef\xbb\xbfab\ncd")
    assert source.position(1) == (1, 1)
    assert source.position(4) == (2, 1)


def test_what_is_no_text_is_told_apart() -> None:
    assert binary_reason(decode(b"a = 5\nb = \x00\x00\n")) == "2 NUL bytes, the first at offset 10"
    assert binary_reason(decode(bytes(range(1, 32)))) == "24 of the first 31 characters are control characters"
    assert binary_reason(decode("a = 5\n".encode("utf-16-le"))) is None
    assert binary_reason(decode(b"\x1b[1ma = 5\x1b[0m\r\n")) is None
    assert binary_reason(decode(b"")) is None
