"""Flight proofs before and after: which cards' proofs went stale, and which edit did it."""

from __future__ import annotations

from cfglint.report.comparison_data import ProofChange
from cfglint.setup.setting import Setup


def proof_changes(old: Setup, new: Setup) -> tuple[ProofChange, ...]:
    """Cards whose proof changed. Settings that were flight-proven and are not any more are told where no card tells them."""
    lost = sorted(old.record.proven - new.record.proven)
    gained = sorted(new.record.proven - old.record.proven)
    changes = [ProofChange(id, "flight-proven", "not proven", worse=True) for id in lost]
    changes += [ProofChange(id, "not proven", "flight-proven") for id in gained]
    return tuple(changes)
