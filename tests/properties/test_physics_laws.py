"""What every declared physics function promises, tried at random points and at the ends of its domain."""

from __future__ import annotations

import itertools
import math
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from cfglint.physics import DECLARATIONS, Declaration, NoValue, Parameter
from cfglint.quantity.unit import parse_unit

ROUNDING = 1e-12
"""Relative slack: a few units in the last place, by which the parts of a formula may round."""

BOUNDS = {
    "m/s": (0.0, 200.0),
    "m": (0.0, 200_000.0),
    "m^2": (0.0, 400.0),
    "s": (0.0, 3600.0),
    "kg": (0.0, 200.0),
    "kg/m^3": (0.0, 2.0),
    "deg": (-180.0, 360.0),
    "degC": (-60.0, 60.0),
    "us": (800.0, 2200.0),
    "A": (0.0, 1000.0),
    "uT": (0.0, 10_000.0),
    "Hz": (0.0, 64_000.0),
    "N": (0.0, 3000.0),
    "1": (0.0, 40.0),
}
"""Physical bounds of an argument by its unit; its own domain narrows them."""

BY_NAME = {"year": (2025.0, 2030.0), "elevation": (-450.0, 6000.0)}
EXTREMES = (0.0, 5e-324, 1e-9, 1.0, 60.0, 1500.0, 1e12, 1e308, math.inf)
GROWING = [
    (declaration, index)
    for declaration in DECLARATIONS.values()
    for index, parameter in enumerate(declaration.parameters)
    if parameter.growth in ("+", "-")
]
SLOPING = [
    (declaration, index)
    for declaration in DECLARATIONS.values()
    for index, parameter in enumerate(declaration.parameters)
    if parameter.slope is not None
]
WITHOUT_SPAN = [declaration for declaration in DECLARATIONS.values() if "MAG-1" not in declaration.source]


def _named(value: object) -> str:
    return value.name if isinstance(value, Declaration) else str(value)


def _bounds(parameter: Parameter) -> tuple[float, float]:
    lowest, highest = BY_NAME.get(parameter.name) or BOUNDS[parameter.unit]
    return max(lowest, parameter.lowest), min(highest, parameter.highest)


def _argument(parameter: Parameter) -> st.SearchStrategy[float]:
    lowest, highest = _bounds(parameter)
    return st.floats(lowest, highest) | st.sampled_from([lowest, highest])


def _points(declaration: Declaration) -> st.SearchStrategy[tuple[float, ...]]:
    return st.tuples(*(_argument(parameter) for parameter in declaration.parameters))


def _value(declaration: Declaration, point: tuple[float, ...]) -> float:
    """The result; a point where the function has none (near the magnetic poles) is drawn again."""
    try:
        return declaration.function(*point)
    except NoValue:
        reject()


def _assert_grows(declaration: Declaration, index: int, point: tuple[float, ...], other: float) -> None:
    """The result moves the declared way as argument `index` goes from the lesser to the greater value."""
    lower, upper = sorted((point[index], other))
    first = declaration.function(*point[:index], lower, *point[index + 1 :])
    second = declaration.function(*point[:index], upper, *point[index + 1 :])
    if declaration.parameters[index].growth == "-":
        first, second = second, first
    assert first <= second or math.isclose(first, second, rel_tol=ROUNDING, abs_tol=ROUNDING), (point, other)


@pytest.mark.parametrize(("declaration", "index"), GROWING, ids=_named)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_growth_holds_at_random_points(declaration: Declaration, index: int, data: st.DataObject) -> None:
    point = data.draw(_points(declaration))
    _assert_grows(declaration, index, point, data.draw(_argument(declaration.parameters[index])))


@pytest.mark.parametrize(("declaration", "index"), GROWING, ids=_named)
def test_growth_holds_at_the_extremes(declaration: Declaration, index: int) -> None:
    few = EXTREMES if len(declaration.parameters) < 4 else (0.0, 1e-9, 60.0, 1e308, math.inf)
    for point in itertools.product(few, repeat=len(declaration.parameters)):
        for lower, upper in itertools.pairwise(few):
            _assert_grows(declaration, index, (*point[:index], lower, *point[index + 1 :]), upper)


@pytest.mark.parametrize("declaration", DECLARATIONS.values(), ids=_named)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_result_is_a_number_inside_its_bounds(declaration: Declaration, data: st.DataObject) -> None:
    result = _value(declaration, data.draw(_points(declaration)))
    assert isinstance(result, float)
    assert declaration.lowest <= result <= declaration.highest


@pytest.mark.parametrize("declaration", WITHOUT_SPAN, ids=_named)
def test_total_at_the_extremes(declaration: Declaration) -> None:
    values = (-math.inf, -1.0, *EXTREMES)
    for point in itertools.product(values, repeat=min(3, len(declaration.parameters))):
        filled = (*point, *(point[-1:] * (len(declaration.parameters) - len(point))))
        result = declaration.function(*filled)
        assert declaration.lowest <= result <= declaration.highest, filled


@pytest.mark.parametrize(("declaration", "index"), SLOPING, ids=_named)
@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_slope_is_bounded(declaration: Declaration, index: int, data: st.DataObject) -> None:
    point = data.draw(_points(declaration))
    other = data.draw(_argument(declaration.parameters[index]))
    slope = declaration.parameters[index].slope
    assert slope is not None
    change = abs(_value(declaration, point) - _value(declaration, (*point[:index], other, *point[index + 1 :])))
    if declaration.unit == "deg":
        change = min(change, 360.0 - change)
    assert change <= slope * abs(other - point[index]) * (1.0 + ROUNDING) + 1e-9


@pytest.mark.parametrize("declaration", DECLARATIONS.values(), ids=_named)
def test_docstring_names_sources_and_unit_texts_are_units(declaration: Declaration) -> None:
    text = " ".join((declaration.function.__doc__ or "").split())
    for source in declaration.source:
        assert source in text
        assert source in ("computed", "common practice") or re.fullmatch(r"[A-Z]+-[0-9]+", source)
    for unit in (declaration.unit, *(parameter.unit for parameter in declaration.parameters)):
        assert parse_unit(unit).symbol


def test_sources_are_in_the_bibliography() -> None:
    path = Path(__file__).parents[2] / "rules" / "sources.toml"
    if not path.exists():
        pytest.skip("no bibliography in this checkout")
    known = _ids(tomllib.loads(path.read_text(encoding="utf-8")))
    named = {source for declaration in DECLARATIONS.values() for source in declaration.source}
    assert named - {"computed", "common practice"} <= known


def _ids(node: Any) -> set[str]:
    """Every key of the bibliography, and every value under a key `id`, at whatever depth it keeps them."""
    if isinstance(node, list):
        return set().union(*map(_ids, node))
    if not isinstance(node, dict):
        return set()
    found = {str(key) for key in node} | {str(value) for key, value in node.items() if key == "id"}
    return found.union(*map(_ids, node.values()))
