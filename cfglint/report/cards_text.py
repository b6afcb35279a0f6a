"""The ladder of test cards, and one card, as plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfglint.flights.card import BENCH
from cfglint.flights.filled_card import FilledCard, FilledLimit
from cfglint.flights.plan import Rung
from cfglint.flights.proofs import FLOWN, STALE, Change
from cfglint.report.styled import ERROR, FAINT, GOOD, NOTE, PLAIN, STRONG, WARNING, StyledLine, styled

ROLES = {"plan": "figures", "pass": "passed if", "abort": "break off if"}
SECTIONS = (
    ("conditions", "conditions"), ("procedure", "what to do"), ("expect", "what to expect"),
    ("note", "write down"), ("cautions", "beware"),
)  # fmt: skip
CAUTION = (
    "A card flown is not airworthiness. Propellers off on the bench; then a soft, wide field, a spotter, a hand on the mode "
    "switch. Local rules and authorities prevail."
)
MOST_OBSTACLES = 6
_STYLES = {"flown": GOOD, "stale": WARNING, "failed": ERROR, "begun": NOTE, "open": PLAIN}


def render_ladder(craft: str, rungs: Sequence[Rung], lines: Sequence[tuple[str, str, str]], width: int) -> Iterator[StyledLine]:
    """The ladder. `lines`: what was measured and not written back, as id, measured value and the line to write."""
    flown = sum(rung.status.state == FLOWN for rung in rungs)
    yield from styled(f"{craft}: {flown} of {len(rungs)} cards flown", STRONG, width)
    for rung in rungs:
        yield from _rung(rung, width)
    yield []
    yield from _next(rungs, width)
    for id, value, line in lines:
        yield from styled(f"measured {id} = {value}; the dump has another value. Write:", PLAIN, width)
        yield [("    " + line, STRONG)]
    yield []
    yield from styled(CAUTION, FAINT, width)


def render_card(craft: str, card: FilledCard, width: int) -> Iterator[StyledLine]:
    """One card, filled in."""
    place = "on the bench" if card.card.place == BENCH else "in the field"
    yield from styled(f"{card.card.id}: {card.card.title}", STRONG, width)
    times = f"; {card.card.repetitions} times" if card.card.repetitions > 1 else ""
    yield from styled(f"{craft}, {place}{times}", FAINT, width)
    yield from styled(card.purpose, PLAIN, width)
    for field, heading in SECTIONS:
        texts: tuple[str, ...] = getattr(card, field)
        if field == "expect":
            yield from _limits(card, width)
        if texts:
            yield []
            yield from styled(heading, STRONG, width)
        for number, text in enumerate(texts, 1):
            mark = f"{number}." if field == "procedure" else "-"
            yield from styled(f"{mark} {text}", PLAIN, width, "  ", "   ")
    yield from _to_record(card, width)
    yield []
    yield from styled(CAUTION, FAINT, width)


def limit_text(limit: FilledLimit) -> str:
    """A figure as one line: what it is, the figure or what is needed for it, what it assumes, on what authority."""
    figure = limit.shown or ("not known" + (f": needs {', '.join(limit.needs)}" if limit.needs else ""))
    assumed = f"; {'; '.join(limit.assumes)}" if limit.assumes and limit.shown else ""
    return f"{limit.text}: {figure}{assumed} [{', '.join(limit.basis)}]"


def state_text(rung: Rung) -> str:
    """Where a card stands, in words."""
    status = rung.status
    done = f" ({status.done} of {rung.card.repetitions})" if rung.card.repetitions > 1 and status.done else ""
    day = f" {status.flight.date}" if status.flight else ""
    if status.state == "open":
        return "locked" if rung.is_locked else "next" if rung.is_next else "may be flown"
    locked = ", locked" if rung.is_locked else ""
    return f"{status.state}{done}{day}{locked}"


def change_text(change: Change) -> str:
    """Which edit made a proof stale."""
    where = f" ({change.place.file}:{change.place.line})" if change.place else ""
    return f"{change.id} was {change.was or 'not stated'} when it was flown{where}, now {change.now or 'not stated'}"


def reasons_of(rung: Rung) -> list[str]:
    """Why a card is stale, failed or locked."""
    status = rung.status
    reasons = [change_text(change) for change in status.changes] + [f"it rests on {text}" for text in status.because]
    if status.state == "failed" and status.flight:
        reasons.append(f"broken off: {status.flight.reason}")
    if status.state == FLOWN:
        return [f"flown despite {text}" for flight in status.proof for text in flight.despite[:MOST_OBSTACLES]]
    more = len(rung.obstacles) - MOST_OBSTACLES
    shown = rung.obstacles[:MOST_OBSTACLES]
    reasons += [f"first: {o.name}: {o.why}" if o.is_rule else f"first: {o.name} ({o.why})" for o in shown]
    return [*reasons, f"and {more} more"] if more > 0 else reasons


def _rung(rung: Rung, width: int) -> Iterator[StyledLine]:
    mark = {FLOWN: "x", STALE: "!", "failed": "!"}.get(rung.status.state, ">" if rung.is_next else " ")
    text = f"[{mark}] {rung.card.id:<22} {state_text(rung)}"
    yield from styled(text, STRONG if rung.is_next else _STYLES[rung.status.state], width)
    for reason in reasons_of(rung):
        yield from styled(reason, FAINT, width, "      ", "  ")


def _next(rungs: Sequence[Rung], width: int) -> Iterator[StyledLine]:
    following = next((rung for rung in rungs if rung.is_next), None)
    if following is not None:
        yield from styled(f"next: {following.card.id} ({following.card.title})", STRONG, width)
    elif all(rung.status.state == FLOWN for rung in rungs):
        yield from styled("every card is flown", GOOD, width)
    else:
        yield from styled("nothing may be flown next: what is named under 'first' comes before", WARNING, width)


def _limits(card: FilledCard, width: int) -> Iterator[StyledLine]:
    for role, heading in ROLES.items():
        chosen = [limit for limit in card.limits if limit.role == role]
        if chosen:
            yield []
            yield from styled(heading, STRONG, width)
        for limit in chosen:
            yield from styled(f"- {limit_text(limit)}", PLAIN, width, "  ", "   ")


def _to_record(card: FilledCard, width: int) -> Iterator[StyledLine]:
    if not card.to_measure and not card.to_see:
        return
    yield []
    yield from styled("to record", STRONG, width)
    for id, meaning, must in card.to_measure:
        asked = "" if must else " (if it was measured)"
        yield from styled(f"- --measured {id}=...   {meaning}{asked}", PLAIN, width, "  ", "   ")
    for fact, ask in card.to_see:
        yield from styled(f"- --seen {fact}=...   {ask}", PLAIN, width, "  ", "   ")
