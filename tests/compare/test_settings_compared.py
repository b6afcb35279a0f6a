"""Settings before and after: in units, with the relative size where it means something, with origin and line."""

from __future__ import annotations

import pytest

from cfglint import compare_dumps, craft_facts
from cfglint.pack.rule import Pack
from cfglint.project.compare_settings import relative_size
from cfglint.quantity.range import Range
from cfglint.quantity.value import OFF, Value, number_value
from cfglint.report.comparison_data import SettingChange


def change(old: str, new: str, id: str) -> SettingChange:
    return next(c for c in compare_dumps(old, new, airframe="tailed").settings if c.id == id)


@pytest.mark.parametrize(
    ("old", "new", "shown", "relative"),
    [
        ("loiter.radius = 60 m", "loiter.radius = 90 m", ("60 m", "90 m"), "+50 %"),
        ("loiter.radius = 60 m", "loiter.radius = 55 m", ("60 m", "55 m"), "-8.3 %"),
        ("loiter.radius = 60 m", "loiter.radius = 6000 cm", None, ""),
        ("loiter.radius = 60 m", "loiter.radius = 300 m", ("60 m", "300 m"), "\u00d7 5"),
        ("loiter.radius = 60 m", "loiter.radius = 6 m", ("60 m", "6 m"), "\u00d7 0.1"),
        ("stick.centre = 1500 us", "stick.centre = 1520 us", ("1500 \u00b5s", "1520 \u00b5s"), ""),
        ("link_loss.action = return", "link_loss.action = land", ("return", "land"), ""),
    ],
)
def test_values_and_sizes(old: str, new: str, shown: tuple[str, str] | None, relative: str) -> None:
    both = "cruise.speed = 15 m/s\n"
    comparison = compare_dumps(both + old, both + new, airframe="tailed")
    found = [((c.old, c.new), c.relative) for c in comparison.settings]
    assert found == ([] if shown is None else [(shown, relative)])


def test_both_lines_are_named() -> None:
    found = change("loiter.radius = 60 m\n", "# a remark\nloiter.radius = 90 m\n", "loiter.radius")
    assert found.old_place is not None and found.new_place is not None
    assert (found.old_place.file, found.old_place.line) == ("old", 1) and (
        found.new_place.file,
        found.new_place.line,
    ) == (
        "new",
        2,
    )


def test_a_setting_that_appears_was_not_known() -> None:
    found = change("loiter.radius = 60 m\n", "loiter.radius = 60 m\nlimit.bank = 40 deg\n", "limit.bank")
    assert (found.old, found.new, found.old_origin, found.new_origin) == ("not known", "40\u00b0", "unseen", "dump")


def test_ranges_are_compared_by_their_middle(pack: Pack) -> None:
    mass = pack.catalogue["craft.mass"]
    old, new = number_value(Range(0.78, 0.82)), number_value(Range(0.86, 0.90))
    assert relative_size(mass, old, new) == "about +10 %"


def test_no_size_where_a_ratio_says_nothing(pack: Pack) -> None:
    radius, temperature = pack.catalogue["loiter.radius"], pack.catalogue["site.temperature"]
    one, two = number_value(Range(1, 1)), number_value(Range(2, 2))
    assert relative_size(radius, one, two) == "+100 %"
    assert relative_size(temperature, one, two) == ""
    assert relative_size(radius, number_value(Range(0, 0)), two) == ""
    assert relative_size(radius, number_value(Range(-1, -1)), two) == ""
    assert relative_size(radius, Value(OFF, 0, 9, frozenset(), True), two) == ""


def test_a_fact_and_the_setting_it_stands_for_are_told_once(pack: Pack) -> None:
    pairs = [(id, d.stands_for) for id, d in pack.catalogue.items() if d.stands_for]
    assert pairs
    for fact, setting in pairs:
        words = pack.catalogue[fact].words
        if len(words) < 2 or pack.catalogue[fact].kind != "choice":
            continue
        dump = "loiter.radius = 60 m\n"
        old, new = (craft_facts({"craft.kind": "tailed", fact: word}) for word in words[:2])
        ids = [c.id for c in compare_dumps(dump, dump, craft=new, old_craft=old).settings]
        assert ids == [fact], setting
