"""The cards that come with the tool: checked once for their content and for the pack they speak of, then remembered."""

from __future__ import annotations

import os
from typing import Any

from cfglint.flights.card import Cards, cards_of
from cfglint.pack.load import folder_contents, rules_folder
from cfglint.pack.rule import Pack
from cfglint.store.remembered import remembered


def shipped_cards(pack: Pack) -> Cards:
    """The shipped cards, in the order of the ladder. Raises Refused when a card file is wrong."""
    return folder_cards(os.path.join(rules_folder(), "cards"), pack)


def folder_cards(folder: str, pack: Pack) -> Cards:
    """The cards of a folder, checked against a pack. Raises Refused with every problem found."""
    contents = folder_contents(folder)
    return cards_of(remembered("cards", [pack.key, *_code(), *contents], lambda: _built(folder, pack)))


def _built(folder: str, pack: Pack) -> list[dict[str, Any]]:
    from pathlib import Path

    from cfglint.flights.card_file import build_cards
    from cfglint.pack.load import shipped_texts

    return build_cards(Path(folder), pack, frozenset(shipped_texts()["sources"]))


def _code() -> list[bytes]:
    """The code that decides how a stored card looks: in a source tree it changes between runs."""
    here = os.path.dirname(__file__)
    found = []
    for name in ("card.py", "card_file.py"):
        with open(os.path.join(here, name), "rb") as file:
            found.append(file.read())
    return found
