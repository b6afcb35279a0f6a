"""Verdicts: the certain level, what would settle a doubt, assumptions, phases, kinds, families, remedies and folding."""

from __future__ import annotations

from typing import Any

import pytest

from cfglint.judge.environment import Environments
from cfglint.judge.examples import example_setup
from cfglint.judge.judge import Judge
from cfglint.judge.remedy import Remedies
from cfglint.judge.setup_judgement import judge_setup
from cfglint.judge.tell import Teller
from cfglint.judge.verdict import RISKY, UNDECIDED, Verdict
from cfglint.pack.rule import Pack

NO_EXAMPLE: dict[str, Any] = {
    "settings": {},
    "craft": {},
    "site": {},
    "defaults": {},
    "unset": [],
    "proven": [],
    "measured": {},
}


def verdicts(judge: Judge, rule: str, **example: Any) -> list[Verdict]:
    setup = example_setup(judge.pack, {**NO_EXAMPLE, "airframe": "tailed", **example})
    environments = Environments(setup)
    cases = judge.rule_cases(rule, setup, environments)
    return [Teller(setup, environments).verdict(case) for case in cases]


TURN = "wing/loiter-inside-turn-radius"
TIGHT = {
    "loiter.radius": "6 m",
    "cruise.speed": "18 m/s",
    "limit.bank": "40 deg",
    "gnss.enabled": "on",
    "switch.loiter.channel": "6",
}


def test_a_risky_verdict_carries_its_trace(judge: Judge) -> None:
    (verdict,) = verdicts(judge, TURN, settings=TIGHT, craft={"position_fix": "yes"})
    assert verdict.outcome == RISKY and verdict.level == "error"
    rows = {row.name: row for row in verdict.trace}
    assert rows["loiter.radius"].shown == "6 m" and rows["loiter.radius"].places[0].line == 1
    assert any(row.origin == "computed" for row in verdict.trace)
    assert "6 m" in verdict.message


def test_undecided_names_the_fewest_facts(judge: Judge) -> None:
    fewer = {k: v for k, v in TIGHT.items() if k != "cruise.speed"}
    (verdict,) = verdicts(judge, TURN, settings=fewer, craft={"position_fix": "yes"})
    assert verdict.outcome == UNDECIDED and verdict.needs == ("cruise.speed",)
    assert any("risky if" in w for w in verdict.witnesses)


def test_too_tight_whatever_the_bank_limit(judge: Judge) -> None:
    fewer = {k: v for k, v in TIGHT.items() if k != "limit.bank"} | {"loiter.radius": "1 m"}
    (verdict,) = verdicts(
        judge, TURN, settings=fewer, craft={"position_fix": "yes"}, site={"elevation": "0 m", "temperature": "15 degC"}
    )
    assert verdict.outcome == RISKY and not verdict.is_provisional


def test_what_rests_on_an_assumption_says_so(judge: Judge) -> None:
    settings = {
        "return.altitude": "150 m",
        "return.height_rule": "exact",
        "gnss.enabled": "on",
        "altitude.reference": "above_home",
    }
    (without,) = verdicts(judge, "return/above-height-limit", settings=settings, airframe="quadrotor")
    assert without.outcome == RISKY and without.is_provisional
    assert any("120 m" in assumption for assumption in without.rests_on)
    (stated,) = verdicts(
        judge,
        "return/above-height-limit",
        settings=settings,
        airframe="quadrotor",
        site={"height_limit": "120 m"},
        craft={"position_fix": "yes"},
    )
    assert stated.outcome == RISKY and not stated.is_provisional


def test_not_knowing_can_itself_be_the_risk(judge: Judge) -> None:
    (verdict,) = verdicts(judge, "link-loss/no-action", airframe="quadrotor")
    assert verdict.outcome == UNDECIDED and verdict.level in ("warning", "error") and verdict.is_finding


def test_a_hybrid_is_judged_in_both_phases(judge: Judge) -> None:
    phases = {
        v.phase
        for v in verdicts(judge, "return/too-low-to-be-safe", airframe="tail_sitter", settings={"return.altitude": "15 m"})
    }
    assert phases == {"on its rotors", "on its wing"}


def test_an_unknown_kind_is_decided_only_if_all_agree(judge: Judge, pack: Pack) -> None:
    from cfglint.setup.airframe import KINDS

    setup = example_setup(pack, {**NO_EXAMPLE, "airframe": "multirotor", "settings": {"return.altitude": "3 m"}})
    unknown = setup._replace(kinds=KINDS)
    environments = Environments(unknown)
    low = judge.rule_cases("return/too-low-to-be-safe", unknown, environments)
    assert low and all(case.outcome in (RISKY, UNDECIDED) for case in low)


@pytest.mark.parametrize("airframe", ["quadrotor", "tailed", "tilt_rotor"])
def test_an_empty_setup_is_never_quietly_passed(airframe: str, judge: Judge, pack: Pack) -> None:
    setup = example_setup(pack, {**NO_EXAMPLE, "airframe": airframe})
    judgement = judge_setup(judge, setup)
    counts = judgement.counts()
    assert counts["risky"] == 0 and counts["undecided"] > 60
    findings = {v.rule for v in judgement.verdicts if v.is_finding}
    assert {"link-loss/no-action", "link-loss/stays-armed-after-landing"} <= findings


def test_a_remedy_is_searched_in_the_dumps_own_steps(judge: Judge, pack: Pack) -> None:
    setup = example_setup(pack, {**NO_EXAMPLE, "airframe": "tailed", "settings": TIGHT, "craft": {"position_fix": "yes"}})
    environments = Environments(setup)
    cases = judge.cases(setup, environments, "loiter.radius")
    case = next(c for c in cases if c.rule.id == TURN)
    remedy = Remedies(judge, setup, environments, cases).remedy(case)
    assert remedy is not None and remedy.change is not None
    turn = 18**2 / (9.80665 * 0.83910)
    assert float(remedy.change.raw.split()[0]) >= 1.2 * turn
    assert remedy.change.line == f"loiter.radius = {remedy.change.raw}"


def test_one_cause_leads_and_others_are_folded(judge: Judge, pack: Pack) -> None:
    leaders = {rule.id: rule.follows_from for rule in pack.rules.values() if rule.follows_from}
    assert leaders
    setup = example_setup(pack, {**NO_EXAMPLE, "airframe": "quadrotor", "settings": {"link_loss.action": "none"}, "full": True})
    folded = [v for v in judge_setup(judge, setup).verdicts if v.follows]
    assert all(v.follows in leaders[v.rule] for v in folded)
