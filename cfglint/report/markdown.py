"""A run as a Markdown summary for a pull request: worst first over all files, escaped, and small enough for a comment."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfglint.report.context import Context
from cfglint.report.finding import LEVELS, FileReport, Finding, RunReport
from cfglint.report.markdown_text import code, escaped
from cfglint.report.wording import (
    change_words,
    counted,
    counted_levels,
    detail_lines,
    headline,
    needs_words,
    place_words,
    plain,
)

MOST_BYTES = 60_000
_ROOM_FOR_ENDS = 2_000
_TITLES = {"error": "Errors", "warning": "Warnings", "note": "Notes"}
CAUTION = (
    "Nothing found is not airworthiness. Propellers off on the bench; then a soft, wide field, a spotter, a hand on the "
    "mode switch. Local rules and authorities prevail."
)


class Section(NamedTuple):
    """A titled list of blocks. `folded`: a viewer shows it when asked; `head` stands above the blocks."""

    title: str
    blocks: list[str]
    folded: bool = False
    head: str = ""


def render_markdown(run: RunReport, context: Context) -> str:
    """The summary, at most 60,000 bytes of UTF-8; what does not fit is counted where it is missing."""
    files = f"{counted(len(run.files), 'file')}"
    lines = [f"# cfglint: {counted_levels(run.files)} in {files}\n\n{_verdict(run)}\n"]
    room = MOST_BYTES - _ROOM_FOR_ENDS - _bytes("\n".join(lines))
    for section in _sections(run):
        written = _section(section, room)
        room -= _bytes(written)
        lines += [written] if written else []
    return "\n".join([*lines, CAUTION, ""])


def _verdict(run: RunReport) -> str:
    if run.status == 2:
        return "**Not everything could be judged.**" if run.files else "**Nothing was checked.**"
    bar = f"(fails from level {run.fail_on}{', and on what is not known' if run.strict else ''})"
    return f"**This run fails** {bar}." if run.status else f"This run does not fail {bar}."


def _sections(run: RunReport) -> Iterator[Section]:
    refused = [finding for file in run.files if file.refused for finding in file.findings]
    yield Section("Not judged at all", [_finding(finding) for finding in refused])
    judged = [file for file in run.files if not file.refused]
    for level in LEVELS:
        found = [finding for file in judged for finding in file.findings if finding.level == level]
        counting = [finding for finding in found if not finding.accepted]
        yield Section(_TITLES[level], [_finding(finding) for finding in counting], level == "note")
    waived = [finding for file in judged for finding in file.waived]
    yield Section("Waived", [_finding(finding) for finding in waived], all(finding.level != "error" for finding in waived))
    yield Section("Known", [_finding(finding) for file in judged for finding in file.known], True)
    yield Section("Rules switched off", [block for file in run.files for block in _switched_off(file)], True)
    yield Section("Rules not judged", [block for file in judged for block in _undecided(file)], True)
    head = "| file | craft | errors | warnings | notes | rules not judged |\n| --- | --- | --- | --- | --- | --- |"
    yield Section("Files", [_row(file) for file in sorted(run.files, key=_by_risk)], len(run.files) > 20, head)


def _section(section: Section, room: int) -> str:
    """A section within its room in bytes; empty where there is nothing to say."""
    if not section.blocks:
        return ""
    kept: list[str] = []
    for block in section.blocks:
        room -= _bytes(block) + 1
        if room < 0:
            break
        kept.append(block)
    left_out = len(section.blocks) - len(kept)
    body = "\n".join([*([section.head] if section.head and kept else []), *kept])
    if left_out:
        body += f"\n\n*{left_out} of {len(section.blocks)} left out here to keep this summary short.*"
    title = f"{section.title}: {len(section.blocks)}"
    if section.folded:
        return f"<details><summary>{title}</summary>\n\n{body}\n\n</details>\n"
    return f"## {title}\n\n{body}\n"


def _finding(finding: Finding) -> str:
    known = f" ({finding.baseline})" if finding.baseline else ""
    provisional = " (provisional)" if finding.provisional else ""
    lines = [f"- **{finding.level}** {code(plain(finding.rule))}{known}{provisional}: {escaped(headline(finding))}"]
    lines.append(f"  - at {code(place_words(finding))}")
    for line in detail_lines(finding):
        name, _, text = line.partition(": ")
        lines.append(f"  - {name}: {_remedy(finding, text) if name == 'remedy' else escaped(text)}")
    waiver = finding.waived_by
    if waiver is not None:
        owner, until, reason = (escaped(plain(text)) for text in (waiver.owner, waiver.until, waiver.reason))
        lines.append(f"  - waived by {owner} until {until}: {reason}")
    return "\n".join(lines)


def _remedy(finding: Finding, text: str) -> str:
    """The line to write as code, advice in words."""
    change = finding.remedy.change if finding.remedy else None
    return f"{code(plain(change.line))} {escaped(change_words(change))}" if change else escaped(text)


def _undecided(file: FileReport) -> Iterator[str]:
    for undecided in file.undecided:
        yield f"- {code(plain(file.file))} {code(plain(undecided.rule))}: {escaped(needs_words(undecided))}"


def _switched_off(file: FileReport) -> Iterator[str]:
    for off in file.switched_off:
        yield f"- {code(plain(file.file))} {code(plain(off.rule))}: {escaped(plain(off.reason))}"


def _row(file: FileReport) -> str:
    numbers = ["not judged"] * 4 if file.refused else [*(str(file.count(level)) for level in LEVELS), str(len(file.undecided))]
    return f"| {code(plain(file.file), in_table=True)} | {escaped(plain(file.craft))} | {' | '.join(numbers)} |"


def _by_risk(file: FileReport) -> tuple[bool, int, int, int, int, str]:
    counts = [-file.count(level) for level in LEVELS]
    return (not file.refused, counts[0], counts[1], counts[2], -len(file.undecided), file.file)


def _bytes(text: str) -> int:
    return len(text.encode("utf-8", "surrogatepass"))
