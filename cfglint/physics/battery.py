"""Charge that a flight takes from the pack."""

from __future__ import annotations

from cfglint.physics.declare import physics
from cfglint.physics.limits import product


@physics("current A 0.., time s 0.. -> Ah 0..", growth="+ +", source="computed")
def charge_used(current: float, time: float) -> float:
    """Charge a current takes in a time, Ah: I t / 3600, current in A, time in s.

    Source: computed, by definition.
    """
    return product(current, time) / 3600.0
