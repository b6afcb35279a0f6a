"""The nearest name, places in TOML text, and text made safe to show."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from cfglint.text.nearest import edit_distance, nearest
from cfglint.text.toml_place import place, value_place
from cfglint.text.visible import visible

_NAMES = ["hover.throttle", "link_loss.action", "loiter.radius", "battery.cell_low", "battery.cell_critical"]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("hover.throtle", "hover.throttle"),
        ("HoverThrottle", "hover.throttle"),
        ("throttle_hover", "hover.throttle"),
        ("hvoer-throttle", "hover.throttle"),
        ("loiter-radios", "loiter.radius"),
        ("battery.cell_lwo", "battery.cell_low"),
        ("quite_something_else", None),
        ("", None),
        ("x" * 5000, None),
    ],
)
def test_nearest(name: str, expected: str | None) -> None:
    assert nearest(name, _NAMES) == expected


def test_distance_counts_letters_left_out_put_in_changed_and_swapped() -> None:
    pairs = [
        ("abc", "abc", 0),
        ("abc", "ac", 1),
        ("abc", "abxc", 1),
        ("abc", "axc", 1),
        ("abc", "acb", 1),
        ("", "ab", 2),
    ]
    assert [edit_distance(left, right, 3) for left, right, _ in pairs] == [count for *_, count in pairs]
    assert edit_distance("abcdef", "uvwxyz", 3) == 4


_TOML = """\
title = "x"  # remark
a.b . "c d" = 1

[[part]]
when = \"\"\"
title = 3
\"\"\"
remedy = { change = "q", more = [1, 2, { z = 5 }] }

[[part]]
level = 'error'  # [part]

[[part.sub]]
list = [
  "a", # ] comment
  "b",
]

[key."motor/idle"]
setting = "m"
"""


@pytest.mark.parametrize(
    ("path", "name", "value"),
    [
        (("title",), (1, 1), (1, 10)),
        (("a", "b", "c d"), (2, 1), (2, 15)),
        (("part", 0, "when"), (5, 1), (6, 1)),
        (("part", 0, "remedy", "more", 2, "z"), (8, 42), (8, 46)),
        (("part", 1), (10, 1), (10, 1)),
        (("part", 1, "level"), (11, 1), (11, 10)),
        (("part", 1, "sub", 0, "list", 1), (16, 3), (16, 4)),
        (("key", "motor/idle", "setting"), (20, 1), (20, 12)),
        (("part", 0, "remedy", "missing"), (8, 1), (8, 10)),
        (("part", 7, "level"), (4, 1), (4, 1)),
        (("missing",), (1, 1), (1, 1)),
        ((), (1, 1), (1, 1)),
    ],
)
def test_places_in_toml(path: tuple[str | int, ...], name: tuple[int, int], value: tuple[int, int]) -> None:
    assert place(_TOML, path) == name
    assert value_place(_TOML, path) == value


def test_every_value_of_a_loaded_document_has_a_place_of_its_own() -> None:
    paths = list(_leaves(tomllib.loads(_TOML), ()))
    places = [value_place(_TOML, path) for path in paths]
    assert len(set(places)) == len(paths) == 11
    lines = _TOML.splitlines()
    assert lines[places[paths.index(("key", "motor/idle", "setting"))][0] - 1][11:].startswith("m")


def _leaves(node: Any, path: tuple[str | int, ...]) -> Any:
    if isinstance(node, dict):
        for key, inner in node.items():
            yield from _leaves(inner, (*path, key))
    elif isinstance(node, list):
        for index, inner in enumerate(node):
            yield from _leaves(inner, (*path, index))
    else:
        yield path


@pytest.mark.parametrize("text", ["a = [", "[[[[", "a = {b = {", '"', "= =", "[" * 100_000, "a = " + "[" * 100_000])
def test_text_that_is_no_toml_still_has_a_place(text: str) -> None:
    assert place(text, ("a", 0, "b"))[0] == 1


def test_nothing_raw_is_shown() -> None:
    assert visible("a\x1b[1m\n\x7f\x85\u202e\ud800\u200b\u00e9") == "a␛[1m␊␡\\u{85}\\u{202e}\\u{d800}\\u{200b}\u00e9"
    assert visible("\u00e9\n", ascii_only=True) == "\\u{e9}\\u{a}"
