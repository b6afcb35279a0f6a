"""Pages to test with: the fleet of tests/setups, as it is and with values that clash, are huge, tiny or missing."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from cfglint.judge.examples import example_setup
from cfglint.judge.judge import Judge
from cfglint.judge.setup_judgement import judge_setup
from cfglint.quantity.range import Range
from cfglint.quantity.value import number_value
from cfglint.report.assemble import file_report
from cfglint.report.known import Page
from cfglint.setup.setting import Setup
from tests.conftest import ROOT

EIGHT = (
    "micro_without_positioning",
    "light_wing_without_positioning",
    "five_inch",
    "flying_wing_pusher",
    "tail_sitter",
    "survey_plane",
    "octorotor",
    "coaxial_lifter",
)
"""Setups from the lightest to the heaviest: two without positioning, rotors, wings, a hybrid."""


def described(name: str) -> dict[str, Any]:
    """The description of a setup, fresh each time."""
    return tomllib.loads((ROOT / "tests/setups" / f"{name}.toml").read_text(encoding="utf-8"))


def page_of(judge: Judge, description: Mapping[str, Any]) -> Page:
    """The page of a setup that is described."""
    return judged(judge, example_setup(judge.pack, description))


def judged(judge: Judge, setup: Setup) -> Page:
    """The page of a setup."""
    judgement = judge_setup(judge, setup)
    titles = {id: rule.title for id, rule in judge.pack.rules.items()}
    return Page(file_report(setup, judgement, titles), setup, judgement, judge.pack)


def spoilt(setup: Setup, how: str) -> Setup:
    """A setup all of whose numbers are at the low end, the high end, or the middle of what they may be, or not known."""
    settings = dict(setup.settings)
    for id, setting in settings.items():
        definition = setup.catalogue[id]
        if not definition.is_number or not setting.value.known or id.startswith("switch."):
            continue
        ends = {"tiny": definition.low, "huge": definition.high, "clashing": (definition.low + definition.high) / 2}
        if how == "missing":
            settings[id] = setting._replace(value=definition.unseen(), origin="unseen")
        else:
            settings[id] = setting._replace(value=number_value(Range(ends[how], ends[how])))
    return setup._replace(settings=settings)
