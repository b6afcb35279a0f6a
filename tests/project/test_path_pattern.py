"""Patterns for paths: what they mean, and that none of them is slow."""

from __future__ import annotations

import time

import pytest

from cfglint.project.path_pattern import matches

PATH = "field/anvil/anvil.dump"


@pytest.mark.parametrize(
    "pattern",
    [
        "field",
        "field/",
        "field/anvil",
        "**/*.dump",
        "**",
        "**/anvil",
        "f*/a?vil/*",
        "./field/**",
        "field/anvil/anvil.dump",
    ],
)
def test_what_is_meant(pattern: str) -> None:
    assert matches(pattern, PATH)


@pytest.mark.parametrize(
    "pattern", ["anvil", "*.dump", "fiel", "field/anvil/anvil.dump/more", "", "field/*.dump", "Field", "**/x*"]
)
def test_what_is_not(pattern: str) -> None:
    assert not matches(pattern, PATH)


def test_a_dot_means_the_root() -> None:
    assert matches(".", PATH)


def test_no_pattern_is_slow() -> None:
    start = time.perf_counter()
    assert not matches("/".join(["**", "*a*b*c*a*b*c*x"] * 12), "/".join(["abcabcabc" * 20] * 200))
    assert not matches("*a" * 190 + "x", "a" * 4000)
    assert time.perf_counter() - start < 1.0
