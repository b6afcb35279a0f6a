"""`cfglint plan`: the ladder of test cards for a craft, and one card filled in with its numbers."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from cfglint.cli.flight_work import Work, card_named, common_arguments, read_work, today_of
from cfglint.flights.filled_card import fill_card
from cfglint.flights.flown import refuse_future
from cfglint.flights.record_flight import not_written_back
from cfglint.report.styled import encodable, terminal_width, wants_colour, write_lines


def add_arguments(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to a parser."""
    plan = commands.add_parser(
        "plan",
        help="which test card to fly next, and a card filled in for this craft",
        description="The ladder of test cards for a craft: flown, stale, next, locked and why. With CARD, that card with this "
        "craft's numbers. The flight record is flights.toml beside the dump.",
    )
    plan.add_argument("card", nargs="?", metavar="CARD", help="a card's id, such as first-hover")
    plan.add_argument("dump", metavar="DUMP", help="a settings dump")
    common_arguments(plan)
    plan.add_argument("--format", choices=("text", "markdown", "html"), default="text", help="how to write it (default: text)")
    plan.add_argument("--color", choices=("auto", "always", "never"), default="auto", help="colour (default: on a terminal)")
    plan.add_argument("--width", type=int, metavar="N", help="wrap at N columns (default: the terminal's)")


def run(parsed: Any) -> int:
    """Print the ladder or a card. Raises Refused with what is wrong with the input."""
    work = read_work(parsed)
    refuse_future(work.flown, today_of(parsed))
    if parsed.format == "text":
        _write_text(work, parsed)
    else:
        text = _markdown(work, parsed) if parsed.format == "markdown" else _html(work, parsed)
        sys.stdout.write(encodable(text, sys.stdout.encoding or "ascii"))
    return 0


def _write_text(work: Work, parsed: Any) -> None:
    from cfglint.report.cards_text import render_card, render_ladder

    width = max(30, min(400, parsed.width or terminal_width(sys.stdout)))
    if parsed.card:
        lines = render_card(work.craft, fill_card(card_named(work, parsed.card), work.setup, work.pack), width)
    else:
        lines = render_ladder(work.craft, work.rungs(), not_written_back(work.setup, work.flown, work.covered), width)
    write_lines(lines, sys.stdout, wants_colour(sys.stdout, parsed.color))


def _markdown(work: Work, parsed: Any) -> str:
    from cfglint.report.cards_markdown import markdown_card, markdown_ladder

    if parsed.card:
        return markdown_card(work.craft, fill_card(card_named(work, parsed.card), work.setup, work.pack))
    return markdown_ladder(work.craft, work.rungs(), not_written_back(work.setup, work.flown, work.covered))


def _html(work: Work, parsed: Any) -> str:
    from cfglint.report.cards_html import html_card, html_ladder

    if parsed.card:
        return html_card(work.craft, fill_card(card_named(work, parsed.card), work.setup, work.pack))
    cards = [fill_card(card, work.setup, work.pack) for card in work.cards.values()]
    return html_ladder(work.craft, work.rungs(), not_written_back(work.setup, work.flown, work.covered), cards)
