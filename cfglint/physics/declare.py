"""How a physics function declares itself: units, domains, directions of growth, source.

A declaration lets a caller evaluate the function on ranges. Where an argument only ever raises or lowers the
result, the two ends of its range are enough; where only the slope is bounded, the middle and the half width
are; where neither is known, the caller must have one exact value.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isnan
from typing import NamedTuple, ParamSpec, cast

_P = ParamSpec("_P")


class NoValue(Exception):
    """A function has no value at these arguments; the text says why, for people.

    Raised for an argument that is not a number, and by the magnetic functions outside the span of their
    model. The caller shows it as "has no value here": never as zero, never as clear.
    """


class DeclarationError(Exception):
    """A declaration that contradicts itself or its function: a mistake in this package."""


class Parameter(NamedTuple):
    """One argument of a physics function.

    `growth`: `+` the result never falls as it grows, `-` it never rises, `?` neither (an exact argument is
    wanted), `~0.5` the result changes by at most 0.5 of its unit for each unit of the argument, in either
    direction. `lowest`, `highest`: the domain the growth is stated on; beyond an end the argument counts as
    that end.
    """

    name: str
    unit: str
    growth: str
    lowest: float = -inf
    highest: float = inf

    @property
    def slope(self) -> float | None:
        """The declared bound on the slope, in units of the result for each unit of this argument, or None."""
        return float(self.growth[1:]) if self.growth.startswith("~") else None


class Declaration(NamedTuple):
    """A physics function with all that a caller needs to know about it.

    `source` holds ids of the bibliography, or `common practice`, or `computed` for what follows from
    definitions alone. `function` takes plain floats in the units of `parameters`, in their order, and returns
    a float in `unit` that is never less than `lowest` nor more than `highest`, and never not-a-number.
    """

    name: str
    parameters: tuple[Parameter, ...]
    unit: str
    source: tuple[str, ...]
    function: Callable[..., float]
    lowest: float = -inf
    highest: float = inf


DECLARED: dict[str, Declaration] = {}


def physics(signature: str, growth: str, source: str) -> Callable[[Callable[_P, float]], Callable[_P, float]]:
    """Declare a physics function, say `@physics("speed m/s 0.., bank deg 0..90 -> m", "+ -", "TURN-1")`.

    Each argument and the result is a name (not for the result), a unit and optionally its domain; an end left
    out is endless. `growth` has one word for each argument, `source` is split at commas. Raises
    DeclarationError where signature, growth and function don't fit each other.
    """
    arguments, _, result = signature.partition("->")
    words = growth.split()
    parts = [part.split() for part in arguments.split(",")]
    unit, lowest, highest = _unit_and_domain(result.split(), signature)

    def declare(function: Callable[_P, float]) -> Callable[_P, float]:
        if len(words) != len(parts):
            raise DeclarationError(f"{function.__name__}: {len(parts)} arguments but {len(words)} words of growth")
        parameters = tuple(_parameter(part, word, signature) for part, word in zip(parts, words, strict=True))
        _check_names(function, parameters)
        bounded = _bounded(function, parameters)
        sources = tuple(name.strip() for name in source.split(","))
        DECLARED[function.__name__] = Declaration(function.__name__, parameters, unit, sources, bounded, lowest, highest)
        return bounded

    return declare


def _bounded(function: Callable[_P, float], parameters: tuple[Parameter, ...]) -> Callable[_P, float]:
    """The function with each argument held inside its domain, so that it is total and its growth holds
    everywhere.
    """
    domains = tuple((parameter.lowest, parameter.highest) for parameter in parameters)
    names = tuple(parameter.name for parameter in parameters)
    called: Callable[..., float] = function

    def bounded(*values: _P.args, **named: _P.kwargs) -> float:
        given = cast("list[float]", [*values, *(named[name] for name in names[len(values) :])])
        held = []
        for value, (lowest, highest), name in zip(given, domains, names, strict=True):
            if isnan(value):
                raise NoValue(f"{name} is not a number")
            held.append(lowest if value < lowest else min(value, highest))
        return called(*held)

    bounded.__name__ = bounded.__qualname__ = function.__name__
    bounded.__doc__ = function.__doc__
    bounded.__module__ = function.__module__
    return bounded


def _parameter(words: list[str], growth: str, signature: str) -> Parameter:
    if len(words) < 2 or not (growth in ("+", "-", "?") or growth.startswith("~")):
        raise DeclarationError(f"{signature}: {' '.join(words)} with growth {growth} is no declaration")
    return Parameter(words[0], words[1], growth, *_domain(words[2:], signature))


def _unit_and_domain(words: list[str], signature: str) -> tuple[str, float, float]:
    if not words:
        raise DeclarationError(f"{signature}: no unit of the result after ->")
    return (words[0], *_domain(words[1:], signature))


def _domain(words: list[str], signature: str) -> tuple[float, float]:
    """Ends of `a..b`; an end left out, or no domain at all, is endless."""
    low, dots, high = "".join(words or [".."]).partition("..")
    if not dots:
        raise DeclarationError(f"{signature}: {' '.join(words)} is no domain; write lowest..highest")
    return (float(low) if low else -inf, float(high) if high else inf)


def _check_names(function: Callable[_P, float], parameters: tuple[Parameter, ...]) -> None:
    code = function.__code__
    taken = code.co_varnames[: code.co_argcount]
    if taken != tuple(parameter.name for parameter in parameters):
        raise DeclarationError(f"{function.__name__} takes {', '.join(taken)}, its declaration says otherwise")
