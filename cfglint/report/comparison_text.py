"""A comparison on a terminal: what got worse first, then the settings that changed, then what got better."""

from __future__ import annotations

from collections.abc import Iterator

from cfglint.report.comparison_data import (
    GONE,
    REFUSED,
    UNDECIDED_NOW,
    Comparison,
    CraftComparison,
    LineChange,
    ProofChange,
    SettingChange,
    VerdictChange,
    summary,
    worst_first,
)
from cfglint.report.styled import FAINT, GOOD, PLAIN, STRONG, StyledLine, styled
from cfglint.setup.setting import Place
from cfglint.text.visible import visible

MOST_SETTINGS = 60
MOST_LINES = 12
MOST_QUIET = 12

TOLD = {
    "appears": "appears",
    "rises": "is of a higher level now",
    "moves": "is still there, with other numbers",
    "undecided now": "can't be decided any more",
    "out of sight": "is not looked at any more, since something it read is not known now",
    "weaker": "rests on assumptions now",
    "goes": "is gone",
    "falls": "is of a lower level now",
    "settled": "can be decided now",
    "firmer": "rests on no assumption any more",
    "applies": "applies now",
    "applies no more": "does not apply any more",
}


def render_comparison_text(comparison: Comparison, width: int, verbose: bool = False) -> Iterator[StyledLine]:
    """The whole comparison, line by line."""
    yield from styled(f"{comparison.old} \u2192 {comparison.new}", STRONG, width)
    for craft in worst_first(comparison):
        yield []
        yield from _craft(craft, width, verbose)
    yield []
    yield from _totals(comparison, width)


def _craft(craft: CraftComparison, width: int, verbose: bool) -> Iterator[StyledLine]:
    yield from styled(f"{craft.craft}: {summary(craft)}", STRONG, width)
    files = craft.new_file or craft.old_file
    if craft.old_file and craft.new_file and craft.old_file != craft.new_file:
        files = f"{craft.old_file} \u2192 {craft.new_file}"
    yield from styled(files, FAINT, width)
    if craft.status == GONE:
        return
    if craft.status == REFUSED:
        yield from _problems(craft, width)
        return
    worse = [change for change in craft.verdicts if change.worse]
    for change in worse:
        yield from _verdict(change, width)
    for proof in craft.proofs:
        yield from _proof(proof, width)
    yield from _settings(craft.settings, width, verbose)
    yield from _rest([change for change in craft.verdicts if not change.worse], width, verbose)
    yield from _unread(craft.lines, width, verbose)


def _verdict(change: VerdictChange, width: int) -> Iterator[StyledLine]:
    head = "UNDECIDED" if change.change == UNDECIDED_NOW or not change.level else change.level.upper()
    phase = f"  ({change.phase})" if change.phase else ""
    members = f" [{', '.join(change.members)}]" if change.members and not change.message else ""
    yield []
    yield [("  " + head, change.level), (visible(f"  {change.rule}{members}{phase}"), STRONG)]
    told = TOLD[change.change] + (f", {change.moved}" if change.moved else "")
    yield from styled(f"{told}: {change.was} \u2192 {change.now}", PLAIN, width, "    ", "  ")
    yield from styled(change.message or change.title, PLAIN, width, "    ", "  ")
    if change.old_message and change.old_message != change.message:
        yield from styled(f"was: {change.old_message}", FAINT, width, "    ", "  ")
    if change.place is not None:
        yield from styled(_where(change.place), FAINT, width, "    ")
    for label, values in (("rests on", change.rests_on), ("settled by", change.needs)):
        if values:
            yield from styled(f"{label}: {', '.join(values)}", FAINT, width, "    ", "  ")
    if change.remedy:
        yield from styled(f"remedy: {change.remedy}", GOOD, width, "    ", "  ")


