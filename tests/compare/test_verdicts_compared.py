"""What becomes of one verdict: every pair of states, and which of them is worse."""

from __future__ import annotations

import itertools

import pytest

from cfglint import compare_dumps, craft_facts
from cfglint.judge.verdict import SEVERITY, TraceRow, Verdict
from cfglint.project.compare_verdicts import change_of
from cfglint.report.comparison_data import VerdictChange

ON = ("something assumed",)
ERROR = Verdict("a/b", "risky", "error", message="bad")
WARNING = Verdict("a/b", "risky", "warning", message="bad")
UNKNOWN_WARNING = Verdict("a/b", "undecided", "warning", message="not known")
CLEAR, UNDECIDED, NOT_APPLICABLE = (
    Verdict("a/b", "clear"),
    Verdict("a/b", "undecided"),
    Verdict("a/b", "not-applicable"),
)


@pytest.mark.parametrize(
    ("old", "new", "change", "worse"),
    [
        (None, ERROR, "appears", True),
        (CLEAR, WARNING, "appears", True),
        (UNDECIDED, WARNING, "appears", True),
        (UNKNOWN_WARNING, WARNING, "appears", True),
        (WARNING, ERROR, "rises", True),
        (WARNING, WARNING._replace(at_least=True), "rises", True),
        (ERROR, WARNING, "falls", False),
        (ERROR, CLEAR, "goes", False),
        (ERROR, NOT_APPLICABLE, "goes", False),
        (ERROR, UNDECIDED, "undecided now", True),
        (ERROR, UNKNOWN_WARNING, "undecided now", True),
        (UNKNOWN_WARNING, UNDECIDED, "undecided now", True),
        (CLEAR, UNDECIDED, "undecided now", True),
        (None, UNDECIDED, "undecided now", True),
        (UNDECIDED, CLEAR, "settled", False),
        (UNDECIDED, NOT_APPLICABLE, "settled", False),
        (CLEAR, CLEAR._replace(rests_on=ON), "weaker", True),
        (CLEAR._replace(rests_on=ON), CLEAR, "firmer", False),
        (WARNING._replace(rests_on=ON), WARNING, "firmer", True),
        (WARNING, WARNING._replace(rests_on=ON), "weaker", False),
        (CLEAR, NOT_APPLICABLE, "applies no more", False),
        (NOT_APPLICABLE, CLEAR, "applies", False),
        (WARNING, WARNING._replace(message="worse"), "moves", False),
        (WARNING, WARNING._replace(trace=(TraceRow("x", "1", "dump"),)), "moves", False),
        (WARNING, WARNING._replace(trace=(TraceRow("x", "1", "dump", decisive=False),)), "", False),
        (None, CLEAR, "", False),
        (CLEAR, None, "", False),
    ],
)
def test_what_became_of_it(old: Verdict | None, new: Verdict | None, change: str, worse: bool) -> None:
    assert change_of(old, new) == (change, worse)


@pytest.mark.parametrize("verdict", [ERROR, WARNING, UNKNOWN_WARNING, CLEAR, UNDECIDED, NOT_APPLICABLE, None])
def test_nothing_becomes_of_the_same(verdict: Verdict | None) -> None:
    assert change_of(verdict, verdict) == ("", False)


def test_no_way_back_is_as_bad_as_the_way_there() -> None:
    states = [ERROR, WARNING, UNKNOWN_WARNING, CLEAR, CLEAR._replace(rests_on=ON), NOT_APPLICABLE]
    for old, new in itertools.permutations(states, 2):
        if SEVERITY.get(old.level, 0) < SEVERITY.get(new.level, 0):
            assert change_of(old, new)[1]
            assert not change_of(new, old)[1] or (new.outcome == "risky" and old.outcome == "undecided")


@pytest.mark.parametrize(("old", "new", "worse"), [(2.0, 3.0, True), (3.0, 2.0, False), (2.0, 2.0, False), (None, 3.0, False)])
def test_a_finding_that_stays_is_worse_when_it_is_further_from_clear(old: float | None, new: float, worse: bool) -> None:
    assert change_of(WARNING, WARNING._replace(message="other"), old, new) == ("moves", worse)


