"""Flight proofs before and after: which cards' proofs went stale, and which edit did it."""

from __future__ import annotations

from collections.abc import Iterator

from cfglint.flights.proofs import FLOWN, OPEN, Status
from cfglint.project.compare_verdicts import Judged
from cfglint.report.comparison_data import ProofChange
from cfglint.setup.setting import Setup


def proof_changes(old: Judged, new: Judged) -> tuple[ProofChange, ...]:
    """Every test card that stands elsewhere than before, lost proofs first; and, where no card tells it, every setting."""
    changes = list(_cards(old, new))
    if not old.statuses and not new.statuses:
        changes = list(_settings(old.setup, new.setup))
    return tuple(sorted(changes, key=lambda change: not change.worse))


def _cards(old: Judged, new: Judged) -> Iterator[ProofChange]:
    for id in dict.fromkeys((*new.statuses, *old.statuses)):
        was, now = _state(old.statuses.get(id)), _state(new.statuses.get(id))
        if was != now:
            yield ProofChange(id, was, now, _because(new.statuses.get(id)), worse=was == FLOWN)


def _state(status: Status | None) -> str:
    return status.state if status is not None else OPEN


def _because(status: Status | None) -> tuple[str, ...]:
    if status is None:
        return ()
    edits = [f"{change.id}: {change.was or 'not recorded'} \u2192 {change.now or 'not known'}" for change in status.changes]
    below = [card.partition(",")[0] for card in status.because]
    return (*edits, *([f"it rests on {', '.join(below)}"] if below else []))


def _settings(old: Setup, new: Setup) -> Iterator[ProofChange]:
    for id in sorted(old.record.proven - new.record.proven):
        yield ProofChange(id, "flight-proven", "not proven", worse=True)
    for id in sorted(new.record.proven - old.record.proven):
        yield ProofChange(id, "not proven", "flight-proven")
