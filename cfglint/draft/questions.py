"""Questions to the pilot about a draft, one a line, and what an answer changes in the map's text. No file, no terminal."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from cfglint.draft.draft import Draft, Guess, Proposal
from cfglint.draft.map_text import key_table, shown_value, toml_text
from cfglint.quantity.range import Range
from cfglint.quantity.show import show_range
from cfglint.quantity.unit import PULSE, UnitError, from_base, parse_unit
from cfglint.setup.catalogue import Catalogue, Definition
from cfglint.setup.convert import Reading, convert, stick_unit
from cfglint.text.visible import visible

_REFUSED = "# asked, none of the settings: "
_REFUSED_LINE = re.compile(r'^# asked, none of the settings: \[key\.("(?:[^"\\]|\\.)*")\]$')
_LONGEST = 120


class Question(NamedTuple):
    """One key to be asked about, with its guesses, the best first."""

    proposal: Proposal
    guesses: tuple[Guess, ...]


def questions(draft: Draft, map_text: str, document: Mapping[str, Any]) -> list[Question]:
    """What is still open: keys of the map that are not confirmed, then doubtful keys that nobody has answered."""
    tables: Mapping[str, Any] = document.get("key", {})
    refused = refused_keys(map_text)
    open_ones, doubtful = [], []
    for proposal in draft.proposals:
        name = proposal.key.name
        table = tables.get(name)
        if table is not None and not table.get("confirmed", True):
            open_ones.append(Question(proposal, (_guess_of(table, proposal), *_others(proposal, table.get("setting", "")))))
        elif table is None and proposal.guesses and name not in refused:
            doubtful.append(Question(proposal, proposal.guesses))
    return open_ones + doubtful


def question_text(question: Question, catalogue: Catalogue) -> str:
    """The question on one line, the value shown in the proposed unit."""
    proposal, guess = question.proposal, question.guesses[0]
    definition = catalogue[guess.setting]
    said = f"{_short(proposal.key.name)} = {shown_value(proposal)} -- {definition.meaning.split(';')[0]} ({guess.setting})"
    return f"{said}, {meant(proposal.key.values[0], guess, definition)}?"


def meant(value: str, guess: Guess, definition: Definition) -> str:
    """A value as the guess reads it, for people: `1540 us (54 % of travel)`."""
    reading = Reading(guess.unit, dict(guess.codes))
    converted = convert(value, definition, reading)
    if converted.value is None:
        return "by a code whose meaning you know" if guess.open else f"but {converted.wrong}"
    if not definition.is_number:
        return visible("/".join(sorted(converted.value.words)) or value)
    if converted.value.low != converted.value.high or guess.setting == "":
        return "switched off"
    shown = show_range(Range(converted.value.low, converted.value.high), definition.shown_in)
    if definition.shown_in.dimension == PULSE and definition.high > 500:
        return f"{shown} ({from_base(converted.value.low, parse_unit('% of travel')):.0f} % of travel)"
    return shown


def checked_guess(setting: str, unit: str, catalogue: Catalogue) -> Guess:
    """The pilot's own answer. Raises ValueError saying what is wrong with it."""
    definition = catalogue.get(setting)
    if definition is None or definition.is_fact:
        from cfglint.text.nearest import nearest

        near = nearest(setting, [id for id, d in catalogue.items() if not d.is_fact])
        raise ValueError(
            f"no setting is called '{_short(setting)}'"
            + (f"; did you mean '{near}'?" if near else "; they are listed by: cfglint settings")
        )
    if unit and definition.is_number:
        try:
            own = parse_unit(stick_unit(unit, definition.shown_in.dimension))
        except UnitError as error:
            raise ValueError(str(error)) from None
        if own.dimension != definition.shown_in.dimension:
            raise ValueError(f"'{_short(unit)}' does not fit {setting}; it is shown in {definition.unit}")
    return Guess(setting, 1.0, 1.0, unit or None, {}, (), ())


def with_codes(guess: Guess, codes: Mapping[str, str]) -> Guess:
    """The guess with what the pilot said of its codes."""
    return guess._replace(codes={**guess.codes, **codes}, open=tuple(c for c in guess.open if c not in codes))


def with_answer(map_text: str, key: str, guess: Guess | None) -> str:
    """The map's text after an answer: the key's table confirmed as `guess` says, or taken out when it is None."""
    before, _, after = _cut_out(map_text, key)
    if guess is None:
        return f"{before}{after.rstrip()}\n{_REFUSED}[key.{toml_text(key)}]\n".lstrip("\n")
    table = "\n".join(key_table(key, guess, confirmed=True)) + "\n\n"
    return before + table + after


def refused_keys(map_text: str) -> frozenset[str]:
    """Keys of which the pilot has said that they are none of the settings."""
    found = (_REFUSED_LINE.match(line) for line in map_text.split("\n"))
    return frozenset(_unquoted(match[1]) for match in found if match)


def _cut_out(map_text: str, key: str) -> tuple[str, str, str]:
    """The text before a key's table, the table, and the text behind it; with no such table the place is after the last one."""
    lines = map_text.split("\n")
    header = f"[key.{toml_text(key)}]"
    start = next((i for i, line in enumerate(lines) if line.strip() == header), None)
    if start is None:
        end = max((i for i, line in enumerate(lines) if line.strip() and not line.startswith("#")), default=len(lines) - 1) + 1
        return "\n".join([*lines[:end], "", ""]), "", "\n".join(lines[end:]).lstrip("\n")
    end = start + 1
    while end < len(lines) and lines[end].strip() and not lines[end].lstrip().startswith(("[", "#")):
        end += 1
    own, behind = "\n".join(lines[start:end]), "\n".join(lines[end:]).lstrip("\n")
    return "\n".join([*lines[:start], ""]), own, behind


def _guess_of(table: Mapping[str, Any], proposal: Proposal) -> Guess:
    """What the map says now; the draft may have said something else."""
    setting, unit = str(table.get("setting", "")), table.get("unit")
    same = next((g for g in proposal.guesses if g.setting == setting), None)
    codes = {str(raw): str(word) for raw, word in table.get("codes", {}).items()}
    is_open = same.open if same else ()
    return Guess(setting, 0.0, 0.0, None if unit is None else str(unit), codes, tuple(c for c in is_open if c not in codes), ())


def _others(proposal: Proposal, setting: str) -> Iterable[Guess]:
    return (guess for guess in proposal.guesses if guess.setting != setting)


def _unquoted(text: str) -> str:
    import tomllib

    try:
        return str(tomllib.loads(f"k = {text}")["k"])
    except ValueError:
        return ""


def _short(text: str) -> str:
    return visible(text)[:_LONGEST]
