"""Drafts against answer keys: precision, recall, units, calibration, time."""

from __future__ import annotations

import itertools
import os
import time
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

from cfglint.draft.draft import PROPOSED, Draft, Drafting, Guess, Proposal
from cfglint.draft.lexicon import load_lexicon
from cfglint.pack.load import rules_folder, shipped_pack
from cfglint.quantity.unit import PULSE, parse_unit
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.convert import stick_unit
from cfglint.text.dump import read

HERE = Path(__file__).parent
HELD_OUT = ("hawkbit", "woundwort", "spurrey", "sanicle")
LOOKED_AT = ("toadflax", "moschatel", "feverfew")
TUNED_ON = ("butterbur", "corncockle", "figwort", "goosegrass", "lungwort", "pignut", "sneezewort", *LOOKED_AT)


class Outcome(NamedTuple):
    """One guess of a draft against the answers."""

    controller: str
    key: str
    guess: Guess
    is_proposed: bool
    name_is_right: bool
    unit_is_right: bool


class Score(NamedTuple):
    """How one controller went. Units are counted among the proposals with the right name."""

    controller: str
    keys: int
    meaningful: int
    proposed: int
    right_names: int
    right_units: int
    seconds: float
    outcomes: tuple[Outcome, ...]
    missed: tuple[str, ...]

    @property
    def precision(self) -> float:
        return self.right_names / self.proposed if self.proposed else 0.0

    @property
    def recall(self) -> float:
        return self.right_names / self.meaningful

    @property
    def unit_precision(self) -> float:
        return self.right_units / self.right_names if self.right_names else 0.0


def drafting() -> Drafting:
    """A drafting with the shipped catalogue and lexicon."""
    return Drafting(shipped_pack().catalogue, load_lexicon(os.path.join(rules_folder(), "lexicon.toml")))


def measured(name: str, shared: Drafting) -> Score:
    """The score of one controller."""
    data = (HERE / f"{name}.dump").read_bytes()
    answers = tomllib.loads((HERE / f"{name}.answers.toml").read_text(encoding="utf-8"))["key"]
    start = time.perf_counter()
    draft = shared.draft([read(data, name)])
    seconds = time.perf_counter() - start
    return scored(name, draft, answers, shared.catalogue, seconds)


def scored(name: str, draft: Draft, answers: Mapping[str, Mapping[str, str]], catalogue: Catalogue, seconds: float) -> Score:
    """A draft against its answers."""
    outcomes = [outcome for p in draft.proposals for outcome in _outcomes(name, p, answers, catalogue)]
    proposed = [o for o in outcomes if o.is_proposed]
    right = [o for o in proposed if o.name_is_right]
    found = {o.key for o in right}
    return Score(
        name, len(draft.proposals), len(answers), len(proposed), len(right), sum(o.unit_is_right for o in right), seconds,
        tuple(outcomes), tuple(key for key in answers if key not in found),
    )  # fmt: skip


def reliability(outcomes: Iterable[Outcome]) -> list[tuple[float, float, int, float, float]]:
    """By tenth of stated chance: from, to, how many guesses, mean chance, share that are right in name and unit."""
    bounds = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 1.0001)
    rows = []
    every = list(outcomes)
    for low, high in itertools.pairwise(bounds):
        within = [o for o in every if low <= o.guess.chance < high]
        if within:
            mean = sum(o.guess.chance for o in within) / len(within)
            rows.append(
                (
                    low,
                    min(high, 1.0),
                    len(within),
                    mean,
                    sum(o.name_is_right and o.unit_is_right for o in within) / len(within),
                )
            )
    return rows


def _outcomes(name: str, proposal: Proposal, answers: Mapping[str, Mapping[str, str]], catalogue: Catalogue) -> Iterable[Outcome]:
    answer = answers.get(proposal.key.name, {})
    for index, guess in enumerate(proposal.guesses):
        right = guess.setting == answer.get("setting")
        same = right and _same_unit(guess.unit, answer.get("unit", ""), guess.setting, catalogue)
        yield Outcome(name, proposal.key.name, guess, index == 0 and proposal.bin == PROPOSED, right, same)


def _same_unit(guessed: str | None, wanted: str, setting: str, catalogue: Catalogue) -> bool:
    if wanted in ("-", ""):
        return guessed is None
    dimension = catalogue[setting].shown_in.dimension
    unit = parse_unit(stick_unit(guessed or catalogue[setting].unit or "1", dimension))
    other = parse_unit(stick_unit(wanted, dimension))
    if dimension == PULSE and unit.offset_numerator != other.offset_numerator:
        return False
    return unit.numerator * other.denominator == other.numerator * unit.denominator
