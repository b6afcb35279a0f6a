"""The fleet page: a heat table of craft by topic, each craft linked to its own report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cfglint.report.drawings.markup import Markup, element
from cfglint.report.finding import LEVELS, FileReport
from cfglint.report.html import CAUTION, document
from cfglint.report.wording import counted

_SHAPES = {"error": "✖", "warning": "▲", "note": "●"}


def render_fleet(reports: Sequence[FileReport], links: Mapping[str, str] | None = None, date: str = "") -> str:
    """One row a craft, one column a topic; a cell shows the worst level there and how many findings there are of it.

    `links`: the address of each file's own report, by file name; a craft without one is not linked.
    """
    topics = sorted({_topic(finding.rule) for report in reports for finding in report.findings if not report.refused})
    names = [*(topic.replace("-", " ") for topic in topics), "not judged"]
    head = element("tr", None, *[element("th", {"scope": "col"}, name) for name in ("craft", *names)])
    rows = [_row(report, topics, links or {}) for report in reports]
    table = element("table", {"class": "heat"}, element("thead", None, head), element("tbody", None, *rows))
    words = [
        counted(len(reports), "craft") if len(reports) == 1 else f"{len(reports)} craft",
        *(counted(sum(r.count(level) for r in reports), level) for level in LEVELS),
    ]
    body = element(
        "article",
        None,
        element("h1", None, "All craft"),
        element("p", None, ", ".join(words) + (f"; {date}" if date else "")),
        element("p", {"class": "caution", "role": "note"}, CAUTION),
        element("p", None, "✖ error, ▲ warning, ● note, with how many; a dash: nothing found in what could be judged."),
        element("div", {"class": "scroll", "tabindex": "0", "role": "region", "aria-label": "craft by topic"}, table),
    )
    return document("All craft: settings reports", body)


def _row(report: FileReport, topics: Sequence[str], links: Mapping[str, str]) -> Markup:
    name = report.craft or report.file
    address = links.get(report.file)
    named = element("a", {"href": address}, name) if address is not None and _is_local(address) else name
    head = element("th", {"scope": "row"}, named)
    if report.refused:
        return element("tr", None, head, element("td", {"colspan": len(topics) + 1}, "could not be judged"))
    cells = [_cell(report, topic) for topic in topics]
    return element("tr", None, head, *cells, element("td", None, str(len(report.undecided)) if report.undecided else "–"))


def _cell(report: FileReport, topic: str) -> Markup:
    levels = [finding.level for finding in report.findings if _topic(finding.rule) == topic]
    worst = next((level for level in LEVELS if level in levels), "")
    if not worst:
        return element("td", None, "–")
    count = levels.count(worst)
    return element("td", {"class": worst, "aria-label": counted(count, worst)}, f"{_SHAPES[worst]} {count}")


def _topic(rule: str) -> str:
    return rule.partition("/")[0]


def _is_local(address: str) -> bool:
    """Whether an address is a relative one: a file name can't smuggle in a scheme."""
    return ":" not in address.partition("/")[0] and not address.startswith(("/", "\\"))
