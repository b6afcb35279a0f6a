"""JUnit XML: valid against the schema; a test case fails exactly if the run fails by it; no suite is empty."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from typing import Any

import pytest

from cfglint.report.junit import render_junit
from tests.formats.material import CRAFT, RUNS, context, example, hostile, run_of
from tests.formats.outside import junit_schema


def tree(run: Any) -> ElementTree.Element:
    return ElementTree.fromstring(render_junit(run, context()).encode("utf-8"))


@pytest.mark.parametrize("name", sorted(RUNS))
def test_it_is_valid_against_the_schema(name: str) -> None:
    schema = junit_schema()
    xmlschema = pytest.importorskip("xmlschema", reason="xmlschema validates: pip install xmlschema")
    xmlschema.XMLSchema(schema).validate(render_junit(RUNS[name](), context()))


@pytest.mark.parametrize("name", sorted(RUNS))
def test_no_suite_is_empty_and_the_counts_are_right(name: str) -> None:
    suites = tree(RUNS[name]()).findall("testsuite")
    assert suites
    for suite in suites:
        cases = suite.findall("testcase")
        assert cases
        assert int(suite.get("tests", "")) == len(cases)
        for attribute, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
            assert int(suite.get(attribute, "")) == sum(case.find(tag) is not None for case in cases)


@pytest.mark.parametrize("name", sorted(RUNS))
def test_there_is_a_failure_exactly_if_the_run_fails(name: str) -> None:
    run = RUNS[name]()
    root = tree(run)
    bad = int(root.get("failures", "")) + int(root.get("errors", ""))
    assert (bad > 0) == (run.status > 0)


@pytest.mark.parametrize("fail_on", ["error", "warning", "note"])
@pytest.mark.parametrize("craft", sorted(CRAFT))
def test_each_rule_is_one_case_and_what_fails_fails_the_run(craft: str, fail_on: str) -> None:
    file = example(craft)
    run = run_of(file, fail_on=fail_on)
    cases = {case.get("name", ""): case for case in tree(run).iter("testcase")}
    for finding in file.findings:
        alone = run._replace(files=(file._replace(findings=tuple(f for f in file.findings if f.rule == finding.rule)),))
        assert (cases[finding.rule].find("failure") is not None) == (alone.status == 1)
        for follower in finding.followers:
            assert len(cases[follower]) == 1
    found = {finding.rule for finding in file.findings}
    for undecided in file.undecided:
        case = cases[undecided.rule]
        assert "not judged" in "".join(case.itertext())
        assert undecided.rule in found or case.find("skipped") is not None


def test_what_is_not_known_fails_a_strict_run() -> None:
    cases = {case.get("name", ""): case for case in tree(run_of(example("thimble"), strict=True)).iter("testcase")}
    assert all(cases[undecided.rule].find("failure") is not None for undecided in example("thimble").undecided)


def test_what_is_waived_or_known_is_skipped_with_its_reason() -> None:
    file = hostile()
    cases = list(tree(run_of(file)).iter("testcase"))
    for number, word in ((0, "waived by"), (1, "known warning")):
        skipped = next(case for case in cases if case.get("name") == file.findings[number].rule).find("skipped")
        assert skipped is not None and word in skipped.get("message", "")


def test_what_is_folded_under_a_waived_and_a_failing_finding_fails() -> None:
    file = example("sickle")
    leader = next(finding for finding in file.findings if finding.followers)
    waived = leader._replace(waived_by=hostile().findings[0].waived_by, members=("other",))
    for findings in ((waived, leader), (leader, waived)):
        cases = {case.get("name", ""): case for case in tree(run_of(file._replace(findings=findings))).iter("testcase")}
        assert all(cases[rule].find("failure") is not None for rule in leader.followers)
