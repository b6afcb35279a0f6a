"""A dump for which there is no name map: one is drafted in memory, and everything that rests on it is a guess and says so."""

from __future__ import annotations

from cfglint.pack.load import lexicon_path
from cfglint.pack.rule import Pack
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.setting import GUESS, Setup
from cfglint.text.problem import Problem, refuse


def guessed_setup(data: bytes, name: str, pack: Pack, beside: Beside) -> Setup:
    """The setup by a map that was drafted from the dump itself; a note says so, and how to confirm it.

    Raises Refused where this does not look like a settings dump, or no key could be placed.
    """
    from cfglint.draft.draft import draft_map
    from cfglint.draft.lexicon import load_lexicon
    from cfglint.draft.reading import read_alike
    from cfglint.draft.recognise import no_dump_reason

    (dump,) = read_alike([(data, name)])
    reason = no_dump_reason(dump)
    if reason:
        raise refuse(name, f"this doesn't look like a settings dump: {reason}", "name the settings dump of a craft")
    draft = draft_map([dump], pack.catalogue, load_lexicon(lexicon_path()), beside.facts)
    name_map = draft.name_map()
    setup = interpret(dump, name_map, pack.catalogue, beside)
    if not setup.coverage.modelled:
        message = "no name map is given, and no key of this dump could be placed, so nothing was checked"
        raise refuse(name, message, "write a name map (cfglint draft helps), and name it with --map FILE")
    return setup._replace(problems=(_drafted(setup, name), *setup.problems))


def _drafted(setup: Setup, name: str) -> Problem:
    guessed = sum(setting.origin == GUESS for setting in setup.settings.values())
    keys = setup.coverage.modelled + setup.coverage.unrecognised + setup.coverage.known_unmodelled
    message = (
        f"no name map is given: {guessed} settings are guessed from {keys} keys and none is confirmed; "
        "what rests on a guess is never clear"
    )
    remedy = "cfglint draft DUMP -o MAP --ask, then check with --map MAP"
    return Problem("note", "map-guessed", message, name, 0, 0, "", remedy)
