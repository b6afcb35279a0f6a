"""Declarations: what a signature means, what is refused, what an argument outside its domain does."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from cfglint.physics import DECLARATIONS, NoValue
from cfglint.physics.declare import DECLARED, DeclarationError, physics
from cfglint.physics.turn import turn_radius


@pytest.fixture(autouse=True)
def keep_registry(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a test declares is gone after it."""
    kept = dict(DECLARED)
    monkeypatch.setattr("cfglint.physics.declare.DECLARED", kept)


def test_signature_is_read() -> None:
    declaration = DECLARATIONS["turn_radius"]
    speed, bank = declaration.parameters
    assert (speed.name, speed.unit, speed.growth, speed.lowest, speed.highest) == (
        "speed",
        "m/s",
        "+",
        0,
        math.inf,
    )
    assert (bank.name, bank.unit, bank.growth, bank.lowest, bank.highest) == ("bank", "deg", "-", 0, 90)
    assert (declaration.unit, declaration.source) == ("m", ("TURN-1",))
    assert (declaration.lowest, declaration.highest) == (0, math.inf)
    assert declaration.function(20, 30) == turn_radius(20, 30)


def test_slope_is_read_only_where_declared() -> None:
    frequency, rate = DECLARATIONS["alias_frequency"].parameters
    assert (frequency.slope, rate.slope) == (1.0, None)
    assert DECLARATIONS["turn_radius"].parameters[0].slope is None


def test_names_call_as_well_as_places() -> None:
    assert turn_radius(bank=30, speed=20) == turn_radius(20, bank=30) == turn_radius(20, 30)


def test_argument_outside_its_domain_counts_as_the_end() -> None:
    assert turn_radius(20, 120) == turn_radius(20, 90) == 0.0
    assert turn_radius(-5, 30) == turn_radius(0, 30)


def test_not_a_number_has_no_value() -> None:
    with pytest.raises(NoValue, match="bank is not a number"):
        turn_radius(20, math.nan)


@pytest.mark.parametrize(
    ("signature", "growth", "said"),
    [
        ("speed m/s 0.., bank deg -> m", "+", "2 arguments but 1 words"),
        ("speed m/s 0.. -> m", "up", "no declaration"),
        ("speed -> m", "+", "no declaration"),
        ("speed m/s 5 -> m", "+", "no domain"),
        ("speed m/s", "+", "no unit of the result"),
        ("wind m/s -> m", "+", "takes speed"),
    ],
)
def test_contradictions_are_refused(signature: str, growth: str, said: str) -> None:
    def distance(speed: float) -> float:
        return speed

    with pytest.raises(DeclarationError, match=said):
        physics(signature, growth=growth, source="computed")(distance)


def test_import_stays_light() -> None:
    """Importing the declarations loads none of the packages that are only wanted for an answer."""
    heavy = ["pygeomag", "dataclasses", "inspect", "numpy", "decimal", "fractions", "statistics"]
    code = f"import sys, cfglint.physics; print([name for name in {heavy} if name in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
