"""The ladder of test cards, and one card, as Markdown. Everything that is shown is escaped."""

from __future__ import annotations

from collections.abc import Sequence

from cfglint.flights.card import BENCH
from cfglint.flights.filled_card import FilledCard, FilledLimit
from cfglint.flights.plan import Rung
from cfglint.flights.proofs import FLOWN
from cfglint.report.cards_text import CAUTION, ROLES, SECTIONS, limit_text, reasons_of, state_text
from cfglint.report.markdown_text import code, escaped


def markdown_ladder(craft: str, rungs: Sequence[Rung], lines: Sequence[tuple[str, str, str]]) -> str:
    """The ladder as a table."""
    flown = sum(rung.status.state == FLOWN for rung in rungs)
    out = [f"# {escaped(craft)}: {flown} of {len(rungs)} cards flown", "", "| card | stands | why |", "|---|---|---|"]
    for rung in rungs:
        why = "<br>".join(escaped(reason) for reason in reasons_of(rung))
        out.append(f"| {code(rung.card.id, in_table=True)} | {escaped(state_text(rung))} | {why} |")
    for id, value, line in lines:
        out += ["", f"Measured {escaped(id)} = {escaped(value)}; to write into the dump: {code(line)}"]
    return "\n".join([*out, "", escaped(CAUTION), ""])


def markdown_card(craft: str, card: FilledCard) -> str:
    """One card with boxes to tick."""
    place = "on the bench" if card.card.place == BENCH else "in the field"
    head = f"{escaped(craft)}, {place}; card {escaped(card.card.id)}"
    out = [f"# {escaped(card.card.title)}", "", head, "", escaped(card.purpose)]
    for field, heading in SECTIONS:
        if field == "expect":
            out += _limits(card.limits)
        texts: tuple[str, ...] = getattr(card, field)
        if texts:
            out += ["", f"## {heading.capitalize()}", ""]
        for number, text in enumerate(texts, 1):
            box = "" if field in ("note", "cautions") else "[ ] "
            out.append(f"{number}. {box}{escaped(text)}" if field == "procedure" else f"- {box}{escaped(text)}")
    recorded = [f"- {escaped(id)}: {escaped(meaning)}" for id, meaning, _ in card.to_measure]
    recorded += [f"- {escaped(fact)}: {escaped(ask)}" for fact, ask in card.to_see]
    if recorded:
        out += ["", "## To record", "", *recorded]
    return "\n".join([*out, "", escaped(CAUTION), ""])


def _limits(limits: Sequence[FilledLimit]) -> list[str]:
    out: list[str] = []
    for role, heading in ROLES.items():
        chosen = [limit for limit in limits if limit.role == role]
        if chosen:
            out += ["", f"## {heading.capitalize()}", "", *(f"- {escaped(limit_text(limit))}" for limit in chosen)]
    return out
