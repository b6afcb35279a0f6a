"""Settings on the HTML page: each with value, origin and line; and the lines that nobody understood."""

from __future__ import annotations

from itertools import groupby

from cfglint.judge.tell import setting_value
from cfglint.report.drawings.markup import Markup, element
from cfglint.report.known import Page
from cfglint.setup.setting import UNSEEN, UNSET_ORIGIN, Setting
from cfglint.text.dump import LineKind

_MOST_FAULTS = 200


def settings_section(page: Page) -> Markup:
    """Every setting and fact that is known, by topic; then the names of those that are unset or not known."""
    known = [s for s in page.setup.settings.values() if s.origin not in (UNSEEN, UNSET_ORIGIN)]
    heading = element("h2", {"id": f"{page.prefix}settings"}, "Settings understood")
    bodies = []
    for topic, settings in groupby(known, key=lambda s: s.id.partition(".")[0]):
        title = element("tr", None, element("th", {"colspan": 4, "scope": "rowgroup"}, topic.replace("_", " ")))
        bodies.append(element("tbody", None, title, *[_row(page, setting) for setting in settings]))
    names = [element("th", {"scope": "col"}, name) for name in ("setting", "value", "origin", "line")]
    table = element("table", {"class": "settings"}, element("thead", None, element("tr", None, *names)), *bodies)
    return element("section", None, heading, element("div", {"class": "scroll"}, table), *_absent(page))


def unread_section(page: Page) -> Markup:
    """The lines that were not understood, as they are written."""
    heading = element("h2", {"id": f"{page.prefix}unread"}, "Lines not understood")
    coverage, dump = page.setup.coverage, page.setup.dump
    numbers = list(coverage.unrecognised_lines)
    faults = [line.number for line in dump.lines if line.kind is LineKind.FAULT][:_MOST_FAULTS] if coverage.faults else []
    shown = sorted({*numbers, *faults})
    if not shown:
        return element("section", None, heading, element("p", None, "None."))
    rows = [element("pre", None, f"{number}: {dump.source.line_text(number)}") for number in shown]
    left = coverage.unrecognised + coverage.faults - len(shown)
    more = [element("p", None, f"and {left} more")] if left > 0 else []
    return element("section", None, heading, *rows, *more)


def _row(page: Page, setting: Setting) -> Markup:
    cells = [setting.id, setting_value(page.setup, setting), setting.origin, _places(setting)]
    return element("tr", None, *[element("td", None, cell) for cell in cells])


def _places(setting: Setting) -> str:
    return ", ".join(f"{place.file.rpartition('/')[2]}:{place.line}" for place in setting.places[:4])


def _absent(page: Page) -> list[Markup]:
    """The members of families that were never seen are left out: there are hundreds."""
    rows = []
    for origin, title in ((UNSET_ORIGIN, "Unset"), (UNSEEN, "Not known")):
        ids = [s.id for s in page.setup.settings.values() if s.origin == origin and "@" not in s.id]
        if ids:
            summary = element("summary", None, f"{title}: {len(ids)}")
            rows.append(element("details", None, summary, element("p", None, ", ".join(ids))))
    return rows
