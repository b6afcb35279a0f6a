"""A run as SARIF 2.1.0, the static-analysis interchange format of OASIS.

Two profiles. The full one says everything: `kind` is fail for a finding (also where not knowing is the finding), open for a
rule that could not be decided, pass and notApplicable where the report names those rules. The one of failures is for
viewers that know nothing else: what is waived, open or passed is left out, and a note for each file says how many rules were
not judged, so that their silence is no clearance.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from cfglint.report.context import Context
from cfglint.report.finding import LEVELS, FileReport, RunReport
from cfglint.report.fingerprint import fingerprints
from cfglint.report.passed import passed_in
from cfglint.report.sarif_place import artifact, location
from cfglint.report.sarif_result import finding_result, message, passed_result, undecided_result, unjudged_result
from cfglint.report.sarif_rule import descriptor
from cfglint.report.wording import counted, coverage_words, plain

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
MOST_RESULTS = 25_000
_COVERAGE, _REFUSED, _LEFT_OUT = "coverage", "not-judged", "left-out"
_NOTIFICATIONS = {
    _COVERAGE: "How many lines of a file were understood.",
    _REFUSED: "A file that could not be judged.",
    _LEFT_OUT: "Results that did not fit.",
}


def render_sarif(run: RunReport, context: Context) -> str:
    """The whole run, for archives and for viewers that know every kind of result."""
    return _text(run, context, only_failures=False)


def render_sarif_failures(run: RunReport, context: Context) -> str:
    """What is wrong and not waived, for viewers that take every result for a failure; at most 25,000 results."""
    return _text(run, context, only_failures=True)


def _text(run: RunReport, context: Context, only_failures: bool) -> str:
    results = [result for file in run.files for result in _results(file, context, only_failures)]
    left_out = 0
    if only_failures and len(results) > MOST_RESULTS:
        left_out = len(results) - MOST_RESULTS
        results = sorted(results, key=lambda result: LEVELS.index(result["level"]))[:MOST_RESULTS]
    rules = _numbered(results)
    document = {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [_run(run, context, [descriptor(id, context) for id in rules], results, left_out)],
    }
    return json.dumps(document, ensure_ascii=True, separators=(",", ":")) + "\n"


def _run(run: RunReport, context: Context, rules: list[Any], results: list[Any], left_out: int) -> dict[str, Any]:
    notifications = [note for file in run.files for note in _notifications(file, context)]
    if left_out:
        text = f"{counted(left_out, 'result')} left out, the least severe ones, because a viewer takes at most {MOST_RESULTS}"
        notifications.append({"descriptor": {"id": _LEFT_OUT}, "level": "warning", "message": message(text)})
    descriptors = [_told(id, text) for id, text in _NOTIFICATIONS.items()]
    driver = {"name": "cfglint", "version": run.version, "semanticVersion": run.version, "rules": rules}
    return {
        "tool": {"driver": {**driver, "notifications": descriptors}},
        "invocations": [
            {
                "executionSuccessful": run.status != 2,
                "exitCode": run.status,
                "toolExecutionNotifications": notifications,
            }
        ],
        "artifacts": [_artifact(file, context) for file in run.files],
        "columnKind": "unicodeCodePoints",
        "results": results,
        "properties": {"failOn": run.fail_on, "strict": run.strict, "waiversJudgedOn": run.today},
    }


def _told(id: str, text: str) -> dict[str, Any]:
    said = {"text": text}
    return {"id": id, "shortDescription": said, "fullDescription": said, "help": {**said, "markdown": text}}


def _results(file: FileReport, context: Context, only_failures: bool) -> Iterator[dict[str, Any]]:
    numbers = fingerprints(file.findings)
    for finding, number in zip(file.findings, numbers, strict=True):
        if not (only_failures and finding.waived_by):
            yield finding_result(finding, number, context, only_failures)
    if only_failures:
        if file.undecided:
            yield unjudged_result(file, _most_wanted(file), context)
        return
    for undecided in file.undecided:
        yield undecided_result(undecided, file, context)
    for passed in passed_in(file):
        yield passed_result(passed, file, context)


def _most_wanted(file: FileReport) -> list[str]:
    facts = Counter(need for undecided in file.undecided for need in undecided.needs)
    return sorted(facts, key=lambda fact: (-facts[fact], fact))[:6]


def _numbered(results: list[dict[str, Any]]) -> list[str]:
    """The rules that the results name, sorted; every result is told its rule's number."""
    ids = sorted({result["ruleId"] for result in results})
    number = {id: place for place, id in enumerate(ids)}
    for result in results:
        result["ruleIndex"] = number[result["ruleId"]]
    return ids


def _artifact(file: FileReport, context: Context) -> dict[str, Any]:
    counts: Mapping[str, int] = {
        **{level: file.count(level) for level in LEVELS},
        "clear": file.counts.get("clear", 0),
        "clearOnAssumptions": file.provisional_clear,
        "notApplicable": file.counts.get("not-applicable", 0),
        "undecided": len(file.undecided),
    }
    off = [{"rule": plain(switched.rule), "reason": plain(switched.reason)} for switched in file.switched_off]
    properties = {
        "craft": plain(file.craft),
        "airframe": plain(file.airframe),
        "judged": not file.refused,
        "counts": counts,
        "switchedOff": off,
    }
    return {"location": artifact(file.file, context), "roles": ["analysisTarget"], "properties": properties}


def _notifications(file: FileReport, context: Context) -> Iterator[dict[str, Any]]:
    places = [location(file.file, context)]
    said = coverage_words(file)
    if said:
        yield {"descriptor": {"id": _COVERAGE}, "level": "note", "message": message(said), "locations": places}
    for finding in file.findings if file.refused else ():
        yield {
            "descriptor": {"id": _REFUSED},
            "level": "error",
            "message": message(finding.message),
            "locations": [location(finding.file, context, finding.line, finding.column)],
        }
