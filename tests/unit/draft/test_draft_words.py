"""Names cut up and spelled out."""

from __future__ import annotations

import os

import pytest

from cfglint.draft.lexicon import load_lexicon
from cfglint.draft.words import Speller, split_name
from cfglint.pack.load import rules_folder
from cfglint.text.problem import Refused


@pytest.fixture(scope="module")
def speller() -> Speller:
    return Speller(load_lexicon(os.path.join(rules_folder(), "lexicon.toml")))


@pytest.mark.parametrize(
    ("name", "pieces"),
    [
        ("HoverThrottleUS", ["hover", "throttle", "us"]),
        ("radio.lost-action_2", ["radio", "lost", "action", "2"]),
        ("GPSRate", ["gps", "rate"]),
        ("cell3Low", ["cell", "3", "low"]),
        ("", []),
        ("=== ", []),
    ],
)
def test_names_are_cut_at_marks_case_and_digits(name: str, pieces: list[str]) -> None:
    assert split_name(name) == pieces


@pytest.mark.parametrize(
    ("name", "concepts"),
    [
        ("hvr_thr", ["hover", "throttle"]),
        ("hoverthrottle", ["hover", "throttle"]),
        ("fsdly", ["link_loss", "delay"]),
        ("radio_is_lost", ["link_loss", "link_loss"]),
        ("gyrlpf", ["gyro", "lowpass"]),
        ("rollp", ["roll", "proportional"]),
        ("batcap", ["battery", "capacity"]),
        ("WayHome", ["return", "return"]),
    ],
)
def test_short_and_glued_words_mean_what_they_stand_for(speller: Speller, name: str, concepts: list[str]) -> None:
    slots = speller.slots(split_name(name))
    assert [concept in slot.concepts for slot, concept in zip(slots, concepts, strict=True)] == [True] * len(concepts)


@pytest.mark.parametrize(
    ("name", "unit"),
    [("speed_cm_per_s", "0.01 m/s"), ("delayMs", "ms"), ("full_cell_mv", "mV"), ("cells", None), ("ms", None)],
)
def test_the_unit_at_the_end_of_a_name(speller: Speller, name: str, unit: str | None) -> None:
    assert speller.unit_of(split_name(name)) == unit


def test_a_word_of_a_section_and_one_of_the_key_make_a_phrase(speller: Speller) -> None:
    slots = speller.slots(["loss", "delay"], ["link"])
    assert "link_loss" in slots[0].concepts
    assert "link_loss" in slots[1].concepts
    assert [slot.is_own for slot in slots] == [False, True, True]


def test_nobody_chokes_on_endless_names(speller: Speller) -> None:
    assert len(speller.slots(split_name("x" * 100_000))) <= 48
    assert len(speller.slots(split_name("aB" * 50_000))) <= 48


def test_a_lexicon_that_is_none_is_refused(tmp_path: object) -> None:
    path = os.path.join(str(tmp_path), "lexicon.toml")
    with pytest.raises(Refused):
        load_lexicon(path)
    with open(path, "w", encoding="utf-8") as file:
        file.write("empty = []\n")
    with pytest.raises(Refused, match="no table"):
        load_lexicon(path)
