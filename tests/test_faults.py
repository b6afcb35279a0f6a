"""The matrix: every kind of fault put into every craft it fits must be found, and found where it is."""

from __future__ import annotations

import pytest

from cfglint.judge.judge import Judge
from cfglint.setup.convert import convert
from tests.setups.craft import all_craft
from tests.setups.fault import ALL, Fault
from tests.setups.faults import FAULTS
from tests.setups.matrix import CAUGHT, NOT_APPLICABLE, Baseline, Cell, baseline, cell

CRAFT = all_craft()
# What the pack misses: (fault, craft) and why it ought to find it. Each must still be missed, or its entry goes.
KNOWN: dict[tuple[str, str], str] = {
    ("tilt limit in tens of degrees", "tricopter"): (
        "the speed left at 3 degrees is known only as 1.05 to 4.58 m/s; against 4.56 m/s of wind the rule stays undecided, "
        "though the craft hardly ever gets home"
    ),
}
# Rules that no fault names, and a fault beside whose own finding they appear.
BESIDE = {
    "arming/stick-centre-off": "stick ends short of travel",
    "fence/action-needs-a-fix": "positioning switched off",
    "fence/beyond-sight": "a wing's fence on a multirotor",
    "fence/ceiling-from-the-wrong-zero": "heights counted from sea level",
    "fence/ceiling-leaves-no-room": "fence ceiling in feet",
    "fence/no-height-left-between": "a tower of a hundred metres",
    "fence/wing-ceiling-leaves-no-room": "fence ceiling in feet",
    "lift/no-ceiling": "no fence at all",
    "lift/very-strong-for-its-weight": "hover throttle in percent",
    "link-loss/drifts-out-of-the-field": "emergency throttle above hover",
    "link-loss/glides-out-of-the-field": "glide at three quarters of cruise power",
    "link-loss/no-throttle-lands-softly": "emergency throttle above hover",
    "link-loss/threshold-under-valid-pulses": "valid pulses end where the stick does",
    "loop/notch-misses-the-rotors": "notch edges swapped",
    "position/hold-finer-than-the-fix": "any geometry will do",
    "position/swings-past-waypoints": "tilt limit in tens of degrees",
    "return/below-the-transition-height": "return height in hundreds of metres",
    "return/climbs-straight-out-before-turning": "return height in centimetres",
    "return/fence-farther-than-the-charge": "a gale",
    "return/waits-over-home-until-the-pack-is-empty": "nothing at critical",
    "sensors/fixes-too-far-apart": "one fix a second",
    "sensors/least-airspeed-without-a-sensor": "airspeed sensor off in a transition",
    "transition/failed-one-leaves-the-field": "a multirotor's fence on a wing",
    "transition/help-undoes-it": "transition below the stall",
    "transition/return-below-its-least-height": "return height in hundreds of metres",
    "wing/bank-limit-steep": "banks to the stall",
    "wing/loiter-too-tight-in-wind": "a gale",
    "wing/slower-than-the-transition": "a multirotor's return speed on a wing",
    "wing/throttle-cap-starves-the-climb": "cruise throttle beyond its limit",
}
# Texts that are no possible value: they are refused as they are read, so that no rule ever sees them.
IMPOSSIBLE = {
    "battery.cell_warn": "14.0 V",
    "battery.cell_critical": "35 V",
    "return.altitude": "3000 m",
    "hover.throttle": "54 us",
    "motor.idle": "6 us",
    "battery.capacity": "5000 Ah",
    "switch.arm.channel": "40",
    "limit.bank": "400 deg",
    "landing.final_rate": "120 m/s",
}


@pytest.fixture(scope="module")
def clean(judge: Judge) -> tuple[Baseline, ...]:
    return tuple(baseline(judge, craft) for craft in CRAFT)


@pytest.mark.parametrize("fault", FAULTS, ids=[fault.name for fault in FAULTS])
def test_fault_is_caught_in_every_craft(judge: Judge, clean: tuple[Baseline, ...], fault: Fault) -> None:
    row = [cell(judge, one, fault) for one in clean]
    outcomes = {one.craft.id: one.outcome for one in row}
    assert CAUGHT in outcomes.values(), "fits no craft"
    assert [_told(one) for one in row if one.outcome not in (CAUGHT, NOT_APPLICABLE) and not _known(one)] == []
    assert [one.craft.id for one in row if _known(one) and one.outcome == CAUGHT] == [], "no longer missed"


@pytest.mark.parametrize("rule", BESIDE)
def test_rule_that_no_fault_names_is_raised_beside_another(judge: Judge, clean: tuple[Baseline, ...], rule: str) -> None:
    fault = next(fault for fault in FAULTS if fault.name == BESIDE[rule])
    assert any(verdict.rule == rule for one in clean for verdict in cell(judge, one, fault).new)


def test_every_rule_finds_some_fault(judge: Judge) -> None:
    named = {rule for fault in FAULTS for rule in fault.rules}
    assert named | set(BESIDE) == set(judge.pack.rules)


def test_faults_are_told_apart() -> None:
    names = [fault.name for fault in FAULTS]
    assert len(names) == len(set(names))
    assert all(set(fault.families) <= set(ALL) and fault.rules for fault in FAULTS)


@pytest.mark.parametrize("id", IMPOSSIBLE)
def test_an_impossible_value_is_refused(judge: Judge, id: str) -> None:
    converted = convert(IMPOSSIBLE[id], judge.pack.catalogue[id])
    assert converted.value is None
    assert converted.wrong


def _known(one: Cell) -> bool:
    return (one.fault.name, one.craft.id) in KNOWN


def _told(one: Cell) -> str:
    return one.told()
