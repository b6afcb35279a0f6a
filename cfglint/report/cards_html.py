"""Test cards as one HTML file: a page a card on A4 or Letter, large type, boxes to tick, room for a pencil."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from cfglint.flights.card import BENCH
from cfglint.flights.filled_card import FilledCard, FilledLimit
from cfglint.flights.plan import Rung
from cfglint.flights.proofs import FLOWN
from cfglint.report.cards_text import CAUTION, ROLES, SECTIONS, reasons_of, state_text
from cfglint.text.visible import visible

LONG_CARD = 2900
"""Characters of HTML from which a card is printed smaller, so that it stays on one page."""

_STYLE = """
@page { margin: 12mm; }
:root { color-scheme: light dark; }
* { box-sizing: border-box; }
body { font: 17px/1.35 sans-serif; margin: 0 auto; padding: 12px; max-width: 46rem; overflow-wrap: anywhere; }
h1 { font-size: 1.5em; margin: 0 0 .2em; } h2 { font-size: 1.05em; margin: .7em 0 .2em; }
p { margin: .2em 0 .4em; } ul, ol { margin: 0; padding-left: 1.9em; } li { margin: .12em 0; }
ul.boxes { list-style: none; padding-left: 0; } ul.boxes li { padding-left: 1.9em; text-indent: -1.9em; }
.box { display: inline-block; width: 1em; height: 1em; border: 2px solid currentColor;
  margin-right: .6em; text-indent: 0; vertical-align: -.12em; }
.abort { border: 2px solid currentColor; padding: .1em .6em .4em; margin-top: .6em; } .small { font-size: .8em; opacity: .8; }
.figure { font-weight: bold; } .unknown { font-style: italic; }
.line { border-bottom: 1px solid currentColor; height: 1.7em; } table { border-collapse: collapse; width: 100%; }
td, th { border-bottom: 1px solid #888; text-align: left; vertical-align: top; padding: .25em .4em .25em 0; }
section.card + section.card { margin-top: 3em; }
@media print {
  body { font-size: 11pt; line-height: 1.22; padding: 0; max-width: none; }
  section.long { font-size: 9.6pt; } section.long h2 { margin: .4em 0 .1em; } section.long li { margin: 0; }
  section.card { break-after: page; } section.card:last-of-type { break-after: auto; }
  section.card + section.card { margin-top: 0; }
  h2, li, tr, .abort { break-inside: avoid; } h2 { break-after: avoid; }
}
"""


def html_ladder(craft: str, rungs: Sequence[Rung], lines: Sequence[tuple[str, str, str]], cards: Sequence[FilledCard]) -> str:
    """The ladder on the first page, then each card on a page of its own."""
    flown = sum(rung.status.state == FLOWN for rung in rungs)
    rows = "".join(_row(rung) for rung in rungs)
    measured = "".join(
        f"<p>Measured {_safe(id)} = {_safe(value)}; to write into the dump: <code>{_safe(line)}</code></p>"
        for id, value, line in lines
    )
    head = f"<h1>{_safe(craft)}: {flown} of {len(rungs)} cards flown</h1>"
    table = f'<table><thead><tr><th scope="col">card</th><th scope="col">stands</th></tr></thead><tbody>{rows}</tbody></table>'
    first = f'<section class="card">{head}{table}{measured}<p class="small">{_safe(CAUTION)}</p></section>'
    return _page(f"Test cards: {craft}", first + "".join(_card(craft, card) for card in cards))


def html_card(craft: str, card: FilledCard) -> str:
    """One card."""
    return _page(f"{card.card.title}: {craft}", _card(craft, card))


def _page(title: str, body: str) -> str:
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{_safe(title)}</title><style>{_STYLE}</style></head>\n<body>{body}</body></html>\n"
    )


def _row(rung: Rung) -> str:
    why = "".join(f'<div class="small">{_safe(reason)}</div>' for reason in reasons_of(rung))
    name = f"{_safe(rung.card.title)}<br><code>{_safe(rung.card.id)}</code>"
    return f"<tr><td>{name}</td><td>{_safe(state_text(rung))}{why}</td></tr>\n"


def _card(craft: str, card: FilledCard) -> str:
    place = "on the bench" if card.card.place == BENCH else "in the field"
    parts = [f"<h1>{_safe(card.card.title)}</h1><p>{_safe(craft)}, {place}. Date ____________  Pilot ____________</p>"]
    parts.append(f"<p>{_safe(card.purpose)}</p>")
    for field, heading in SECTIONS:
        if field == "expect":
            parts += [_limits(role, words, card.limits) for role, words in ROLES.items()]
        parts.append(_section(field, heading, getattr(card, field)))
    parts.append(_pencil(card))
    parts.append(f'<p class="small">{_safe(CAUTION)}</p>')
    body = "".join(parts)
    return f'<section class="card{" long" if len(body) > LONG_CARD else ""}">{body}</section>\n'


def _section(field: str, heading: str, texts: tuple[str, ...]) -> str:
    if not texts:
        return ""
    tag = "ol" if field == "procedure" else "ul"
    boxed = field in ("conditions", "procedure", "expect")
    opening = '<ul class="boxes">' if boxed and tag == "ul" else f"<{tag}>"
    box = '<span class="box"></span>' if boxed else ""
    items = "".join(f"<li>{box}{_safe(text)}</li>" for text in texts)
    return f"<h2>{_safe(heading.capitalize())}</h2>{opening}{items}</{tag}>"


def _limits(role: str, heading: str, limits: Sequence[FilledLimit]) -> str:
    chosen = [limit for limit in limits if limit.role == role]
    if not chosen:
        return ""
    items = "".join(f"<li>{_limit(limit)}</li>" for limit in chosen)
    body = f"<h2>{_safe(heading.capitalize())}</h2><ul>{items}</ul>"
    return f'<div class="abort">{body}</div>' if role == "abort" else body


def _limit(limit: FilledLimit) -> str:
    if limit.shown:
        figure = f'<span class="figure">{_safe(limit.shown)}</span>'
    else:
        needs = f", needs {', '.join(limit.needs)}" if limit.needs else ""
        figure = f'<span class="unknown">not known{_safe(needs)}</span> ____________'
    assumed = f' <span class="small">({_safe("; ".join(limit.assumes))})</span>' if limit.assumes and limit.shown else ""
    return f'{_safe(limit.text)}: {figure}{assumed} <span class="small">[{_safe(", ".join(limit.basis))}]</span>'


def _pencil(card: FilledCard) -> str:
    rows = [f"{id} ({meaning})" for id, meaning, _ in card.to_measure] + [f"{fact} ({ask})" for fact, ask in card.to_see]
    lines = "".join(f"<p>{_safe(row)}: ____________</p>" for row in rows)
    passed = '<p><span class="box"></span>passed <span class="box"></span>broken off, because</p>'
    return f"<h2>Result</h2>{lines}{passed}" + '<div class="line"></div>' * 3


def _safe(text: str) -> str:
    return escape(visible(text))
