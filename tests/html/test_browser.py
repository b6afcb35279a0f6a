"""The page in a real browser: desktop, phone and paper, light and dark; nothing fetched, no error, reachable by keyboard.

Needs chromium and playwright; without them these tests skip and say so.
"""

from __future__ import annotations

import importlib
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cfglint.judge.judge import Judge
from cfglint.report.html import render_html
from tests.html.pages import EIGHT, described, page_of

CHROMIUM = shutil.which("chromium")
MUST = bool(os.environ.get("CFGLINT_BROWSER_TESTS"))
VIEWS = {"desktop": (1200, 900), "phone": (360, 740)}
CROSSING = """() => {
  const wrong = [];
  for (const svg of document.querySelectorAll('svg.drawing')) {
    const frame = svg.getBoundingClientRect();
    const texts = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBoundingClientRect()]);
    texts.forEach(([a, p], i) => {
      if (p.left < frame.left - 1 || p.right > frame.right + 1 || p.bottom > frame.bottom + 1) wrong.push(['outside', a]);
      texts.slice(i + 1).forEach(([b, q]) => {
        const wide = Math.min(p.right, q.right) - Math.max(p.left, q.left);
        const high = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
        if (wide > 0.5 && high > 0.3 * Math.min(p.height, q.height)) wrong.push([a, b]);
      });
    });
  }
  return wrong;
}"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    if CHROMIUM is None and not MUST:
        pytest.skip("no chromium is installed")
    api: Any = importlib.import_module("playwright.sync_api") if MUST else pytest.importorskip("playwright.sync_api")
    with api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture(scope="module")
def written(judge: Judge, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("reports")
    found = {}
    for name in EIGHT:
        description = described(name)
        description["settings"].update({"battery.cell_critical": "2.9 V", "link_loss.action": "none"})
        found[name] = folder / f"{name}.html"
        found[name].write_text(render_html([page_of(judge, description)], "3 May 2026"), encoding="utf-8")
    return found


def opened(browser: Any, path: Path, view: str, scheme: str) -> tuple[Any, list[str], list[str]]:
    width, height = VIEWS[view]
    page = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
    errors: list[str] = []
    fetched: list[str] = []
    page.on("console", lambda message: errors.append(message.text))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("request", lambda request: fetched.append(request.url))
    page.goto(path.as_uri())
    return page, errors, fetched


@pytest.mark.parametrize("name", EIGHT)
@pytest.mark.parametrize("view", VIEWS)
def test_labels_stay_apart_and_inside_as_the_browser_sets_them(
    browser: Any, written: dict[str, Path], name: str, view: str
) -> None:
    page, errors, fetched = opened(browser, written[name], view, "light")
    assert page.evaluate(CROSSING) == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert errors == [] and fetched == [written[name].as_uri()]
    page.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_from_the_paper(browser: Any, written: dict[str, Path], scheme: str) -> None:
    page, _, _ = opened(browser, written["five_inch"], "desktop", scheme)
    for selector in ("body", ".level", ".missing", ".drawing text", ".drawing text.flag", "p a, nav a"):
        ratio = page.evaluate(CONTRAST, selector)
        assert ratio >= 4.5, f"{selector}: {ratio}"
    page.close()


def test_a_finding_is_reached_by_keyboard(browser: Any, written: dict[str, Path]) -> None:
    page, _, _ = opened(browser, written["five_inch"], "desktop", "light")
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("(document.activeElement.getAttribute('href') || '').includes('finding-')"):
            break
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash").startswith("#finding-")
    page.close()


def test_paper_is_a4_and_holds_every_drawing(browser: Any, written: dict[str, Path], tmp_path: Path) -> None:
    page, _, _ = opened(browser, written["survey_plane"], "desktop", "dark")
    page.emulate_media(media="print")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.locator("svg.drawing").count() >= 9
    page.pdf(path=str(tmp_path / "report.pdf"), format="A4")
    assert (tmp_path / "report.pdf").stat().st_size > 20_000
    page.close()


CONTRAST = """selector => {
  const light = colour => {
    const parts = colour.match(/[0-9.]+/g).slice(0, 3).map(Number).map(v => v / 255);
    const linear = parts.map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
  };
  const paper = light(getComputedStyle(document.body).backgroundColor);
  const ratios = [...document.querySelectorAll(selector)].filter(e => !e.classList.contains('letter')).map(e => {
    const style = getComputedStyle(e);
    const ink = light(e.namespaceURI.endsWith('svg') ? style.fill : style.color);
    return (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
  });
  return Math.min(...ratios);
}"""
