"""The standard atmosphere up to 11 km, and the density at a site with its own temperature."""

from __future__ import annotations

import math

from cfglint.physics.declare import physics
from cfglint.physics.limits import STANDARD_GRAVITY, ratio

_SEA_LEVEL_TEMPERATURE = 288.15
_SEA_LEVEL_PRESSURE = 101325.0
_SEA_LEVEL_DENSITY = 1.225
_LAPSE = 0.0065
_GAS_CONSTANT = 287.05287
_EARTH_RADIUS = 6356766.0
_FREEZING_POINT = 273.15


@physics("elevation m -1000..11000 -> Pa 0..", growth="-", source="ISA-1")
def pressure_at(elevation: float) -> float:
    """Pressure of the standard atmosphere, Pa, at a geometric height above sea level in m. Source: ISA-1.

    p0 (1 - L H / T0)^(g / (R L)), H = r h / (r + h) the geopotential height.
    """
    geopotential = _EARTH_RADIUS * elevation / (_EARTH_RADIUS + elevation)
    share = 1.0 - _LAPSE * geopotential / _SEA_LEVEL_TEMPERATURE
    return _SEA_LEVEL_PRESSURE * math.pow(share, STANDARD_GRAVITY / (_GAS_CONSTANT * _LAPSE))


@physics("elevation m -1000..11000, temperature degC -100..100 -> kg/m^3 0..", growth="- -", source="ISA-5")
def density_at(elevation: float, temperature: float) -> float:
    """Air density at a site, kg/m^3: p(elevation) / (R (273.15 + t)), elevation in m, t in degrees Celsius.

    Source: ISA-5.
    """
    return pressure_at(elevation) / (_GAS_CONSTANT * (_FREEZING_POINT + temperature))


@physics("elevation m -1000..11000, temperature degC -100..100 -> 1 0..", growth="- -", source="ISA-4, ISA-5")
def density_ratio(elevation: float, temperature: float) -> float:
    """Density at a site over that of the standard atmosphere at sea level, a plain number.

    Source: ISA-4, ISA-5.
    """
    return density_at(elevation, temperature) / _SEA_LEVEL_DENSITY


@physics("equivalent_airspeed m/s 0.., density_ratio 1 0.. -> m/s 0..", growth="+ -", source="ISA-4")
def true_airspeed(equivalent_airspeed: float, density_ratio: float) -> float:
    """True airspeed, m/s: the equivalent one over the square root of the density ratio. Source: ISA-4."""
    return ratio(equivalent_airspeed, math.sqrt(density_ratio))
