"""A comparison as JSON: a versioned envelope whose schema ships beside this file as `comparison.schema.json`."""

from __future__ import annotations

import json
from typing import Any

from cfglint.report.comparison_data import (
    Comparison,
    CraftComparison,
    LineChange,
    ProofChange,
    SettingChange,
    VerdictChange,
    worst_first,
)
from cfglint.setup.setting import Place
from cfglint.text.problem import Problem

VERSION = 1


def render_comparison_json(comparison: Comparison) -> str:
    """The comparison as JSON text, the same bytes for the same comparison."""
    return json.dumps(comparison_document(comparison), indent=2, ensure_ascii=True) + "\n"


def comparison_document(comparison: Comparison) -> dict[str, Any]:
    """The comparison as plain JSON values, worst craft first."""
    return {
        "format": "cfglint-comparison",
        "version": VERSION,
        "tool": {"name": "cfglint", "version": comparison.version},
        "old": comparison.old,
        "new": comparison.new,
        "status": comparison.status,
        "worse": comparison.worse,
        "unchanged": comparison.unchanged,
        "craft": [craft_document(craft) for craft in worst_first(comparison)],
    }


def craft_document(craft: CraftComparison) -> dict[str, Any]:
    """One craft as plain JSON values."""
    return {
        "craft": craft.craft,
        "old_file": craft.old_file or None,
        "new_file": craft.new_file or None,
        "status": craft.status,
        "worse": craft.worse,
        "better": craft.better,
        "standing_findings": craft.standing,
        "settings": [_setting(change) for change in craft.settings],
        "verdicts": [_verdict(change) for change in craft.verdicts],
        "unread_lines": [_line(change) for change in craft.lines],
        "proofs": [_proof(change) for change in craft.proofs],
        "problems": [_problem(problem) for problem in craft.problems],
    }


def _setting(change: SettingChange) -> dict[str, Any]:
    return {
        "setting": change.id,
        "old": change.old,
        "new": change.new,
        "relative": change.relative or None,
        "old_origin": change.old_origin,
        "new_origin": change.new_origin,
        "old_place": _place(change.old_place),
        "new_place": _place(change.new_place),
        "matters": change.matters,
        "same_value": change.same_value,
    }


def _verdict(change: VerdictChange) -> dict[str, Any]:
    return {
        "rule": change.rule,
        "title": change.title,
        "change": change.change,
        "worse": change.worse,
        "was": change.was,
        "now": change.now,
        "level": change.level or None,
        "phase": change.phase or None,
        "members": list(change.members),
        "message": change.message or None,
        "old_message": change.old_message or None,
        "moved": change.moved or None,
        "settings": list(change.settings),
        "needs": list(change.needs),
        "rests_on": list(change.rests_on),
        "place": _place(change.place),
        "remedy": change.remedy or None,
    }


def _line(change: LineChange) -> dict[str, Any]:
    return {"key": change.key, "old": change.old or None, "new": change.new or None}


def _proof(change: ProofChange) -> dict[str, Any]:
    return {
        "card": change.card,
        "was": change.was,
        "now": change.now,
        "because": list(change.because),
        "worse": change.worse,
    }


def _place(place: Place | None) -> dict[str, Any] | None:
    return None if place is None else {"file": place.file, "line": place.line, "column": place.column, "text": place.shown}


def _problem(problem: Problem) -> dict[str, Any]:
    return {
        "message": problem.message,
        "file": problem.file,
        "line": problem.line or None,
        "column": problem.column or None,
        "remedy": problem.remedy or None,
    }
