"""A Setup and its Judgement to the report of one file: findings worst first, followers folded, the undecided listed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, SEVERITY, UNDECIDED, Judgement, Verdict
from cfglint.report.finding import FileReport, Finding, Undecided
from cfglint.setup.airframe import KINDS
from cfglint.setup.setting import Coverage, Setup
from cfglint.text.layout import describe
from cfglint.text.problem import Problem


def file_report(setup: Setup, judgement: Judgement, titles: Mapping[str, str]) -> FileReport:
    """The report of one file. `titles`: the rules' titles by id."""
    name = setup.dump.source.name
    findings = [finding_of(verdict, name) for verdict in judgement.verdicts if verdict.is_finding and not verdict.follows]
    followers = followers_by_leader(judgement.verdicts)
    findings = [f._replace(followers=followers.get(f.rule, ())) for f in findings]
    findings += [problem_finding(problem) for problem in (*setup.facts.problems, *setup.problems)]
    findings += [_contradiction(quantity, setup, name) for quantity in judgement.contradictions]
    vote = setup.dump.vote
    return FileReport(
        name,
        setup.facts.craft_name,
        airframe_words(setup.kinds),
        setup.name_map.file or ("" if not setup.name_map.is_identity else "keys are catalogue ids"),
        tuple(describe(vote)) if vote is not None else (),
        tuple(sorted(findings, key=order)),
        tuple(_undecided(v, titles) for v in judgement.verdicts if v.outcome == UNDECIDED and not v.level),
        judgement.counts(),
        setup.coverage,
        sum(v.outcome in (CLEAR, NOT_APPLICABLE) and v.is_provisional for v in judgement.verdicts),
    )


def refused_report(file: str, problems: Iterable[Problem]) -> FileReport:
    """The report of a file that could not be judged."""
    findings = tuple(problem_finding(problem) for problem in problems)
    return FileReport(file, "", "", "", (), findings, (), {}, Coverage(), 0, True)


def finding_of(verdict: Verdict, file: str) -> Finding:
    """The finding that a verdict is."""
    place = verdict.place
    in_dump = next((p for row in verdict.trace for p in row.places if p.span is not None), place)
    return Finding(
        verdict.rule,
        verdict.level,
        verdict.outcome,
        verdict.message,
        in_dump.file if in_dump else file,
        in_dump.line if in_dump else 0,
        in_dump.column if in_dump else 0,
        in_dump.shown if in_dump else "",
        verdict.phase,
        verdict.members,
        verdict.at_least,
        verdict.settings,
        verdict.trace,
        verdict.remedy,
        verdict.rests_on,
        verdict.needs,
        verdict.witnesses,
        verdict.basis,
    )


def problem_finding(problem: Problem) -> Finding:
    """The finding that a problem of the input is."""
    return Finding(
        f"dump/{problem.code}",
        problem.level,
        "problem",
        problem.message,
        problem.file,
        problem.line,
        problem.column,
        problem.shown,
        settings=(problem.setting,) if problem.setting else (),
        advice=problem.remedy,
    )


def order(finding: Finding) -> tuple[int, bool, str, int, str, tuple[str, ...], str]:
    """Worst first, outright before provisional; then by file, line and rule, so that the order never wavers."""
    severity = -SEVERITY[finding.level]
    return (severity, finding.provisional, finding.file, finding.line, finding.rule, finding.members, finding.message)


def followers_by_leader(verdicts: Iterable[Verdict]) -> dict[str, tuple[str, ...]]:
    """The rules folded under each leading one; a chain is folded under its first."""
    follows = {verdict.rule: verdict.follows for verdict in verdicts if verdict.is_finding and verdict.follows}
    folded: dict[str, dict[str, None]] = {}
    for rule in follows:
        leader, steps = rule, 0
        while leader in follows and steps < len(follows):
            leader, steps = follows[leader], steps + 1
        folded.setdefault(leader, {})[rule] = None
    return {leader: tuple(rules) for leader, rules in folded.items()}


def airframe_words(kinds: frozenset[str]) -> str:
    """The airframe as people say it; several kinds as far as they are known."""
    if not kinds or kinds == KINDS:
        return "airframe not known"
    return " or ".join(kind.replace("_", " ") for kind in sorted(kinds))


def _undecided(verdict: Verdict, titles: Mapping[str, str]) -> Undecided:
    return Undecided(
        verdict.rule,
        titles.get(verdict.rule, verdict.rule),
        verdict.needs,
        verdict.phase,
        verdict.witnesses,
        verdict.rests_on,
    )


def _contradiction(quantity: str, setup: Setup, name: str) -> Finding:
    message = f"the facts contradict each other: they leave no possible {quantity.replace('_', ' ')}"
    advice = "measure again, and correct craft.toml"
    return Finding("facts/contradict", "warning", "problem", message, setup.facts.file or name, advice=advice)
