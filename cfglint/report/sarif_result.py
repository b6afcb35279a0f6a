"""One finding, or one rule that was not decided or passed, as a SARIF result."""

from __future__ import annotations

from typing import Any

from cfglint.judge.verdict import NOT_APPLICABLE
from cfglint.report.context import Context
from cfglint.report.finding import KNOWN, NEW, WORSE, FileReport, Finding, Undecided, WaivedBy
from cfglint.report.fingerprint import digest
from cfglint.report.passed import Passed
from cfglint.report.sarif_place import address, artifact, location, place_end, place_location, region
from cfglint.report.wording import arithmetic_words, counted, headline, needs_words, plain, remedy_words
from cfglint.setup.setting import Place

UNJUDGED = "run/not-judged"
MOST_PLACES = 100
_BASELINE = {NEW: "new", KNOWN: "unchanged", WORSE: "updated"}
_BRACES = str.maketrans({"{": "(", "}": ")"})


def rule_id(rule: str) -> str:
    """A rule's id as it may stand in a result."""
    return plain(rule)


def message(text: str) -> dict[str, str]:
    """A message. Braces would be placeholders in one, and `[…](…)` a link: neither begins in a text of ours."""
    safe = plain(text).translate(_BRACES).replace("](", "] (")
    return {"text": safe if safe.endswith((".", "\u2026")) else safe + "."}


def finding_result(finding: Finding, number: str, context: Context, only_failures: bool) -> dict[str, Any]:
    """A finding: kind fail at its level, with every place that takes part, what would put it right, and its fingerprint."""
    result: dict[str, Any] = {
        "ruleId": rule_id(finding.rule),
        "ruleIndex": -1,
        "kind": "fail",
        "level": finding.level,
        "message": _told(finding),
        "locations": [_first_location(finding, context, only_failures)],
        "partialFingerprints": _partial(number, only_failures),
        "fingerprints": {"cfglintFindingInFile/v1": digest([address(finding.file, context), number])},
    }
    places = _other_places(finding)
    if places:
        result["relatedLocations"] = [
            {"id": id, **place_location(place, context), "message": message(said)}
            for id, (place, said) in enumerate(places[:MOST_PLACES], 1)
        ]
    fix = _fix(finding, context)
    if fix:
        result["fixes"] = [fix]
    return {**result, **_states(finding, context), "properties": _properties(finding, len(places))}


def undecided_result(undecided: Undecided, file: FileReport, context: Context) -> dict[str, Any]:
    """A rule that could not be decided: kind open, and what would settle it."""
    number = digest([undecided.rule, "undecided", undecided.phase])
    properties = {
        "needs": _plain(undecided.needs),
        "witnesses": _plain(undecided.witnesses),
        "restsOn": _plain(undecided.rests_on),
    }
    return {
        **_without_level(undecided.rule, "open", f"{undecided.title}: {needs_words(undecided)}", file, context),
        "partialFingerprints": {"cfglintFinding/v1": number},
        "properties": {"verdict": "undecided", "phase": plain(undecided.phase), **properties},
    }


def passed_result(passed: Passed, file: FileReport, context: Context) -> dict[str, Any]:
    """A rule that is clear or does not apply; one that is clear by assumption only wants a person's review."""
    if passed.rests_on:
        result = _without_level(passed.rule, "review", f"clear only if {'; '.join(passed.rests_on)}", file, context)
        return {**result, "properties": {"restsOn": _plain(passed.rests_on)}}
    if passed.outcome == NOT_APPLICABLE:
        return _without_level(passed.rule, "notApplicable", "does not apply to this craft", file, context)
    return _without_level(passed.rule, "pass", "clear", file, context)


def unjudged_result(file: FileReport, wanted: list[str], context: Context) -> dict[str, Any]:
    """For viewers without open results: how many rules of a file were not judged, and which facts they wait for."""
    needs = f"; most wanted: {', '.join(wanted)}" if wanted else ""
    return {
        "ruleId": UNJUDGED,
        "ruleIndex": -1,
        "kind": "fail",
        "level": "note",
        "message": message(f"{counted(len(file.undecided), 'rule')} not judged{needs}"),
        "locations": [location(file.file, context, 1, 1)],
        "partialFingerprints": _partial(digest([UNJUDGED]), True),
    }


