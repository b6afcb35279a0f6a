"""What rules compute with: pure functions on floats, with their units, sources and directions of growth.

`DECLARATIONS` names them all. SI units, except degrees for angles, microseconds for stick pulses, and what a
declaration names (Ah, uT, degC). Beyond an end of its domain an argument counts as that end.
"""

from __future__ import annotations

from cfglint.physics import (
    atmosphere,
    battery,
    climb,
    contingency,
    descent,
    earth_field,
    filters,
    gnss,
    hover,
    magnetics,
    propeller,
    rotor,
    sight,
    stall,
    turn,
    wind,
)
from cfglint.physics.declare import DECLARED, Declaration, NoValue, Parameter

DECLARATIONS: dict[str, Declaration] = DECLARED

__all__ = [
    "DECLARATIONS",
    "Declaration",
    "NoValue",
    "Parameter",
    "atmosphere",
    "battery",
    "climb",
    "contingency",
    "descent",
    "earth_field",
    "filters",
    "gnss",
    "hover",
    "magnetics",
    "propeller",
    "rotor",
    "sight",
    "stall",
    "turn",
    "wind",
]
