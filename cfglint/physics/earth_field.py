"""The Earth's magnetic field at a site, by the World Magnetic Model 2025 (MAG-1), through the `pygeomag`
package.

The package is optional and loaded at the first question. The site's elevation stands for the height above the
WGS84 ellipsoid: the two differ by some 100 m at most, far less than the model's own uncertainty.

The bounds on the slope in elevation follow from the model's coefficients: for a degree n the field falls by
(n + 2) / r of itself a metre, and at no place is it stronger than its coefficients' root sum of squares
allows. The sum over all degrees, 3.7e-5 uT a metre for the horizontal field and 7.5e-5 for the whole, holds
from 2025 to 2030; a test adds it up.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from cfglint.physics.declare import NoValue, physics

FIRST_YEAR, LAST_YEAR = 2025.0, 2030.0
BLACKOUT_FIELD = 2.0
"""Horizontal field below which a compass is of no use, uT (MAG-5)."""

_NANOTESLA = 1000.0
_METRES = 1000.0


if TYPE_CHECKING:
    from typing import Protocol

    class _Field(Protocol):
        d: float
        h: float
        f: float

    class _Model(Protocol):
        def calculate(self, glat: float, glon: float, alt: float, time: float) -> _Field: ...


_loaded: list[_Model] = []


@physics(
    "latitude deg -90..90, longitude deg -180..360, elevation m -1000..600000, year 1 -> deg -180..180",
    growth="? ? ~0.0012 ?",
    source="MAG-1, MAG-2, MAG-5",
)
def magnetic_declination(latitude: float, longitude: float, elevation: float, year: float) -> float:
    """Declination, degrees east of true north, at a place, a height in m and a year with its fraction.

    Raises NoValue outside 2025.0 to 2030.0, where the model is not installed, and in the blackout zone
    (MAG-5), where the horizontal field is below 2 uT and points nowhere in particular.

    Source: MAG-1, MAG-2.
    """
    field = _field(latitude, longitude, elevation, year)
    if field.h < BLACKOUT_FIELD * _NANOTESLA:
        raise NoValue(f"the horizontal field is {field.h / _NANOTESLA:.1f} uT here: below 2 uT a compass is of no use")
    return field.d


@physics(
    "latitude deg -90..90, longitude deg -180..360, elevation m -1000..600000, year 1 -> uT 0..",
    growth="? ? ~0.00004 ?",
    source="MAG-1, MAG-2",
)
def magnetic_horizontal_field(latitude: float, longitude: float, elevation: float, year: float) -> float:
    """Horizontal field, uT, at a place, a height in m and a year with its fraction. Source: MAG-1, MAG-2.

    Raises NoValue outside 2025.0 to 2030.0 and where the model is not installed.
    """
    return abs(_field(latitude, longitude, elevation, year).h) / _NANOTESLA


@physics(
    "latitude deg -90..90, longitude deg -180..360, elevation m -1000..600000, year 1 -> uT 0..",
    growth="? ? ~0.00008 ?",
    source="MAG-1, MAG-2",
)
def magnetic_total_field(latitude: float, longitude: float, elevation: float, year: float) -> float:
    """Whole field, uT, at a place, a height in m and a year with its fraction. Source: MAG-1, MAG-2.

    Raises NoValue outside 2025.0 to 2030.0 and where the model is not installed.
    """
    return _field(latitude, longitude, elevation, year).f / _NANOTESLA


def _field(latitude: float, longitude: float, elevation: float, year: float) -> _Field:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise NoValue(f"the magnetic model spans {FIRST_YEAR:.0f} to {LAST_YEAR:.0f}, not the year {year:.1f}")
    east = longitude - 360.0 if longitude > 180.0 else longitude
    return _model().calculate(glat=latitude, glon=east, alt=elevation / _METRES, time=year)


def _model() -> _Model:
    if not _loaded:
        try:
            package = import_module("pygeomag")
        except ImportError:
            raise NoValue("the magnetic model is not installed: add the package pygeomag") from None
        _loaded.append(package.GeoMag(coefficients_file="wmm/WMM_2025.COF"))
    return _loaded[0]
