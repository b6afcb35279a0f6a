"""What changes a dump's text and not its meaning gives an empty comparison."""

from __future__ import annotations

import random
import re
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfglint import compare_dumps, load_craft, load_map
from cfglint.report.comparison_data import SAME, CraftComparison
from tests.conftest import ROOT

CRAFT = ("sickle", "pennywort"), ("cartwheel", "pennywort"), ("thimble", "oxlip"), ("washboard", "oxlip")
SMALLER = {"m": ("cm", 100), "V": ("mV", 1000), "s": ("ms", 1000), "A": ("mA", 1000), "Hz": ("mHz", 1000)}


def text_of(name: str) -> str:
    return (ROOT / f"examples/{name}/{name}.dump").read_text(encoding="utf-8")


def compared(name: str, board: str, new: bytes) -> CraftComparison:
    craft = load_craft(str(ROOT / f"examples/{name}/craft.toml"))
    return compare_dumps(text_of(name), new, map=load_map(str(ROOT / f"examples/{board}.map.toml")), craft=craft)


def assert_empty(comparison: CraftComparison) -> None:
    assert comparison.settings == () and comparison.verdicts == () and comparison.lines == ()
    assert comparison.is_empty and comparison.status == SAME and comparison.worse == 0


def blocks(text: str) -> list[list[str]]:
    """The lines of each section, its header first."""
    found: list[list[str]] = [[]]
    for line in text.splitlines():
        if re.match(r"(chapter\b|\[)", line):
            found.append([])
        found[-1].append(line)
    return found


def shuffled(text: str, seed: int) -> str:
    shuffle = random.Random(seed).shuffle
    first, *rest = blocks(text)
    for block in rest:
        body = block[1:]
        shuffle(body)
        block[1:] = body
    shuffle(rest)
    return "\n".join(line for block in (first, *rest) for line in block) + "\n"


@pytest.mark.parametrize(("name", "board"), CRAFT)
def test_the_same_bytes(name: str, board: str) -> None:
    assert_empty(compared(name, board, text_of(name).encode()))


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32), craft=st.sampled_from(CRAFT))
def test_another_order_of_lines(seed: int, craft: tuple[str, str]) -> None:
    text = shuffled(text_of(craft[0]), seed)
    assert text != text_of(craft[0])
    assert_empty(compared(*craft, text.encode()))


@pytest.mark.parametrize(("name", "board"), CRAFT)
@pytest.mark.parametrize(
    "encode",
    [
        lambda text: text.encode("utf-8-sig"),
        lambda text: text.encode("utf-16"),
        lambda text: b"\xfe\xff" + text.encode("utf-16-be"),
        lambda text: text.replace("\n", "\r\n").encode(),
        lambda text: text.replace("\n", "\r").encode(),
        lambda text: ("\n\n" + text.replace("\n", "\n\n")).encode(),
    ],
    ids=["mark", "utf-16", "utf-16 big end first", "carriage returns and newlines", "carriage returns", "blank lines"],
)
def test_another_encoding(name: str, board: str, encode: object) -> None:
    assert callable(encode)
    assert_empty(compared(name, board, encode(text_of(name))))


@pytest.mark.parametrize("comment", ["// nothing to see", "//", "// peg Radius 900 m"])
def test_other_comments(comment: str) -> None:
    kept = [line for line in text_of("sickle").splitlines() if not line.startswith("//")]
    recommented = [re.sub(r"\s+//.*", "", line) + ("   // seen" if n % 7 == 3 else "") for n, line in enumerate(kept)]
    assert_empty(compared("sickle", "pennywort", f"\n{comment}\n".join(recommented).encode()))


def test_the_same_values_in_other_units() -> None:
    def smaller(match: re.Match[str]) -> str:
        unit, times = SMALLER[match[2]]
        return f"{(Decimal(match[1]) * times).normalize():f} {unit}"

    known = "Receiver|Hush|Recall|Lift|Anchor|Trail|Ring|Hedge|Cells"
    changed, rewritten = [], 0
    for block in blocks(text_of("sickle")):
        ours = re.match(rf"chapter ({known})$", block[0]) is not None
        for line in block:
            other = re.sub(r"(?<= )(\d+(?:\.\d+)?) (m|V|s|A|Hz)(?=$| +//)", smaller, line) if ours else line
            rewritten += other != line
            changed.append(other)
    assert rewritten > 20
    comparison = compared("sickle", "pennywort", "\n".join(changed).encode())
    assert comparison.settings == () and comparison.verdicts == ()
    assert {line.key for line in comparison.lines} <= {"Receiver/Smooth"}


def test_a_line_that_says_what_the_default_says() -> None:
    before = text_of("thimble")
    assert "frame-tells-loss = 0\n" in before
    comparison = compared("thimble", "oxlip", before.replace("frame-tells-loss = 0\n", "").encode())
    assert [(c.id, c.old_origin, c.new_origin, c.same_value) for c in comparison.settings] == [
        ("receiver.loss_flag", "dump", "default", True)
    ]
    assert comparison.verdicts == () and comparison.worse == 0 and comparison.changed_values == 0
