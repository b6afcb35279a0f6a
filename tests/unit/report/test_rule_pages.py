"""A page for each rule, from its own data: complete, escaped, and the same on every run."""

from __future__ import annotations

from typing import Any

from cfglint.pack.rule import Pack
from cfglint.report.rule_pages import rule_pages


def test_every_rule_has_its_page(pack: Pack, texts: dict[str, Any]) -> None:
    pages = dict(rule_pages(texts))
    assert set(pages) == {"index.md", *(f"{id}.md" for id in pack.rules)}
    assert all("## Why" in text and "## Authority" in text for name, text in pages.items() if name != "index.md")
    assert pages == dict(rule_pages(texts))


def test_nothing_in_a_pack_is_markup(texts: dict[str, Any]) -> None:
    id = next(iter(texts["rules"]))
    hostile = {**texts["rules"][id], "title": "<b>x</b> [y](z) \x1b[31m", "why": "a | b `c` <script>"}
    page = dict(rule_pages({**texts, "rules": {id: hostile}}))[f"{id}.md"]
    assert "<b>" not in page and "<script>" not in page and "\x1b" not in page and "[y](z)" not in page
