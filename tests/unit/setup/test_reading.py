"""From a dump to a Setup: units, codes, absence, repeated keys, rows, lists, and writing a value back."""

from __future__ import annotations

import pytest

from cfglint.pack.rule import Pack
from cfglint.quantity.value import OFF, SET, UNSET, Value
from cfglint.setup.airframe import applies_in, kinds_of, phases_of, row_order
from cfglint.setup.convert import Reading, convert, decimal_year
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import NameMap, identity_map, name_map_of
from cfglint.setup.name_map_file import check_name_map
from cfglint.setup.setting import Setup
from cfglint.setup.write_back import grid_of, line_with, word_raw
from cfglint.text.dump import read


def map_of(text: str, pack: Pack) -> NameMap:
    return name_map_of(check_name_map(text.encode(), "map.toml", pack.catalogue), "map.toml")


def setup_of(dump: str, pack: Pack, name_map: NameMap | None = None, full: bool = False) -> Setup:
    chosen = name_map or identity_map()
    return interpret(read(dump.encode(), "x.dump", given=chosen.layout), chosen, pack.catalogue, Beside(full=full))


MAP = """
controller = "test board"
dump = "changes-only"
[layout]
separator = "="
sections = "brackets"
[key."Wing/circle"]
setting = "loiter.radius"
unit = "cm"
off = ["-1"]
default = "6000"
absent = "default"
[key."Wing/speed"]
setting = "cruise.speed"
unit = "0.1 m/s"
[key.lost]
setting = "link_loss.action"
codes = { "0" = "none", "7" = "return" }
default = "0"
[key.lift]
setting = "hover.throttle"
unit = "%"
[key.pulses]
items = [ { setting = "motor.pulse_min" }, {}, { setting = "motor.pulse_max" } ]
[known]
keys = ["lamp_*"]
irrelevant = ["tune"]
[[row]]
lead = "knob"
columns = ["n", "mode", "channel", "from", "to"]
skip = { mode = ["0"] }
member = "mode"
codes = { "4" = "return", "9" = "arm" }
absent = "unset"
[row.cell]
channel = { setting = "switch.{mode}.channel", add = 4 }
from = { setting = "switch.{mode}.from", unit = "25 us", add = 36 }
to = { setting = "switch.{mode}.to", unit = "25 us", add = 36 }
"""
DUMP = """[Wing]
circle = 550
speed = 152
[Rest]
lost = 7
lift = 54
pulses = 1050, 7, 1950
lamp_red = 3
tune = 8
mystery = 1
knob 1 4 3 32 48
knob 2 9 1 24 48
knob 3 0 0 0 0
knob 4 4 3 60 62
"""


def test_units_codes_lists_and_rows(pack: Pack) -> None:
    setup = setup_of(DUMP, pack, map_of(MAP.replace('sections = "brackets"', 'sections = "brackets"\nrows = ["knob"]'), pack))
    value = {id: s.value for id, s in setup.settings.items()}
    assert value["loiter.radius"].low == 5.5
    assert value["cruise.speed"].low == 15.2
    assert value["link_loss.action"].words == {"return"}
    assert value["hover.throttle"].low == 1540
    assert (value["motor.pulse_min"].low, value["motor.pulse_max"].low) == (1050, 1950)
    assert (value["switch.return.channel"].low, value["switch.return.from"].low, value["switch.return.to"].low) == (
        7,
        1700,
        2100,
    )
    assert value["switch.return@2.from"].low == 2400 or value["switch.return@2.from"].presence != SET
    assert value["switch.land.channel"].presence == UNSET
    c = setup.coverage
    assert (c.known_unmodelled, c.irrelevant, c.unrecognised) == (2, 1, 1) and c.lines == len(DUMP.splitlines())


def test_absence_means_what_the_map_says(pack: Pack) -> None:
    setup = setup_of("[Rest]\nlift = 54\n", pack, map_of(MAP, pack))
    assert setup.settings["loiter.radius"].origin == "default" and setup.settings["loiter.radius"].value.low == 60
    assert setup.settings["link_loss.action"].origin == "unseen"
    assert setup.settings["cruise.speed"].origin == "unseen"
    full = setup_of("[Rest]\nlift = 54\n", pack, map_of(MAP, pack), full=True)
    assert full.settings["cruise.speed"].origin == "unset"


def test_off_is_neither_zero_nor_unset(pack: Pack) -> None:
    setup = setup_of("[Wing]\ncircle = -1\n", pack, map_of(MAP, pack))
    assert setup.settings["loiter.radius"].value.presence == OFF
    assert setup_of("fence.radius = 0 m\n", pack).settings["fence.radius"].value.presence == OFF