def _without_level(rule: str, kind: str, text: str, file: FileReport, context: Context) -> dict[str, Any]:
    return {
        "ruleId": rule_id(rule),
        "ruleIndex": -1,
        "kind": kind,
        "level": "none",
        "message": message(text),
        "locations": [location(file.file, context)],
    }


def _partial(number: str, only_failures: bool) -> dict[str, str]:
    """The second name is the one by which viewers of failures follow a result; they would count lines themselves without it."""
    return {"cfglintFinding/v1": number, **({"primaryLocationLineHash": f"{number}:1"} if only_failures else {})}


def _told(finding: Finding) -> dict[str, str]:
    rows = [
        ("worked out", arithmetic_words(finding)),
        ("remedy", remedy_words(finding)),
        ("rests on", "; ".join(finding.rests_on)),
        ("settled by", ", ".join(finding.needs)),
        ("same cause", ", ".join(finding.followers)),
    ]
    told = [headline(finding), *(f"{name}: {text}" for name, text in rows if text)]
    return {"text": " ".join(message(text)["text"] for text in told)}


def _first_location(finding: Finding, context: Context, only_failures: bool) -> dict[str, Any]:
    """The line it is reported at; viewers of failures want a line for everything, so the first for what has none."""
    places = (place for row in finding.trace for place in row.places)
    at = next((p for p in places if (p.file, p.line, p.column) == (finding.file, finding.line, finding.column)), None)
    line = finding.line or (1 if only_failures else 0)
    return location(finding.file, context, line, finding.column, place_end(at) if at else 0)


def _other_places(finding: Finding) -> list[tuple[Place, str]]:
    """Every other place that takes part, with what is read there; each once."""
    own = (finding.file, finding.line, finding.column)
    found: dict[tuple[str, int, int], tuple[Place, str]] = {}
    for row in finding.trace:
        for place in row.places:
            key = (place.file, place.line, place.column)
            if key != own and place.line:
                found.setdefault(key, (place, f"{row.name} = {row.shown} ({row.origin})"))
    return list(found.values())


def _fix(finding: Finding, context: Context) -> dict[str, Any] | None:
    """The replacement of the value alone; none where it would make another rule worse, or no line holds the value."""
    change = finding.remedy.change if finding.remedy else None
    if change is None or change.worse or change.place is None or change.place.span is None:
        return None
    place = change.place
    replacement = {
        "deletedRegion": region(place.line, place.column, place_end(place)),
        "insertedContent": {"text": change.raw},
    }
    return {
        "description": message(f"{change.setting} = {change.shown}"),
        "artifactChanges": [{"artifactLocation": artifact(place.file, context), "replacements": [replacement]}],
    }


def _states(finding: Finding, context: Context) -> dict[str, Any]:
    """Who waived it, and how it stands to the list of known findings; nothing where neither was asked."""
    states: dict[str, Any] = {}
    if finding.waived_by is not None:
        states["suppressions"] = [_suppression(finding.waived_by, context)]
    if finding.baseline in _BASELINE:
        states["baselineState"] = _BASELINE[finding.baseline]
    return states


def _suppression(waiver: WaivedBy, context: Context) -> dict[str, Any]:
    """A waiver; owner and last day have no field of their own."""
    return {
        "kind": "external",
        "status": "accepted",
        "justification": plain(waiver.reason),
        "location": location(waiver.file, context, waiver.line, waiver.column),
        "properties": {"owner": plain(waiver.owner), "until": plain(waiver.until)},
    }


def _plain(texts: tuple[str, ...]) -> list[str]:
    return [plain(text) for text in texts]


def _properties(finding: Finding, places: int) -> dict[str, Any]:
    left_out = {"placesLeftOut": places - MOST_PLACES} if places > MOST_PLACES else {}
    return {
        "verdict": finding.verdict,
        "provisional": finding.provisional,
        "atLeast": finding.at_least,
        "phase": plain(finding.phase),
        "members": _plain(finding.members),
        "settings": _plain(finding.settings),
        "read": [f"{plain(row.name)} = {plain(row.shown)} ({row.origin})" for row in finding.trace],
        "restsOn": _plain(finding.rests_on),
        "needs": _plain(finding.needs),
        "witnesses": _plain(finding.witnesses),
        "sameCause": _plain(finding.followers),
        "sources": _plain(finding.basis),
        "baselineWas": plain(finding.baseline_was),
        "relevelled": plain(finding.relevelled),
        **left_out,
    }
