"""A finding in plain lines, for every format that has no layout of its own: clipped, and with nothing that steers a viewer."""

from __future__ import annotations

from cfglint.judge.verdict import Change
from cfglint.report.finding import LEVELS, FileReport, Finding, Undecided
from cfglint.text.visible import visible

LONGEST = 500
WORKED_OUT = ("computed", "threshold", "quantity")


def plain(text: str) -> str:
    """A text on one line, at most 500 characters of it, hidden and steering characters made visible."""
    shown = visible(text[: LONGEST + 1])
    return shown if len(text) <= LONGEST else shown[:LONGEST] + "\u2026"


def headline(finding: Finding) -> str:
    """The message, with the phase and whether something worse may hide behind it."""
    at_least = f"at least {finding.level}: " if finding.at_least else ""
    return plain(at_least + finding.message + (f" ({finding.phase})" if finding.phase else ""))


def place_words(finding: Finding) -> str:
    """File, line and column as far as they are known."""
    return plain(f"{finding.file}:{finding.line}:{finding.column}" if finding.line else finding.file)


def remedy_words(finding: Finding) -> str:
    """What to do about it, in one line; empty where nothing is known to help."""
    if finding.remedy is None:
        return plain(finding.advice)
    change = finding.remedy.change
    if change is None:
        return plain(finding.remedy.say)
    return f"{plain(change.line)} {change_words(change)}"


def change_words(change: Change) -> str:
    """What a change means: the setting with its new value, how far it moves, and what it makes worse."""
    moved = f", moved by {change.margin}" if change.margin else ""
    worse = f"; but that makes worse: {', '.join(change.worse)}" if change.worse else ""
    return plain(f"({change.setting} = {change.shown}{moved}){worse}")


def arithmetic_words(finding: Finding) -> str:
    """The numbers that were worked out."""
    return plain("; ".join(f"{row.name} = {row.shown}" for row in finding.trace if row.origin in WORKED_OUT))


def detail_lines(finding: Finding) -> list[str]:
    """Everything beside the message: read values, arithmetic, remedy, assumptions, what settles it, authority."""
    read = "; ".join(f"{row.name} = {row.shown} ({row.origin})" for row in finding.trace if row.origin not in WORKED_OUT)
    rows = [
        ("read", plain(read)),
        ("worked out", arithmetic_words(finding)),
        ("remedy", remedy_words(finding)),
        ("worse than known", plain(finding.baseline_was)),
        ("level changed", plain(finding.relevelled)),
        ("rests on", plain("; ".join(finding.rests_on))),
        ("settled by", plain(", ".join(finding.needs))),
        ("possible", plain("; ".join(finding.witnesses))),
        ("same cause", plain(", ".join(finding.followers))),
        ("authority", plain(", ".join(finding.basis))),
    ]
    return [f"{name}: {text}" for name, text in rows if text]


def needs_words(undecided: Undecided) -> str:
    """Why a rule is not judged."""
    phase = f" ({undecided.phase})" if undecided.phase else ""
    needs = ", ".join(undecided.needs)
    return plain(f"not judged{phase}: needs {needs}" if needs else f"not judged{phase}: a function has no value here")


def counted_levels(files: tuple[FileReport, ...]) -> str:
    """How many errors, warnings and notes there are."""
    return ", ".join(counted(sum(file.count(level) for file in files), level) for level in LEVELS)


def coverage_words(file: FileReport) -> str:
    """How many lines of the dump were understood, and how many were not; empty for what is no dump, or was not judged."""
    c = file.coverage
    if file.refused or file.about != "setup":
        return ""
    return (
        f"{c.modelled} of {counted(c.lines, 'line')} understood, {c.known_unmodelled} known but not judged, "
        f"{c.irrelevant} irrelevant, {c.unrecognised} unrecognised, {c.faults} not readable, {c.other} others"
    )


def counted(count: int, word: str) -> str:
    """A count with its noun."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