@pytest.mark.parametrize(("repeated", "low", "high"), [("either", 6, 90), ("last", 90, 90), ("first", 6, 6)])
def test_a_key_written_twice(repeated: str, low: float, high: float, pack: Pack) -> None:
    chosen = identity_map()._replace(repeated=repeated)
    setup = setup_of("loiter.radius = 6 m\nloiter.radius = 90 m\n", pack, chosen)
    value = setup.settings["loiter.radius"].value
    assert (value.low, value.high) == (low, high)
    assert [p.line for p in setup.settings["loiter.radius"].places] == [1, 2]
    assert [p.code for p in setup.problems] == ["written-twice"]


def test_the_same_value_in_another_unit(pack: Pack) -> None:
    for text in ("60 m", "0.06 km", "6000 cm", "60000 mm", "60"):
        assert setup_of(f"loiter.radius = {text}\n", pack).settings["loiter.radius"].value.low == 60


@pytest.mark.parametrize(
    ("id", "text", "words"),
    [
        ("loiter.radius", "9 km", "outside what is possible"),
        ("loiter.radius", "9 s", "is a time"),
        ("loiter.radius", "9 furlongs", "no unit is called"),
        ("loiter.radius", "wide", "is no number"),
        ("loiter.radius", "1, 2", "is a list"),
        ("loiter.radius", "", "there is no value"),
        ("battery.cells", "3.5", "not a whole number"),
        ("link_loss.action", "sing", "is no word"),
        ("gnss.enabled", "perhaps", "is no word"),
        ("site.date", "2026-13-01", "is no day"),
    ],
)
def test_an_impossible_value_says_what_is_wrong(id: str, text: str, words: str, pack: Pack) -> None:
    converted = convert(text, pack.catalogue[id])
    assert converted.value is None and words in converted.wrong and converted.expected


def test_days_become_decimal_years() -> None:
    assert decimal_year(2025, 1, 1) == 2025.0
    assert decimal_year(2024, 12, 31) == pytest.approx(2024 + 365 / 366)
    assert decimal_year(2023, 2, 29) is None


def test_a_value_is_written_back_in_the_dumps_own_syntax(pack: Pack) -> None:
    setup = setup_of(DUMP, pack, map_of(MAP, pack))
    radius = setup.settings["loiter.radius"]
    grid = grid_of(pack.catalogue["loiter.radius"], radius)
    assert grid is not None
    position = grid.nearest(60.0)
    assert grid.raw(position) == "6000" and grid.base(position) == 60.0
    assert line_with(radius, "6000", "") == "circle = 6000"
    assert word_raw(pack.catalogue["link_loss.action"], setup.settings["link_loss.action"], "none") == "0"
    assert word_raw(pack.catalogue["link_loss.action"], setup.settings["link_loss.action"], "land") is None


def test_writing_back_is_the_inverse_of_reading(pack: Pack) -> None:
    for id, text in (
        ("hover.throttle", "1540 us"),
        ("battery.cell_warn", "3.50 V"),
        ("limit.bank", "35 deg"),
        ("loiter.radius", "60"),
    ):
        setting = setup_of(f"{id} = {text}\n", pack).settings[id]
        grid = grid_of(pack.catalogue[id], setting)
        assert grid is not None
        for position in range(grid.lowest, grid.highest + 1, max(1, (grid.highest - grid.lowest) // 50)):
            back = convert(grid.raw(position), pack.catalogue[id]).value
            assert back is not None and (back.low == grid.base(position) or back.presence == OFF)


def test_reading_a_percentage_of_travel(pack: Pack) -> None:
    value = convert("54", pack.catalogue["hover.throttle"], Reading(unit="%")).value
    assert value == Value(SET, 1540.0, 1540.0, frozenset(), True)


def test_airframes() -> None:
    assert kinds_of("flying wing") == kinds_of("flying_wing") == {"flying_wing"}
    assert kinds_of("Multirotor") and kinds_of("zeppelin") is None
    assert phases_of("hybrid", frozenset(("multirotor", "fixed-wing"))) == ("on its rotors", "on its wing")
    assert phases_of("hybrid", frozenset(("multirotor", "hybrid"))) == ("",)
    assert phases_of("hybrid", frozenset(("multirotor",)), hybrids=False) == ()
    assert row_order("tail_sitter", "on its wing") == ("tail_sitter", "hybrid", "fixed-wing", "any")
    assert not applies_in(frozenset(("multirotor", "hybrid")), "hybrid", "on its wing")
    assert applies_in(frozenset(("multirotor", "fixed-wing", "hybrid")), "hybrid", "on its wing")
