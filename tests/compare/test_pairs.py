"""The sides of a comparison: craft are found, paired, and known as the same by their bytes."""

from __future__ import annotations

from pathlib import Path

import pytest

from cfglint.project.compare_git import _is_harmless, check_revision
from cfglint.project.compare_pairs import Pair, folder_side, paired
from cfglint.text.problem import Refused


def write(root: Path, **files: str) -> None:
    for name, text in files.items():
        path = root / name.replace("__", "/").replace("_", ".")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def pairs(tmp_path: Path) -> list[Pair]:
    return paired(folder_side(str(tmp_path / "old")), folder_side(str(tmp_path / "new")))


@pytest.mark.parametrize(
    ("change", "same"),
    [
        ({}, True),
        ({"a__readme_md": "other"}, True),
        ({"a__a_dump": "x = 2"}, False),
        ({"a__craft_toml": "other"}, False),
        ({"a__flights_toml": "new"}, False),
        ({"board_toml": "other"}, False),
        ({"b__craft_toml": "other"}, True),
        ({".hidden__x_toml": "other"}, True),
    ],
)
def test_what_makes_a_craft_another(change: dict[str, str], same: bool, tmp_path: Path) -> None:
    both = {
        "a__a_dump": "x = 1",
        "a__craft_toml": "",
        "b__b_dump": "x = 1",
        "b__craft_toml": "b",
        "board_toml": "",
        "a__readme_md": "",
    }
    write(tmp_path / "old", **both)
    write(tmp_path / "new", **(both | change))
    assert next(p for p in pairs(tmp_path) if p.new == "a/a.dump") == Pair("a/a.dump", "a/a.dump", same)


def test_moved_craft_are_paired(tmp_path: Path) -> None:
    write(tmp_path / "old", a__a_dump="1", b__b_dump="2", c__c_dump="3", d__x_dump="4", e__x_dump="5")
    write(tmp_path / "new", a__a_dump="1", z__other_dump="2", y__c_dump="changed", f__x_dump="6", g__x_dump="7")
    assert pairs(tmp_path) == [
        Pair("a/a.dump", "a/a.dump", True),
        Pair("d/x.dump", ""),
        Pair("e/x.dump", ""),
        Pair("", "f/x.dump"),
        Pair("", "g/x.dump"),
        Pair("c/c.dump", "y/c.dump", False),
        Pair("b/b.dump", "z/other.dump", True),
    ]


def test_the_configuration_says_which_files_are_dumps(tmp_path: Path) -> None:
    write(
        tmp_path / "old",
        a__a_dump="1",
        a__a_txt="1",
        b__b_txt="1",
        cfglint_toml='dumps = ["**/*.txt"]\nexclude = ["b"]\n',
    )
    assert folder_side(str(tmp_path / "old")).dumps == ["a/a.txt"]
    assert folder_side(str(tmp_path / "old/a")).dumps == ["a/a.txt"], "a configuration above counts too"


def test_a_document_above_is_part_of_a_craft(tmp_path: Path) -> None:
    files = {"field__site_toml": "", "field__a__a_dump": "1", "field__b_dump": "1", "field__craft_toml": ""}
    write(tmp_path / "old", **files)
    write(tmp_path / "new", **(files | {"field__craft_toml": "other"}))
    assert [pair.is_same for pair in pairs(tmp_path)] == [False, False]
    write(tmp_path / "new", **(files | {"field__site_toml": "other"}))
    assert [pair.is_same for pair in pairs(tmp_path)] == [False, False]


@pytest.mark.parametrize("path", ["../x.dump", "a/../../x.dump", "/etc/x.dump", "a//x.dump", "a\\..\\x.dump", "c:x.dump"])
def test_a_path_that_climbs_out_is_left_alone(path: str) -> None:
    assert not _is_harmless(path) and _is_harmless("a/b/x.dump")


@pytest.mark.parametrize("text", ["", "-x", "--output=x", "a b", "a\nb", "a\0b", "x" * 300])
def test_what_can_be_no_revision(text: str) -> None:
    with pytest.raises(Refused):
        check_revision(text)
