"""The report as one HTML page: head, scale drawings, findings, settings, and what was not judged.

The page needs no script and fetches nothing. It is written by the same element builder as the drawings, which escapes by
type, so the report needs no template engine installed and there is one way only for text to get onto the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from cfglint.flights.proofs import FLOWN
from cfglint.report.drawings.canvas import HATCH
from cfglint.report.drawings.markup import Content, Markup, element, joined, trusted
from cfglint.report.finding import LEVELS, FileReport
from cfglint.report.html_data import Drawing, drawings_of
from cfglint.report.html_findings import finding_sections
from cfglint.report.html_settings import settings_section, unread_section
from cfglint.report.known import Page, finding_anchor
from cfglint.report.wording import counted, coverage_words, needs_words

CAUTION = (
    "Nothing found is not airworthiness. Propellers off on the bench; then a soft, wide field, a spotter, a hand on the mode "
    "switch. Local rules and authorities prevail."
)
_STYLE = Path(__file__).parent / "html.css"
_NOTHING_FETCHED = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


def render_html(pages: Sequence[Page | FileReport], date: str = "") -> str:
    """The report of one craft, or of several one after the other; a bare FileReport is one that could not be judged.

    `date`: of the run, as the caller gives it; the page has no clock.
    """
    several = len(pages) > 1
    articles = []
    for number, page in enumerate(pages, 1):
        prefix = f"craft-{number}-" if several else ""
        articles.append(_refused(page) if isinstance(page, FileReport) else _article(page._replace(prefix=prefix), date))
    titles = [_title(page if isinstance(page, FileReport) else page.report) for page in pages]
    title = titles[0] if len(titles) == 1 else f"{counted(len(pages), 'report')}"
    return document(f"{title}: settings report", joined(articles))


def document(title: str, body: Markup) -> str:
    """A whole HTML document around its content."""
    head = element(
        "head",
        None,
        element("meta", {"charset": "utf-8"}),
        element("meta", {"http-equiv": "Content-Security-Policy", "content": _NOTHING_FETCHED}),
        element("meta", {"name": "viewport", "content": "width=device-width, initial-scale=1"}),
        element("meta", {"name": "color-scheme", "content": "light dark"}),
        element("title", None, title),
        element("style", None, trusted(_STYLE.read_text(encoding="utf-8"))),
    )
    page = element("html", {"lang": "en"}, head, element("body", None, HATCH, element("main", None, body)))
    return "<!DOCTYPE html>\n" + page.decode() + "\n"


def _article(page: Page, date: str) -> Markup:
    drawings = drawings_of(page)
    skip = element("a", {"class": "skip", "href": f"#{page.prefix}findings"}, "skip to the findings")
    return element(
        "article",
        None,
        skip,
        element("h1", None, _title(page.report)),
        _head(page, date),
        element("p", {"class": "caution", "role": "note"}, CAUTION),
        _contents(page),
        _drawings(page, drawings),
        *finding_sections(page, _drawing_of_findings(drawings)),
        _undecided(page),
        settings_section(page),
        unread_section(page),
    )


def _refused(report: FileReport) -> Markup:
    rows = [element("p", None, f"{finding.message}. {finding.advice}") for finding in report.findings]
    title = element("h1", None, f"{_title(report)}: could not be judged")
    return element("article", None, title, *rows, element("p", {"class": "caution"}, CAUTION))


def _title(report: FileReport) -> str:
    return report.craft or report.file


def _head(page: Page, date: str) -> Markup:
    report = page.report
    rows: list[tuple[str, Content]] = [
        ("dump", report.file),
        ("airframe", report.airframe),
        ("name map", report.map),
        ("date of the run", date),
        ("findings", ", ".join(counted(report.count(level), level) for level in LEVELS)),
        ("rules", _rules_words(page)),
        ("lines", coverage_words(report)),
        ("flights", _flight_words(page)),
    ]
    shown = [element("dt", None, name) + element("dd", None, value) for name, value in rows if value]
    return element("dl", {"class": "head"}, joined([Markup(row) for row in shown]))


def _rules_words(page: Page) -> str:
    report = page.report
    assumed = f" ({report.provisional_clear} of them on assumptions)" if report.provisional_clear else ""
    clear, apart = report.counts.get("clear", 0), report.counts.get("not-applicable", 0)
    return f"{clear} clear, {apart} do not apply{assumed}, {len(report.undecided)} not judged"


def _flight_words(page: Page) -> str:
    """How many flight-test cards are in each state, then each that is not flown by its id."""
    if not page.proofs:
        proven = len(page.setup.record.proven)
        return f"{counted(proven, 'setting')} flight-proven" if proven else "no flight record: nothing is flight-proven"
    states: dict[str, list[str]] = {}
    for id, status in page.proofs.items():
        states.setdefault(status.state, []).append(id)
    return "; ".join(f"{len(ids)} {state}" + (f" ({', '.join(ids)})" if state != FLOWN else "") for state, ids in states.items())


def _contents(page: Page) -> Markup:
    places = [
        ("drawings", "Drawings"),
        ("findings", "Findings"),
        ("undecided", "Not judged"),
        ("settings", "Settings"),
        ("unread", "Lines not understood"),
    ]
    links = [element("a", {"href": f"#{page.prefix}{id}"}, words) for id, words in places]
    spaced: list[Content] = [piece for link in links for piece in (link, " · ")]
    return element("nav", {"aria-label": "contents"}, *spaced[:-1])


def _drawings(page: Page, drawings: Sequence[Drawing]) -> Markup:
    legend = (
        "A diamond is an exact value, a hatched bar or ring anything in between. ✖ error, ▲ warning and ● note lead to "
        "the finding of that number. What is guessed, assumed or worked out says so."
    )
    figures = [_figure(page, drawing) for drawing in drawings if drawing.pictures]
    empty = [drawing.title for drawing in drawings if not drawing.pictures]
    rest = [element("p", {"class": "missing"}, "Nothing is known for: " + ", ".join(empty) + ".")] if empty else []
    return element(
        "section",
        None,
        element("h2", {"id": f"{page.prefix}drawings"}, "Drawings"),
        element("p", None, legend),
        element("div", {"class": "sheets"}, *figures),
        *rest,
    )


def _figure(page: Page, drawing: Drawing) -> Markup:
    parts: list[Content] = [
        element("h3", None, drawing.title),
        *drawing.pictures,
        element("figcaption", None, drawing.sentence),
    ]
    if drawing.findings:
        links: list[Content] = ["Findings: "]
        for number in drawing.findings:
            links += [element("a", {"href": "#" + finding_anchor(page.prefix, number)}, str(number)), " "]
        parts.append(element("p", {"class": "missing"}, *links))
    if drawing.missing:
        parts.append(element("p", {"class": "missing"}, "Not drawn: " + "; ".join(drawing.missing) + "."))
    return element("figure", {"id": f"{page.prefix}drawing-{drawing.id}"}, *parts)


def _drawing_of_findings(drawings: Sequence[Drawing]) -> dict[int, list[Drawing]]:
    found: dict[int, list[Drawing]] = {}
    for drawing in drawings:
        for number in drawing.findings:
            found.setdefault(number, []).append(drawing)
    return found


def _undecided(page: Page) -> Markup:
    heading = element("h2", {"id": f"{page.prefix}undecided"}, "Not judged")
    if not page.report.undecided:
        return element("section", None, heading, element("p", None, "Every rule that applies could be judged."))
    rows = []
    for undecided in page.report.undecided:
        seen = f"; {'; '.join(undecided.witnesses)}" if undecided.witnesses else ""
        words = f": {undecided.title}; {needs_words(undecided)}{seen}"
        rows.append(element("li", None, element("strong", None, undecided.rule), words))
    return element("section", None, heading, element("ul", None, *rows))
