"""Levels that the configuration gives to rules, and what is wrong with such wishes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cfglint.judge.verdict import SEVERITY
from cfglint.pack.rule import LEVELS, Pack
from cfglint.project.configuration import Adjustment
from cfglint.project.task import expanded_rules
from cfglint.report.assemble import order
from cfglint.report.finding import FileReport, Finding
from cfglint.text.nearest import nearest
from cfglint.text.problem import Problem


def relevelled(report: FileReport, levels: Mapping[str, Adjustment]) -> FileReport:
    """A report with the levels of the configuration; each such finding says why its level is another."""
    if not levels:
        return report
    findings = [_at_level(finding, levels.get(finding.rule)) for finding in report.findings]
    return report._replace(findings=tuple(sorted(findings, key=order)))


def adjustment_problems(adjustments: Iterable[Adjustment], pack: Pack) -> list[Problem]:
    """Rules that nobody knows, and rules that may be neither switched off nor made less of."""
    problems = []
    for adjustment in adjustments:
        rules = expanded_rules(adjustment.rule, pack.rules)
        stubborn = [rule for rule in rules if not pack.rules[rule].waivable and adjustment.level != LEVELS[-1]]
        if not rules:
            problems.append(_unknown(adjustment, pack))
        elif stubborn:
            message = f"{stubborn[0]} refuses to be switched off or made less of"
            problems.append(_problem(adjustment, message, "delete this table, or name other rules"))
    return problems


def _at_level(finding: Finding, adjustment: Adjustment | None) -> Finding:
    if adjustment is None or adjustment.level == "off" or adjustment.level == finding.level:
        return finding
    lower = "lowered" if SEVERITY[adjustment.level] < SEVERITY[finding.level] else "raised"
    why = f"{lower} from {finding.level}: {adjustment.reason}"
    return finding._replace(level=adjustment.level, relevelled=why)


def _unknown(adjustment: Adjustment, pack: Pack) -> Problem:
    topics = sorted({rule.partition("/")[0] + "/*" for rule in pack.rules})
    near = nearest(adjustment.rule, topics if adjustment.rule.endswith("/*") else pack.rules)
    remedy = f"did you mean '{near}'?" if near else "the rules are listed by: cfglint rules"
    return _problem(adjustment, f"no rule is called '{adjustment.rule}'", remedy)


def _problem(adjustment: Adjustment, message: str, remedy: str) -> Problem:
    at = adjustment.at
    return Problem("error", "unusable-file", message, at.file, at.line, at.column, at.shown, remedy)
