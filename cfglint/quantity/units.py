"""The table of units: symbol, exponents of (m, kg, s, A, K, deg, us), exact factor, exact offset.

Factors: SI prefixes; the international foot, inch, pound, nautical mile and statute mile; standard gravity 9.80665 m/s^2.
"""

from __future__ import annotations

_PI_NUMERATOR, _PI_DENOMINATOR = 884279719003555, 281474976710656

_LENGTH = (1, 0, 0, 0, 0, 0, 0)
_MASS = (0, 1, 0, 0, 0, 0, 0)
_TIME = (0, 0, 1, 0, 0, 0, 0)
_SPEED = (1, 0, -1, 0, 0, 0, 0)
_ACCELERATION = (1, 0, -2, 0, 0, 0, 0)
_FREQUENCY = (0, 0, -1, 0, 0, 0, 0)
_ANGLE = (0, 0, 0, 0, 0, 1, 0)
_PULSE = (0, 0, 0, 0, 0, 0, 1)
_PLAIN = (0, 0, 0, 0, 0, 0, 0)
_TEMPERATURE = (0, 0, 0, 0, 1, 0, 0)
_CURRENT = (0, 0, 0, 1, 0, 0, 0)
_CHARGE = (0, 0, 1, 1, 0, 0, 0)
_VOLTAGE = (2, 1, -3, -1, 0, 0, 0)
_FORCE = (1, 1, -2, 0, 0, 0, 0)
_ENERGY = (2, 1, -2, 0, 0, 0, 0)
_POWER = (2, 1, -3, 0, 0, 0, 0)
_PRESSURE = (-1, 1, -2, 0, 0, 0, 0)
_FIELD = (0, 1, -2, -1, 0, 0, 0)

Row = tuple[tuple[int, int, int, int, int, int, int], int, int, int, int]

UNITS: dict[str, Row] = {
    "1": (_PLAIN, 1, 1, 0, 1),
    "%": (_PLAIN, 1, 100, 0, 1),
    "m": (_LENGTH, 1, 1, 0, 1),
    "km": (_LENGTH, 1000, 1, 0, 1),
    "dm": (_LENGTH, 1, 10, 0, 1),
    "cm": (_LENGTH, 1, 100, 0, 1),
    "mm": (_LENGTH, 1, 1000, 0, 1),
    "ft": (_LENGTH, 3048, 10000, 0, 1),
    "in": (_LENGTH, 254, 10000, 0, 1),
    "kg": (_MASS, 1, 1, 0, 1),
    "g": (_MASS, 1, 1000, 0, 1),
    "lb": (_MASS, 45359237, 100000000, 0, 1),
    "s": (_TIME, 1, 1, 0, 1),
    "ms": (_TIME, 1, 1000, 0, 1),
    "min": (_TIME, 60, 1, 0, 1),
    "h": (_TIME, 3600, 1, 0, 1),
    "kt": (_SPEED, 1852, 3600, 0, 1),
    "mph": (_SPEED, 1609344, 3600000, 0, 1),
    "gn": (_ACCELERATION, 980665, 100000, 0, 1),
    "Hz": (_FREQUENCY, 1, 1, 0, 1),
    "kHz": (_FREQUENCY, 1000, 1, 0, 1),
    "rpm": (_FREQUENCY, 1, 60, 0, 1),
    "deg": (_ANGLE, 1, 1, 0, 1),
    "rad": (_ANGLE, 180 * _PI_DENOMINATOR, _PI_NUMERATOR, 0, 1),
    "us": (_PULSE, 1, 1, 0, 1),
    "% of travel": (_PULSE, 10, 1, 1000, 1),
    "of travel": (_PULSE, 1000, 1, 1000, 1),
    "% from centre": (_PULSE, 5, 1, 1500, 1),
    "A": (_CURRENT, 1, 1, 0, 1),
    "mA": (_CURRENT, 1, 1000, 0, 1),
    "Ah": (_CHARGE, 3600, 1, 0, 1),
    "mAh": (_CHARGE, 3600, 1000, 0, 1),
    "V": (_VOLTAGE, 1, 1, 0, 1),
    "mV": (_VOLTAGE, 1, 1000, 0, 1),
    "N": (_FORCE, 1, 1, 0, 1),
    "J": (_ENERGY, 1, 1, 0, 1),
    "Wh": (_ENERGY, 3600, 1, 0, 1),
    "W": (_POWER, 1, 1, 0, 1),
    "kW": (_POWER, 1000, 1, 0, 1),
    "Pa": (_PRESSURE, 1, 1, 0, 1),
    "hPa": (_PRESSURE, 100, 1, 0, 1),
    "T": (_FIELD, 1, 1, 0, 1),
    "mT": (_FIELD, 1, 1000, 0, 1),
    "uT": (_FIELD, 1, 1000000, 0, 1),
    "nT": (_FIELD, 1, 1000000000, 0, 1),
    "K": (_TEMPERATURE, 1, 1, 0, 1),
    "degC": (_TEMPERATURE, 1, 1, 27315, 100),
}

AMOUNTS: tuple[tuple[str, str], ...] = (
    ("number", "1"),
    ("length", "m"),
    ("area", "m^2"),
    ("mass", "kg"),
    ("time", "s"),
    ("speed", "m/s"),
    ("acceleration", "m/s^2"),
    ("frequency", "Hz"),
    ("angle", "deg"),
    ("stick pulse", "us"),
    ("current", "A"),
    ("charge", "Ah"),
    ("voltage", "V"),
    ("force", "N"),
    ("energy", "J"),
    ("power", "W"),
    ("pressure", "Pa"),
    ("density", "kg/m^3"),
    ("magnetic field", "uT"),
    ("temperature", "degC"),
    ("speed per voltage", "rpm/V"),
)