AIR = {"site.elevation": "0 m", "site.temperature": "15 degC"}
WING = craft_facts(
    {"craft.kind": "tailed", "craft.stall_speed": "9 m/s", "site.wind": "5 m/s", "craft.position_fix": "yes", **AIR}
)
BASE = "loiter.radius = 60 m\ncruise.speed = 15 m/s\nlimit.bank = 40 deg\nlink_loss.action = return\ngnss.enabled = on\n"


def changes(old: str, new: str) -> dict[str, VerdictChange]:
    return {c.rule: c for c in compare_dumps(old, new, craft=WING).verdicts}


def test_a_smaller_radius_and_back() -> None:
    there = changes(BASE, BASE.replace("60 m", "12 m"))["wing/loiter-inside-turn-radius"]
    assert (there.change, there.worse, there.was, there.now) == ("appears", True, "clear", "error")
    assert "12 m" in there.message and there.remedy.startswith("loiter.radius = ")
    assert there.place is not None and (there.place.file, there.place.line) == ("new", 1)
    back = changes(BASE.replace("60 m", "12 m"), BASE)["wing/loiter-inside-turn-radius"]
    assert (back.change, back.worse, back.was, back.now) == ("goes", False, "error", "clear")


def test_a_smaller_radius_still_is_further_from_clear() -> None:
    deeper = changes(BASE.replace("60 m", "12 m"), BASE.replace("60 m", "6 m"))["wing/loiter-inside-turn-radius"]
    assert (deeper.change, deeper.worse, deeper.moved) == ("moves", True, "further from clear")
    assert "12 m" in deeper.old_message and "6 m" in deeper.message
    nearer = changes(BASE.replace("60 m", "6 m"), BASE.replace("60 m", "12 m"))["wing/loiter-inside-turn-radius"]
    assert (nearer.change, nearer.worse, nearer.moved) == ("moves", False, "nearer to clear")


@pytest.mark.parametrize("line", range(5))
def test_no_line_can_go_without_being_missed(line: int) -> None:
    """A line that is gone is a changed setting, and what rested on it is worse, never better."""
    lines = BASE.splitlines(keepends=True)
    gone = lines.pop(line).split(" ")[0]
    comparison = compare_dumps(BASE, "".join(lines), craft=WING)
    assert [(c.id, c.new) for c in comparison.settings] == [(gone, "not known")]
    assert comparison.worse > 0 and comparison.better == 0


def test_a_fact_taken_away_hides_no_finding() -> None:
    """A finding that only goes because a fact it read is not stated any more is not gone."""
    gusty = craft_facts({"craft.kind": "tailed", "craft.stall_speed": "9 m/s", "site.wind": "5 m/s", "site.gust": "10 m/s"})
    dump = BASE.replace("15 m/s", "12 m/s") + "limit.lowest_airspeed = 10 m/s\n"
    without = craft_facts({"craft.kind": "tailed", "craft.stall_speed": "9 m/s"})
    comparison = compare_dumps(dump, dump, craft=without, old_craft=gusty)
    went = [c for c in comparison.verdicts if c.now in ("does not apply", "undecided") and c.level in ("warning", "error")]
    assert went and all(c.worse and c.change in ("out of sight", "undecided now") for c in went)
    assert {c.id for c in comparison.settings} == {"site.wind", "site.gust"}


def test_an_impossible_value_is_an_input_problem_that_appears() -> None:
    comparison = compare_dumps(BASE, BASE.replace("60 m", "60 V"), craft=WING)
    problem = next(c for c in comparison.verdicts if c.rule == "dump/impossible-value")
    assert problem.change == "appears" and problem.worse and problem.settings == ("loiter.radius",)


def test_lines_that_no_rule_reads() -> None:
    comparison = compare_dumps(BASE + "paint = red\n", BASE + "paint = blue\nmascot = owl\n", craft=WING)
    assert [tuple(line) for line in comparison.lines] == [("mascot", "", "owl"), ("paint", "red", "blue")]
    assert comparison.settings == () and comparison.worse == 0 and not comparison.is_empty
