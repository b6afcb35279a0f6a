"""What a fault is: a change to the texts of a craft, and the rules any of which must find it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

Texts = Mapping[str, str]
Change = Callable[[Texts], Mapping[str, str] | None]

UNSET = "unset"
MULTIROTOR, WING, HYBRID = "multirotor", "fixed-wing", "hybrid"
ROTORS = (MULTIROTOR, HYBRID)
WINGS = (WING, HYBRID)
ALL = (MULTIROTOR, WING, HYBRID)


class Fault(NamedTuple):
    """One kind of fault.

    `change` gives the changed texts, the settings at fault, or None where the craft can't have this fault. One of `rules` must
    fire at `level` or above and name a changed setting. `defaults`: documented defaults that the fault supposes.
    """

    name: str
    families: tuple[str, ...]
    change: Change
    rules: tuple[str, ...]
    level: str
    defaults: Texts = {}


def always(**changes: str) -> Change:
    """The same change to every craft; an id is written with two underscores for its dot."""
    return given(lambda texts: True, **changes)


def having(*ids: str, **changes: str) -> Change:
    """The same change to every craft that has these settings or facts set."""
    return given(lambda texts: all(is_set(texts, id) for id in ids), **changes)


def positioned(**changes: str) -> Change:
    """The same change to every craft that navigates by satellites."""
    return given(has_positioning, **changes)


def given(condition: Callable[[Texts], bool], **changes: str) -> Change:
    """The same change to every craft that meets a condition."""
    fixed = {id.replace("__", "."): text for id, text in changes.items()}
    return lambda texts: fixed if condition(texts) else None


def scaled(id: str, factor: float, condition: Callable[[Texts], bool] = lambda texts: True) -> Change:
    """A number taken for one in another unit: so many times as large, in the unit it is written in."""

    def change(texts: Texts) -> Mapping[str, str] | None:
        if not is_set(texts, id) or not condition(texts):
            return None
        unit = texts[id].partition(" ")[2]
        return {id: f"{number(texts, id) * factor:.6g} {unit}".strip()}

    return change


def computed(id: str, value: Callable[[Texts], float | None], unit: str) -> Change:
    """One setting changed to a value worked out from the others; None where that makes no sense."""

    def change(texts: Texts) -> Mapping[str, str] | None:
        result = value(texts) if is_set(texts, id) else None
        return None if result is None else {id: f"{result:.6g} {unit}".strip()}

    return change


def swapped(first: str, second: str) -> Change:
    """Two settings with their values exchanged."""

    def change(texts: Texts) -> Mapping[str, str] | None:
        if not (is_set(texts, first) and is_set(texts, second)):
            return None
        return {first: texts[second], second: texts[first]}

    return change


def number(texts: Texts, id: str) -> float:
    """The number that a text begins with, in its own unit."""
    return float(texts[id].partition(" ")[0])


def is_set(texts: Texts, id: str) -> bool:
    """Whether a craft has this setting or fact."""
    return texts.get(id, UNSET) != UNSET


def has_positioning(texts: Texts) -> bool:
    """Whether the craft navigates by satellites."""
    return texts.get("gnss.enabled") == "on"


def weighs(least: float) -> Callable[[Texts], bool]:
    """Whether the craft has at least this mass in kilograms."""
    return lambda texts: number(texts, "craft.mass") >= least
