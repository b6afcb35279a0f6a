"""A page for each rule, as Markdown, made from the rule's own data and never edited by hand."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from cfglint.report.rule_texts import MARKS, cited_ids, levels_of, threshold_rows
from cfglint.text.visible import visible

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~])")


def rule_pages(texts: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Relative path and text of every page, the index first; the same bytes for the same pack."""
    rules = texts["rules"]
    yield "index.md", _index(rules)
    for id in sorted(rules):
        yield f"{id}.md", "\n".join(_page(id, rules[id], texts)) + "\n"


def _index(rules: Mapping[str, Any]) -> str:
    lines = ["# Rules", ""]
    topic = ""
    for id in sorted(rules):
        if id.split("/")[0] != topic:
            topic = id.split("/")[0]
            lines += ["", f"## {topic}", ""]
        lines.append(f"- [{id}]({id}.md): {_plain(rules[id]['title'])} ({', '.join(levels_of(rules[id]))})")
    return "\n".join(lines) + "\n"


def _page(id: str, rule: Mapping[str, Any], texts: Mapping[str, Any]) -> Iterator[str]:
    yield f"# {_plain(id)}"
    yield ""
    yield _plain(rule["title"])
    yield ""
    yield f"For {', '.join(rule['airframes'])}; {rule['status']} since {_plain(rule['since'])}."
    yield from _section("Why", rule["why"])
    yield from _conditions(rule)
    yield from _thresholds(rule)
    yield from _section("How to find out", rule["find_out"])
    yield from _section("Exceptions", rule["exceptions"])
    yield from _authority(rule, texts["sources"])
    yield from _examples(rule)


def _section(title: str, text: str) -> Iterator[str]:
    if text.strip():
        yield from ("", f"## {title}", "", _plain(" ".join(text.split())))


def _conditions(rule: Mapping[str, Any]) -> Iterator[str]:
    yield from ("", "## What must hold", "")
    for name, formula in rule["let"].items():
        yield f"- {_code(name)} = {_code(formula)}"
    for part in rule["part"]:
        level = (
            part["level"]
            if isinstance(part["level"], str)
            else ", ".join(f"{row}: {word}" for row, word in part["level"].items())
        )
        yield f"- **{_plain(level)}**"
        if part["when"]:
            yield f"  - when {_code(part['when'])}"
        yield f"  - must hold: {_code(part['require'])}"
        if part["undecided"]:
            yield f"  - not knowing is a finding of level {part['undecided']}"


def _thresholds(rule: Mapping[str, Any]) -> Iterator[str]:
    if not rule["threshold"]:
        return
    yield from ("", "## Thresholds", "", "| threshold | row | value | authority |", "|---|---|---|---|")
    for name, table in rule["threshold"].items():
        for row, value, basis in threshold_rows(table):
            yield f"| {_plain(name)} | {_plain(row)} | {_plain(value)} | {_plain(', '.join(basis))} |"


def _authority(rule: Mapping[str, Any], sources: Mapping[str, Any]) -> Iterator[str]:
    yield from ("", "## Authority", "")
    for id in cited_ids(rule):
        source = sources[id]
        place = f", {source['place']}" if source["place"] else ""
        mark = f" ({MARKS[source['mark']]})" if source["mark"] or source["place"] else ""
        says = f": {source['says']}" if source["says"] else ""
        yield f"- {_plain(id)}: {_plain(source['document'] + place + mark + says)}"


def _examples(rule: Mapping[str, Any]) -> Iterator[str]:
    yield from ("", "## Examples", "", "| example | airframe | verdict |", "|---|---|---|")
    for example in rule["example"]:
        level = f", {example['level']}" if example["level"] else ""
        yield f"| {_plain(example['name'])} | {_plain(example['airframe'])} | {example['expect']}{level} |"


def _plain(text: str) -> str:
    """A text in which nothing is markup."""
    return _SPECIAL.sub(r"\\\1", visible(" ".join(text.split()))).replace("\\_", "\\_")


def _code(text: str) -> str:
    joined = visible(" ".join(text.split())).replace("`", "'")
    return f"`{joined}`"
