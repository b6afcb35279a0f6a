"""From a pack and a Setup to the whole Judgement: decided, told, with remedies, one cause leading."""

from __future__ import annotations

from cfglint.judge.environment import CERTAIN, Environments
from cfglint.judge.judge import Case, Judge
from cfglint.judge.remedy import Remedies
from cfglint.judge.tell import Teller
from cfglint.judge.verdict import RISKY, Judgement, Verdict
from cfglint.quantity.range import Range, intersection
from cfglint.quantity.truth import TRUE
from cfglint.setup.airframe import KINDS, WHOLE, family_of
from cfglint.setup.setting import Setup


def judge_setup(judge: Judge, setup: Setup) -> Judgement:
    """Every verdict on a setup, in the order of the rules; findings carry their remedy."""
    environments = Environments(setup)
    cases = judge.cases(setup, environments)
    teller = Teller(setup, environments)
    remedies = Remedies(judge, setup, environments, cases)
    verdicts = [_told(case, teller, remedies) for case in cases]
    return Judgement(tuple(_folded(verdicts, judge)), contradictions(judge, setup, environments))


def _told(case: Case, teller: Teller, remedies: Remedies) -> Verdict:
    verdict = teller.verdict(case)
    return verdict._replace(remedy=remedies.remedy(case)) if case.outcome == RISKY else verdict


def _folded(verdicts: list[Verdict], judge: Judge) -> list[Verdict]:
    """One cause, one leading finding: a finding that follows from another present one is marked as its follower."""
    present = {v.rule for v in verdicts if v.is_finding}
    folded = []
    for verdict in verdicts:
        leader = next((r for r in judge.pack.rules[verdict.rule].follows_from if r in present), "")
        folded.append(verdict._replace(follows=leader) if leader and verdict.is_finding else verdict)
    return folded


def contradictions(judge: Judge, setup: Setup, environments: Environments) -> tuple[str, ...]:
    """Shared quantities whose ways to know them exclude each other: the facts contradict."""
    from cfglint.formula.evaluate import Scope, compile_number

    family = family_of(sorted(setup.kinds or KINDS)[0])
    environment = environments.environment(family, WHOLE, CERTAIN)
    found = []
    for name, quantity in judge.pack.quantities.items():
        scope = Scope(judge.pack.quantity_trees, judge.pack.functions, {}, {}, judge.pack.shared)
        known = Range(quantity["tree"][1], quantity["tree"][2])
        for ids, tree in quantity["tree"][3:]:
            if all(environment.values[id].has(1) is TRUE for id in ids):
                met = intersection(known, compile_number(tree, scope)(environment))
                if met is None:
                    found.append(name)
                    break
                known = met
    return tuple(found)
