"""The report as JSON: a versioned envelope whose schema ships beside this file as `report.schema.json`."""

from __future__ import annotations

import json
from typing import Any

from cfglint.judge.verdict import RemedyFound, TraceRow
from cfglint.report.finding import LEVELS, FileReport, Finding, RunReport, Undecided
from cfglint.setup.setting import Place

VERSION = 1


def render_json(run: RunReport) -> str:
    """The whole run as JSON text, the same bytes for the same run."""
    return json.dumps(run_document(run), indent=2, ensure_ascii=True) + "\n"


def run_document(run: RunReport) -> dict[str, Any]:
    """The whole run as plain JSON values."""
    return {
        "format": "cfglint-report",
        "version": VERSION,
        "tool": {"name": "cfglint", "version": run.version},
        "fail_on": run.fail_on,
        "strict": run.strict,
        "status": run.status,
        "today": run.today or None,
        "files": [_file(file) for file in run.files],
    }


def _file(file: FileReport) -> dict[str, Any]:
    coverage = file.coverage
    return {
        "file": file.file,
        "about": file.about,
        "judged": not file.refused,
        "craft": file.craft,
        "airframe": file.airframe,
        "map": file.map,
        "layout": list(file.layout),
        "counts": {
            **{level: file.count(level) for level in LEVELS},
            "clear": file.counts.get("clear", 0),
            "clear_on_assumptions": file.provisional_clear,
            "not_applicable": file.counts.get("not-applicable", 0),
            "undecided": len(file.undecided),
            "waived": len(file.waived),
            "known": len(file.known),
        },
        "switched_off": [{"rule": off.rule, "reason": off.reason} for off in file.switched_off],
        "lines": {
            "understood": coverage.modelled,
            "known_not_judged": coverage.known_unmodelled,
            "irrelevant": coverage.irrelevant,
            "unrecognised": coverage.unrecognised,
            "not_readable": coverage.faults,
            "other": coverage.other,
            "first_not_understood": list(coverage.unrecognised_lines),
        },
        "findings": [_finding(finding) for finding in file.findings],
        "undecided": [_undecided(undecided) for undecided in file.undecided],
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "level": finding.level,
        "at_least": finding.at_least,
        "verdict": finding.verdict,
        "provisional": finding.provisional,
        "message": finding.message,
        "file": finding.file,
        "line": finding.line or None,
        "column": finding.column or None,
        "phase": finding.phase or None,
        "members": list(finding.members),
        "settings": list(finding.settings),
        "trace": [_trace(row) for row in finding.trace],
        "remedy": _remedy(finding.remedy, finding.advice),
        "rests_on": list(finding.rests_on),
        "needs": list(finding.needs),
        "witnesses": list(finding.witnesses),
        "same_cause": list(finding.followers),
        "sources": list(finding.basis),
        "waived_by": finding.waived_by._asdict() if finding.waived_by else None,
        "baseline": finding.baseline or None,
        "baseline_was": finding.baseline_was or None,
        "relevelled": finding.relevelled or None,
    }


def _trace(row: TraceRow) -> dict[str, Any]:
    return {
        "name": row.name,
        "value": row.shown,
        "origin": row.origin,
        "decisive": row.decisive,
        "places": [_place(p) for p in row.places],
    }


def _place(place: Place) -> dict[str, Any]:
    return {"file": place.file, "line": place.line, "column": place.column, "text": place.shown}


def _remedy(remedy: RemedyFound | None, advice: str) -> dict[str, Any] | None:
    if remedy is None:
        return {"setting": None, "advice": advice} if advice else None
    change = remedy.change
    if change is None:
        return {"setting": None, "advice": remedy.say}
    return {
        "setting": change.setting,
        "value": change.shown,
        "raw": change.raw,
        "line_text": change.line,
        "replaces": _place(change.place) if change.place else None,
        "moved_by": change.margin or None,
        "steps": change.steps,
        "makes_worse": list(change.worse),
    }


def _undecided(undecided: Undecided) -> dict[str, Any]:
    return {
        "rule": undecided.rule,
        "title": undecided.title,
        "phase": undecided.phase or None,
        "needs": list(undecided.needs),
        "witnesses": list(undecided.witnesses),
        "rests_on": list(undecided.rests_on),
    }
