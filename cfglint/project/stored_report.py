"""Reports as JSON values and back, so that what was judged once need not be judged again. What comes back is equal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from cfglint.judge.verdict import Change, RemedyFound, TraceRow
from cfglint.project.judging import Judged
from cfglint.report.finding import FileReport, Finding, SwitchedOff, Undecided, WaivedBy
from cfglint.setup.setting import Coverage, Place
from cfglint.text.source import Span


def stored(judged: Judged) -> list[Any]:
    """A judged dump as JSON values: named tuples become lists."""
    return [list(judged.report), [list(moved) for moved in judged.moved]]


def restored(rows: list[Any]) -> Judged:
    """The judged dump of JSON values. Raises ValueError, TypeError, KeyError or IndexError for anything else."""
    report = FileReport(*rows[0])
    report = report._replace(
        layout=_texts(report.layout),
        findings=tuple(_finding(row) for row in report.findings),
        undecided=tuple(_undecided(row) for row in report.undecided),
        coverage=_coverage(report.coverage),
        switched_off=tuple(SwitchedOff(*row) for row in report.switched_off),
        passed=_passed(report.passed),
    )
    return Judged(report, tuple((str(id), str(then), str(now)) for id, then, now in rows[1]))


def _finding(row: Any) -> Finding:
    finding = Finding(*row)
    return finding._replace(
        members=_texts(finding.members),
        settings=_texts(finding.settings),
        trace=tuple(_trace(t) for t in finding.trace),
        remedy=_remedy(finding.remedy),
        rests_on=_texts(finding.rests_on),
        needs=_texts(finding.needs),
        witnesses=_texts(finding.witnesses),
        basis=_texts(finding.basis),
        followers=_texts(finding.followers),
        waived_by=WaivedBy(*finding.waived_by) if finding.waived_by else None,
    )


def _undecided(row: Any) -> Undecided:
    undecided = Undecided(*row)
    return undecided._replace(
        needs=_texts(undecided.needs), witnesses=_texts(undecided.witnesses), rests_on=_texts(undecided.rests_on)
    )


def _trace(row: Any) -> TraceRow:
    trace = TraceRow(*row)
    return trace._replace(places=tuple(_place(place) for place in trace.places))


def _place(row: Any) -> Place:
    place = Place(*row)
    return place._replace(span=Span(*place.span)) if place.span is not None else place


def _remedy(row: Any) -> RemedyFound | None:
    if row is None:
        return None
    remedy = RemedyFound(*row)
    if remedy.change is None:
        return remedy
    change = Change(*remedy.change)
    place = _place(change.place) if change.place is not None else None
    return remedy._replace(change=change._replace(place=place, worse=_texts(change.worse)))


def _coverage(row: Any) -> Coverage:
    coverage = Coverage(*row)
    return coverage._replace(unrecognised_lines=tuple(coverage.unrecognised_lines))


def _passed(rows: Any) -> tuple[Any, ...]:
    if not rows:
        return ()
    from cfglint.report.passed import Passed

    return tuple(Passed(str(rule), str(outcome), _texts(rests_on)) for rule, outcome, rests_on in rows)


def _texts(row: Iterable[Any]) -> tuple[Any, ...]:
    return tuple(row)
