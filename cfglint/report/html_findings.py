"""Findings on the HTML page, worst first: what rests on which lines, the arithmetic, the remedy, the authority."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cfglint.judge.verdict import TraceRow
from cfglint.report.drawings.markup import Content, Markup, element
from cfglint.report.finding import Finding
from cfglint.report.html_data import Drawing
from cfglint.report.known import Page, finding_anchor
from cfglint.report.wording import arithmetic_words, detail_lines, headline, place_words
from cfglint.setup.setting import Place

_MOST_LINES = 12
_SHAPES = {"error": "✖", "warning": "▲", "note": "●"}
_SHOWN_APART = ("read: ", "worked out: ", "remedy: ")


def finding_sections(page: Page, drawn: Mapping[int, Sequence[Drawing]]) -> list[Markup]:
    """The section of findings; `drawn`: the drawings that show each, by its number from 1."""
    heading = element("h2", {"id": f"{page.prefix}findings"}, "Findings")
    findings = page.report.findings
    if not findings:
        nothing = "Nothing was found in what could be judged."
        return [element("section", None, heading, element("p", None, nothing))]
    rows = [_finding(page, number, finding, drawn.get(number, ())) for number, finding in enumerate(findings, 1)]
    return [element("section", None, heading, *rows)]


def _finding(page: Page, number: int, finding: Finding, drawn: Sequence[Drawing]) -> Markup:
    level = element("span", {"class": f"level {finding.level}"}, f"{_SHAPES[finding.level]} {number} {finding.level}")
    rule = element("span", {"class": "rule"}, finding.rule)
    parts: list[Content] = [
        element("h3", None, level, " ", rule),
        element("p", None, element("strong", None, headline(finding))),
    ]
    parts += [_line(row, place) for row, place in _lines(finding)]
    if not finding.trace and finding.line:
        parts.append(element("pre", None, f"{place_words(finding)}: {finding.shown}"))
    parts += _facts(finding)
    parts += _worked_out(finding)
    parts += _remedy(finding)
    parts += [element("p", None, line) for line in detail_lines(finding) if not line.startswith(_SHOWN_APART)]
    parts += _drawn(page, drawn)
    anchor = finding_anchor(page.prefix, number)
    return element("article", {"class": f"finding {finding.level}", "id": anchor, "tabindex": "-1"}, *parts)


def _lines(finding: Finding) -> list[tuple[TraceRow, Place]]:
    """The lines that it rests on: those that decide before those that only say when it applies."""
    written = [(row, place) for row in finding.trace for place in row.places]
    return [pair for pair in written if pair[0].decisive][:_MOST_LINES] or written[:1]


def _line(row: TraceRow, place: Place) -> Markup:
    where = element("span", {"class": "where"}, f"{place.file}:{place.line}")
    return element("pre", None, where, element("br"), place.shown, element("br"), f"read as {row.name} = {row.shown}")


def _facts(finding: Finding) -> list[Markup]:
    shown = {row.name for row, _ in _lines(finding)}
    beside = [
        f"{row.name} = {row.shown} ({row.origin})"
        for row in finding.trace
        if row.name not in shown and row.origin not in ("computed", "threshold", "quantity")
    ]
    return [element("p", None, "with " + "; ".join(beside))] if beside else []


def _worked_out(finding: Finding) -> list[Markup]:
    words = arithmetic_words(finding)
    return [element("p", None, "worked out: " + words)] if words else []


def _remedy(finding: Finding) -> list[Markup]:
    change = finding.remedy.change if finding.remedy is not None else None
    if change is None:
        say = finding.remedy.say if finding.remedy is not None else finding.advice
        return [element("p", None, element("strong", None, "remedy: "), say)] if say else []
    words = f"{change.setting} = {change.shown}" + (f", moved by {change.margin}" if change.margin else "")
    parts = [element("p", None, element("strong", None, "remedy: "), words), element("pre", None, change.line)]
    if change.worse:
        parts.append(element("p", None, "but that makes worse: " + ", ".join(change.worse)))
    return parts


def _drawn(page: Page, drawn: Sequence[Drawing]) -> list[Markup]:
    if not drawn:
        return []
    links: list[Content] = ["seen in: "]
    for drawing in drawn:
        links += [element("a", {"href": f"#{page.prefix}drawing-{drawing.id}"}, drawing.title), " "]
    return [element("p", None, *links)]