def _proof(proof: ProofChange, width: int) -> Iterator[StyledLine]:
    because = f" ({'; '.join(proof.because)})" if proof.because else ""
    yield []
    yield from styled(f"proof of {proof.card}: {proof.was} \u2192 {proof.now}{because}", PLAIN, width, "  ", "  ")


def _settings(changes: tuple[SettingChange, ...], width: int, verbose: bool) -> Iterator[StyledLine]:
    values = [change for change in changes if not change.same_value]
    origins = [change for change in changes if change.same_value]
    if values:
        yield []
        yield [("  settings", STRONG)]
        shown = values if verbose else values[:MOST_SETTINGS]
        for change in shown:
            yield from _setting(change, width)
        yield from _more(len(values) - len(shown), "setting", width)
    if origins:
        named = [f"{c.id} ({c.old_origin} \u2192 {c.new_origin})" for c in origins]
        shown_names = named if verbose else named[:MOST_LINES]
        more = f" and {len(named) - len(shown_names)} more" if len(named) > len(shown_names) else ""
        yield from styled(f"same value, other origin: {', '.join(shown_names)}{more}", FAINT, width, "  ", "  ")


def _setting(change: SettingChange, width: int) -> Iterator[StyledLine]:
    relative = f"  ({change.relative})" if change.relative else ""
    origin = f"  {change.old_origin} \u2192 {change.new_origin}" if change.old_origin != change.new_origin else ""
    mark = "! " if change.matters else "  "
    where = f"  {_where(change.new_place)}" if change.new_place is not None else ""
    yield from styled(f"{change.id}: {change.old} \u2192 {change.new}{relative}{origin}{where}", PLAIN, width, "  " + mark, "  ")


def _rest(changes: list[VerdictChange], width: int, verbose: bool) -> Iterator[StyledLine]:
    if not changes:
        return
    yield []
    yield [("  other changes", STRONG)]
    shown = changes if verbose else changes[:MOST_QUIET]
    for change in shown:
        told = TOLD[change.change] + (f", {change.moved}" if change.moved else "")
        members = f" [{', '.join(change.members)}]" if change.members else ""
        yield from styled(f"{change.rule}{members} {told}: {change.was} \u2192 {change.now}", PLAIN, width, "    ", "  ")
    yield from _more(len(changes) - len(shown), "rule", width)


def _unread(lines: tuple[LineChange, ...], width: int, verbose: bool) -> Iterator[StyledLine]:
    if not lines:
        return
    yield []
    yield [("  changed, but read by no rule", STRONG)]
    shown = lines if verbose else lines[:MOST_LINES]
    for line in shown:
        yield from styled(f"{line.key}: {line.old or '(none)'} \u2192 {line.new or '(none)'}", FAINT, width, "    ", "  ")
    yield from _more(len(lines) - len(shown), "key", width)


def _problems(craft: CraftComparison, width: int) -> Iterator[StyledLine]:
    for problem in craft.problems:
        place = f"{problem.file}:{problem.line}:{problem.column}" if problem.line else problem.file
        yield from styled(f"{place}: {problem.message}", "error", width, "  ", "  ")
        if problem.remedy:
            yield from styled(f"remedy: {problem.remedy}", GOOD, width, "    ", "  ")


def _totals(comparison: Comparison, width: int) -> Iterator[StyledLine]:
    worse = sum(craft.worse > 0 for craft in comparison.crafts)
    refused = sum(craft.status == REFUSED for craft in comparison.crafts)
    said = f"{comparison.worse} worse" if comparison.worse else "nothing got worse"
    said += f", in {worse} craft" if worse else ""
    said += f"; {refused} could not be compared" if refused else ""
    yield from styled(f"{said}; {comparison.unchanged} craft unchanged", STRONG, width)


def _more(count: int, word: str, width: int) -> Iterator[StyledLine]:
    if count > 0:
        yield from styled(f"and {count} {word}{'' if count == 1 else 's'} more, shown with --verbose", FAINT, width, "    ")


def _where(place: Place) -> str:
    return f"{place.file}:{place.line}:{place.column}"
