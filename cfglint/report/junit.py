"""A run as JUnit XML, valid against junit-10.xsd: one suite a file, one test case a rule. No suite is ever empty.

A test case fails exactly if its findings fail the run; what is not known, waived or below the failing level is skipped with
its reason, so that nothing of it looks like a pass.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from cfglint.judge.verdict import NOT_APPLICABLE
from cfglint.report.context import Context, fails
from cfglint.report.finding import FileReport, Finding, RunReport
from cfglint.report.passed import Passed, passed_in
from cfglint.report.wording import counted, coverage_words, detail_lines, headline, needs_words, place_words, plain
from cfglint.text.visible import visible

PASSES, SKIPPED, FAILURE, ERROR = "", "skipped", "failure", "error"
_MARKUP = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&apos;"})


class Case(NamedTuple):
    """One test case: how it ended, of which kind, in a few words and in full."""

    name: str
    ended: str = PASSES
    type: str = ""
    message: str = ""
    lines: tuple[str, ...] = ()


def render_junit(run: RunReport, context: Context) -> str:
    """The whole run as XML text."""
    suites = [(file.file, list(_cases(file, run)), file) for file in run.files]
    every = [case for _, cases, _ in suites for case in cases]
    lines = ['<?xml version="1.0" encoding="UTF-8"?>']
    if not suites:
        every = [Case("there is something to check", ERROR, "nothing", "nothing was checked")]
    lines.append(f"<testsuites{_attributes(name='cfglint', **_counts(every))}>")
    for name, cases, file in suites:
        lines += _suite(name, cases, coverage_words(file))
    if not suites:
        lines += _suite("cfglint", every, "")
    return "\n".join([*lines, "</testsuites>", ""])


def _cases(file: FileReport, run: RunReport) -> Iterator[Case]:
    """Findings first, then what was folded under them, what was not decided, and what passed; each rule once."""
    if file.refused:
        yield from _refused(file)
        return
    by_rule: dict[str, list[Finding]] = {}
    for finding in file.findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    for rule, findings in by_rule.items():
        yield _found(rule, findings, file, run)
    named = set(by_rule)
    for case in (*_folded(file, run), *_undecided(file, run), *_passed(file)):
        if case.name not in named:
            named.add(case.name)
            yield case


def _refused(file: FileReport) -> Iterator[Case]:
    lines = tuple(line for finding in file.findings for line in _lines(finding))
    first = headline(file.findings[0]) if file.findings else "it could not be judged"
    yield Case("the file can be judged", ERROR, "not-judged", first, lines)


def _found(rule: str, findings: list[Finding], file: FileReport, run: RunReport) -> Case:
    """The case of a rule: its worst finding speaks for it, all are told."""
    failing = [finding for finding in findings if fails(finding, file, run)]
    first = (failing or findings)[0]
    more = f" (and {len(findings) - 1} more)" if len(findings) > 1 else ""
    lines = tuple(line for finding in findings for line in _lines(finding))
    lines += tuple(needs_words(undecided) for undecided in file.undecided if undecided.rule == rule)
    if failing:
        return Case(rule, FAILURE, first.level, headline(first) + more, lines)
    return Case(rule, SKIPPED, first.level, f"{_why_not(first)}: {headline(first)}{more}", lines)


def _why_not(finding: Finding) -> str:
    """Why a finding does not fail the run."""
    if finding.waived_by is not None:
        return plain(f"{finding.level}, waived by {finding.waived_by.owner} ({finding.waived_by.reason})")
    if finding.accepted:
        return f"known {finding.level}"
    return f"{finding.level}, resting on assumptions" if finding.provisional else finding.level


def _folded(file: FileReport, run: RunReport) -> Iterator[Case]:
    """Rules folded under others; one that is folded under several fails if any of these does."""
    ended = {finding: FAILURE if fails(finding, file, run) else SKIPPED for finding in file.findings if finding.followers}
    for finding in sorted(ended, key=lambda finding: ended[finding] != FAILURE):
        for rule in finding.followers:
            yield Case(rule, ended[finding], "same-cause", plain(f"same cause as {finding.rule}"))


def _undecided(file: FileReport, run: RunReport) -> Iterator[Case]:
    """Undecided rules; several phases of one rule are one case."""
    by_rule: dict[str, list[str]] = {}
    for undecided in file.undecided:
        by_rule.setdefault(undecided.rule, []).append(needs_words(undecided))
    for rule, reasons in by_rule.items():
        yield Case(rule, FAILURE if run.strict else SKIPPED, "undecided", reasons[0], tuple(reasons))


def _passed(file: FileReport) -> Iterator[Case]:
    """Every passed rule where the report names them, else how many there are."""
    for off in file.switched_off:
        yield Case(off.rule, SKIPPED, "switched-off", plain(f"switched off: {off.reason}"))
    if file.about != "setup":
        yield Case("the files that say what is checked are read")
        return
    passed = passed_in(file)
    if passed:
        yield from map(_passed_case, passed)
        return
    clear, other = file.counts.get("clear", 0), file.counts.get("not-applicable", 0)
    assumed = min(file.provisional_clear, clear + other)
    said = f" ({assumed} of these resting on assumptions)" if assumed else ""
    yield Case(f"{counted(clear, 'verdict')} clear, {other} not applicable{said}")


def _passed_case(passed: Passed) -> Case:
    if passed.rests_on:
        return Case(passed.rule, SKIPPED, "assumed", plain(f"clear only if {'; '.join(passed.rests_on)}"))
    if passed.outcome == NOT_APPLICABLE:
        return Case(passed.rule, SKIPPED, "not-applicable", "does not apply to this craft")
    return Case(passed.rule)


def _lines(finding: Finding) -> list[str]:
    return [
        f"{place_words(finding)}: {finding.level}: {headline(finding)}",
        *("  " + line for line in detail_lines(finding)),
    ]


def _suite(name: str, cases: list[Case], said: str) -> Iterator[str]:
    skipped = sum(case.ended == SKIPPED for case in cases)
    yield f"  <testsuite{_attributes(name=name or 'cfglint', **_counts(cases), skipped=str(skipped))}>"
    for case in cases:
        yield from _case(case, name)
    if said:
        yield f"    <system-out>{_text(said)}</system-out>"
    yield "  </testsuite>"


def _counts(cases: Iterable[Case]) -> dict[str, str]:
    ended = [case.ended for case in cases]
    return {"tests": str(len(ended)), "failures": str(ended.count(FAILURE)), "errors": str(ended.count(ERROR))}


def _case(case: Case, suite: str) -> Iterator[str]:
    head = f"    <testcase{_attributes(name=case.name, classname=suite or 'cfglint')}"
    if not case.ended:
        yield head + "/>"
        return
    yield head + ">"
    body = "\n".join(_text(line) for line in case.lines)
    yield f"      <{case.ended}{_attributes(type=case.type, message=case.message)}>{body}</{case.ended}>"
    yield "    </testcase>"


def _attributes(**attributes: str) -> str:
    return "".join(f' {name}="{_text(value)}"' for name, value in attributes.items())


def _text(text: str) -> str:
    """A text for XML 1.0, which has no escape for most control characters: they are made visible."""
    return visible(text).translate(_MARKUP)
