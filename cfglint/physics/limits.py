"""Arithmetic at the ends of a domain, where plain floats answer with an error or with not-a-number."""

from __future__ import annotations

import math

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s^2 (ISA-1)."""


def ratio(amount: float, share: float) -> float:
    """amount / share, the amount not below zero; endless where the share is zero or the amount endless."""
    if share <= 0.0 or amount == math.inf:
        return math.inf
    return amount / share


def product(first: float, second: float) -> float:
    """first * second; zero where either is zero, even if the other is endless."""
    if first == 0.0 or second == 0.0:
        return 0.0
    return first * second


def power(base: float, exponent: float) -> float:
    """base ** exponent for bases not below zero and exponents above it; endless beyond what a float holds."""
    try:
        return math.pow(base, exponent)
    except OverflowError:
        return math.inf


def tangent(angle: float) -> float:
    """Tangent of 0 to 90 degrees; endless at 90."""
    return math.inf if angle >= 90.0 else math.tan(math.radians(angle))


def cosine(angle: float) -> float:
    """Cosine of 0 to 90 degrees; zero at 90."""
    return 0.0 if angle >= 90.0 else math.cos(math.radians(angle))


def sine(angle: float) -> float:
    """Sine of 0 to 90 degrees; one at 90."""
    return 1.0 if angle >= 90.0 else math.sin(math.radians(angle))


def angle_of_sine(value: float) -> float:
    """The angle, in degrees, whose sine is the value held between 0 and 1."""
    return math.degrees(math.asin(max(0.0, min(1.0, value))))
