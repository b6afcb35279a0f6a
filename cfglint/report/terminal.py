"""The report on a terminal: few words, numbers with units, worst first, the remedy in the dump's own syntax."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from cfglint.judge.verdict import TraceRow
from cfglint.report.finding import LEVELS, FileReport, Finding, RunReport
from cfglint.report.overview import Row, overview
from cfglint.report.styled import ERROR, FAINT, GOOD, PLAIN, STRONG, WARNING, StyledLine, styled
from cfglint.setup.setting import Place
from cfglint.text.visible import visible

WORKED_OUT = ("computed", "threshold", "quantity")
WORDS = {"error": "ERROR", "warning": "WARNING", "note": "NOTE"}
MOST_FRAMES = 4
MOST_FACTS = 6

CAUTION = (
    "Nothing found is not airworthiness. Propellers off on the bench; then a soft, wide field, a spotter, a hand on the "
    "mode switch. Local rules and authorities prevail."
)


class View:
    """How much is shown, and how wide."""

    def __init__(self, width: int = 80, verbose: bool = False, overview: bool = False) -> None:
        self.width, self.verbose, self.overview = width, verbose, overview


def render_run(run: RunReport, view: View) -> Iterator[StyledLine]:
    """The whole report, line by line."""
    setups = sum(file.about == "setup" for file in run.files)
    for file in run.files:
        if not (view.overview and setups > 1) or file.about != "setup" or file.refused:
            yield from render_file(file, view)
    if setups > 1:
        yield from render_overview(run.files, view)
        yield from _totals(run, view)
    if run.files and not all(file.refused for file in run.files):
        yield []
        yield from styled(CAUTION, FAINT, view.width)


def render_file(file: FileReport, view: View) -> Iterator[StyledLine]:
    """One file: its head, its findings, what was not judged."""
    if not file.refused:
        yield from _head(file, view)
    for finding in file.findings:
        if not finding.accepted:
            yield []
            yield from render_finding(finding, view)
    if not file.refused and file.about == "setup":
        yield []
        yield from _summary(file, view)
        yield from _accepted(file, view)
    yield []


def render_finding(finding: Finding, view: View) -> Iterator[StyledLine]:
    """One finding: level, rule, message; the lines it rests on; arithmetic, remedy, authority."""
    at_least = "at least " if finding.at_least else ""
    where = f"  ({finding.phase})" if finding.phase else ""
    yield [(f"{WORDS[finding.level]}", finding.level), (f"  {at_least}{visible(finding.rule)}{where}", STRONG)]
    yield from styled(finding.message, PLAIN, view.width, "  ")
    yield from _frames(finding, view)
    yield from _arithmetic(finding, view)
    yield from _remedy(finding, view)
    if finding.relevelled:
        yield from styled(finding.relevelled, FAINT, view.width, "  ", "  ")
    if finding.baseline_was:
        yield from styled("worse than known: listed " + finding.baseline_was, PLAIN, view.width, "  ", "  ")
    if finding.rests_on:
        for assumption in finding.rests_on:
            yield from styled("rests on: " + assumption, FAINT, view.width, "  ", "  ")
    if finding.needs:
        yield from styled("settled by: " + ", ".join(finding.needs), PLAIN, view.width, "  ", "  ")
    if finding.followers:
        yield from styled("same cause: " + ", ".join(finding.followers), FAINT, view.width, "  ", "  ")
    if finding.basis:
        yield from styled("authority: " + ", ".join(finding.basis), FAINT, view.width, "  ", "  ")


def _head(file: FileReport, view: View) -> Iterator[StyledLine]:
    craft = f"{file.craft}, " if file.craft else ""
    yield from styled(file.file, STRONG, view.width)
    if file.about != "setup":
        return
    yield from styled(f"{craft}{file.airframe}" + (f"; {file.map}" if file.map else ""), FAINT, view.width)
    if view.verbose:
        for line in file.layout:
            yield from styled(line, FAINT, view.width, "  ", "  ")


def _frames(finding: Finding, view: View) -> Iterator[StyledLine]:
    """A code frame for every line of the dump that decides, each named by file, line and column; all else in one list."""
    written = [(row, place) for row in finding.trace for place in row.places if place.span is not None]
    framed = written if view.verbose else [pair for pair in written if pair[0].decisive][:MOST_FRAMES] or written[:1]
    for row, place in framed:
        yield from _frame(place, _read_as(row), view)
    if not written and finding.line:
        yield from _frame(Place(finding.file, finding.line, finding.column, finding.shown), "", view)
    elif not written and finding.verdict == "problem":
        yield from styled(finding.file, FAINT, view.width, "  ")
    shown = {(row.name, place.line) for row, place in framed}
    beside = [_beside(row) for row in finding.trace if _is_beside(row, shown, view.verbose)]
    if beside:
        yield from styled("with " + "; ".join(beside), FAINT, view.width, "  ", "  ")


def _is_beside(row: TraceRow, framed: set[tuple[str, int]], verbose: bool) -> bool:
    """Whether a row belongs in the list of what else was looked at: what says something, and has no frame of its own."""
    if row.origin in WORKED_OUT or any((row.name, place.line) in framed for place in row.places):
        return False
    if verbose:
        return True
    return row.origin not in ("unseen", "unset") if row.places or row.decisive else False


def _beside(row: TraceRow) -> str:
    place = row.places[-1] if row.places else None
    if place is None:
        return f"{row.name} {row.shown}" if row.origin == "unset" else f"{row.name} = {row.shown} ({_origin(row)})"
    where = f"line {place.line}" if place.span is not None else f"{place.file.rpartition('/')[2]}:{place.line}"
    return f"{row.name} = {row.shown} ({where})"


def _frame(place: Place, read_as: str, view: View) -> Iterator[StyledLine]:
    yield [("  " + _fitted(f"{visible(place.file)}:{place.line}:{place.column}", view.width - 2), FAINT)]
    number = f"{place.line:>5} | "
    room = view.width - len(number)
    start = max(0, place.column - 1 - room // 2) if len(place.shown) > room else 0
    text = visible(place.shown)[start : start + room]
    yield [(number, FAINT), (text, PLAIN)]
    caret = " " * (len(number) + min(place.column - 1 - start, max(0, room - 1))) + "^"
    if read_as and len(caret) + 1 + len(read_as) <= view.width:
        yield [(caret + " " + read_as, FAINT)]
        return
    yield [(caret, FAINT)]
    if read_as:
        yield from styled(read_as, FAINT, view.width, " " * 8)


def _read_as(row: TraceRow) -> str:
    return f"{row.name} = {row.shown}" if row.name else ""


def _origin(row: TraceRow) -> str:
    if row.origin == "unseen":
        return "not in craft.toml" if row.name.startswith(("craft.", "site.")) else "not in the dump"
    return {"default": "documented default"}.get(row.origin, row.origin)


def _arithmetic(finding: Finding, view: View) -> Iterator[StyledLine]:
    worked = [f"{row.name} = {row.shown}" for row in finding.trace if row.origin in WORKED_OUT]
    if worked:
        yield from styled("worked out: " + "; ".join(worked), FAINT, view.width, "  ", "  ")


def _remedy(finding: Finding, view: View) -> Iterator[StyledLine]:
    if finding.advice:
        yield from styled("remedy: " + finding.advice, GOOD, view.width, "  ", "  ")
    if finding.remedy is None:
        return
    change = finding.remedy.change
    if change is None:
        yield from styled("remedy: " + finding.remedy.say, GOOD, view.width, "  ", "  ")
        return
    moved = f" (moved by {change.margin})" if change.margin else ""
    yield from styled(f"remedy: {change.line}", GOOD, view.width, "  ", "  ")
    yield from styled(f"{change.setting} = {change.shown}{moved}", FAINT, view.width, "          ")
    if change.worse:
        yield from styled("but that makes worse: " + ", ".join(change.worse), PLAIN, view.width, "          ")


def _summary(file: FileReport, view: View) -> Iterator[StyledLine]:
    counted = ", ".join(_plural(file.count(level), level) for level in LEVELS)
    yield from styled(counted, STRONG, view.width)
    counts = file.counts
    judged = f"{counts.get('clear', 0)} rules clear, {counts.get('not-applicable', 0)} do not apply"
    if file.provisional_clear:
        judged += f" ({file.provisional_clear} of these resting on assumptions)"
    yield from styled(judged, FAINT, view.width)
    if file.undecided:
        yield from _undecided(file, view)
    yield from _coverage(file, view)


def _accepted(file: FileReport, view: View) -> Iterator[StyledLine]:
    """What does not count, and who says so: nothing that is accepted goes unmentioned."""
    for finding in file.waived:
        waiver = finding.waived_by
        assert waiver is not None
        style = ERROR if finding.level == "error" else FAINT
        who = f"{waiver.owner}, until {waiver.until}: {waiver.reason}"
        yield from styled(f"waived {finding.level} {finding.rule}: {finding.message}", style, view.width, "", "  ")
        yield from styled(f"by {who} ({waiver.file}:{waiver.line})", FAINT, view.width, "    ", "  ")
    for finding in file.known:
        yield from styled(f"known {finding.level} {finding.rule}: {finding.message}", FAINT, view.width, "", "  ")
    for off in file.switched_off:
        yield from styled(f"switched off {off.rule}: {off.reason}", FAINT, view.width, "", "  ")


def render_overview(files: Sequence[FileReport], view: View) -> Iterator[StyledLine]:
    """The table of many craft, the riskiest first: worst mark by topic, and what its columns mean."""
    table = overview(files)
    letters = _letters(len(table.topics))
    width = max(12, min(max((len(visible(row.name)) for row in table.rows), default=0), view.width - 17 - len(letters)))
    yield [(f"{'craft':{width}} {'E':>4} {'W':>4} {'?':>4}  {letters}", STRONG)]
    for row in table.rows:
        name = f"{_fitted(visible(row.name), width):{width}} "
        if row.refused:
            yield [(name, PLAIN), (" not judged", ERROR)]
            continue
        numbers = f"{row.errors:>4} {row.warnings:>4} {row.undecided:>4}  "
        yield [(name, PLAIN), (numbers, PLAIN), ("".join(row.cells), _risk_style(row))]
    meaning = ", ".join(f"{letter} {visible(topic)}" for letter, topic in zip(letters, table.topics, strict=True))
    yield from styled(f"E error, W warning, n note, ? not judged, . nothing found; {meaning}", FAINT, view.width)
    yield []


def _letters(count: int) -> str:
    return "abcdefghijklmnopqrstuvwxyz0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"[:count].ljust(count, "*")


def _risk_style(row: Row) -> str:
    return ERROR if row.errors or row.refused else WARNING if row.warnings else PLAIN


def _undecided(file: FileReport, view: View) -> Iterator[StyledLine]:
    facts = Counter(need for undecided in file.undecided for need in undecided.needs)
    named = ", ".join(f"{fact} ({count})" for fact, count in sorted(facts.items(), key=lambda f: (-f[1], f[0]))[:MOST_FACTS])
    more = f" and {len(facts) - MOST_FACTS} more" if len(facts) > MOST_FACTS else ""
    waits = f"; most wanted: {named}{more}" if named else ""
    yield from styled(f"NOT JUDGED: {_plural(len(file.undecided), 'rule')}{waits}", PLAIN, view.width, "", "  ")
    if not view.verbose:
        return
    for undecided in file.undecided:
        needs = ", ".join(undecided.needs) or "a function has no value here"
        phase = f" {undecided.phase}" if undecided.phase else ""
        yield from styled(f"{undecided.rule}{phase}: needs {needs}", FAINT, view.width, "  ", "  ")
        for witness in undecided.witnesses:
            yield from styled(witness, FAINT, view.width, "    ", "  ")


def _coverage(file: FileReport, view: View) -> Iterator[StyledLine]:
    c = file.coverage
    parts = [f"{c.modelled} understood", f"{c.known_unmodelled} known but not judged", f"{c.irrelevant} irrelevant"]
    lines = f"lines: {', '.join(parts)}, {c.unrecognised} unrecognised, {c.faults} not readable, {c.other} others"
    yield from styled(lines, FAINT, view.width)
    if c.unrecognised_lines:
        first = ", ".join(str(n) for n in c.unrecognised_lines[:8])
        more = "" if len(c.unrecognised_lines) <= 8 else " and more"
        yield from styled(f"not understood: line {first}{more}", FAINT, view.width)


def _totals(run: RunReport, view: View) -> Iterator[StyledLine]:
    counted = ", ".join(_plural(sum(file.count(level) for file in run.files), level) for level in LEVELS)
    setups = [file for file in run.files if file.about == "setup"]
    refused = sum(file.refused for file in setups)
    bad = f"; {_plural(refused, 'file')} could not be judged" if refused else ""
    waived = sum(len(file.waived) for file in run.files)
    known = sum(len(file.known) for file in run.files)
    more = (f"; {waived} waived" if waived else "") + (f"; {known} known" if known else "")
    yield from styled(f"{_plural(len(setups), 'file')}: {counted}{more}{bad}", STRONG, view.width)
    for file in setups:
        for finding in file.waived:
            if finding.level == "error":
                yield from styled(f"waived error: {finding.rule} on {file.file}", ERROR, view.width, "  ", "  ")


def _plural(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _fitted(text: str, width: int) -> str:
    return text if len(text) <= width else "\u2026" + text[len(text) - width + 1 :]
