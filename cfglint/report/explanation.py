"""A rule explained: why, what must hold, its thresholds for every airframe type, its authority, and a worked example."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from cfglint.judge.verdict import Verdict
from cfglint.report.rule_texts import MARKS, cited_ids, threshold_rows
from cfglint.report.styled import FAINT, GOOD, PLAIN, STRONG, StyledLine, styled


def render_explanation(
    id: str,
    rule: Mapping[str, Any],
    texts: Mapping[str, Any],
    worked: tuple[Mapping[str, Any], Verdict] | None,
    width: int,
) -> Iterator[StyledLine]:
    """The explanation of one rule, line by line. `worked`: one of its own examples with the verdict it gets."""
    yield [(id, STRONG)]
    yield from styled(rule["title"], PLAIN, width)
    yield from styled(f"for {', '.join(rule['airframes'])}; {rule['status']} since {rule['since']}", FAINT, width)
    yield from _section("Why", rule["why"], width)
    yield from _parts(rule, width)
    yield from _amounts(rule, texts, width)
    yield from _thresholds(rule, width)
    if worked:
        yield from _worked(*worked, width)
    if rule["find_out"]:
        yield from _section("How to find out", rule["find_out"], width)
    if rule["exceptions"]:
        yield from _section("Exceptions", rule["exceptions"], width)
    yield from _authority(rule, texts["sources"], width)
    if rule["follows_from"]:
        yield from _section("Folded under", ", ".join(rule["follows_from"]), width)


def _section(title: str, text: str, width: int) -> Iterator[StyledLine]:
    yield []
    yield [(title, STRONG)]
    for paragraph in text.strip().split("\n\n"):
        yield from styled(" ".join(paragraph.split()), PLAIN, width, "  ")


def _parts(rule: Mapping[str, Any], width: int) -> Iterator[StyledLine]:
    yield []
    yield [("What must hold", STRONG)]
    for part in rule["part"]:
        level = part["level"]
        levels = level if isinstance(level, str) else ", ".join(f"{row}: {word}" for row, word in level.items())
        yield [(f"  {levels}", STRONG)]
        if part["when"]:
            yield from styled("when " + " ".join(part["when"].split()), PLAIN, width, "    ", "  ")
        yield from styled("must hold: " + " ".join(part["require"].split()), PLAIN, width, "    ", "  ")
        if part["undecided"]:
            yield from styled(f"not knowing is a finding of level {part['undecided']}", PLAIN, width, "    ", "  ")


def _amounts(rule: Mapping[str, Any], texts: Mapping[str, Any], width: int) -> Iterator[StyledLine]:
    shared = {n: q for n, q in texts["quantities"].items() if any(n in text for text in _formulas(rule))}
    conditions = {n: c for n, c in texts["conditions"].items() if any(n in text for text in _formulas(rule))}
    if not rule["let"] and not shared and not conditions:
        return
    yield []
    yield [("Where", STRONG)]
    for name, formula in rule["let"].items():
        yield from styled(f"{name} = {' '.join(formula.split())}", PLAIN, width, "  ", "    ")
    for name, condition in conditions.items():
        yield from styled(f"{name}: {condition['meaning']}", PLAIN, width, "  ", "    ")
    for name, quantity in shared.items():
        yield from styled(f"{name}: {quantity['meaning']}", PLAIN, width, "  ", "    ")
        for way in quantity["way"]:
            yield from styled(f"{way['says']} ({', '.join(way['basis'])})", FAINT, width, "    ", "  ")


def _formulas(rule: Mapping[str, Any]) -> list[str]:
    return [*rule["let"].values(), *(part["when"] + " " + part["require"] for part in rule["part"])]


def _thresholds(rule: Mapping[str, Any], width: int) -> Iterator[StyledLine]:
    if not rule["threshold"]:
        return
    yield []
    yield [("Thresholds", STRONG)]
    for name, table in rule["threshold"].items():
        if table["by"]:
            yield from styled(f"{name}, by {table['by']}:", PLAIN, width, "  ")
        for row, value, basis in threshold_rows(table):
            yield from styled(f"{row or name}: {value} ({', '.join(basis)})", PLAIN, width, "    " if row else "  ", "  ")


def _worked(example: Mapping[str, Any], verdict: Verdict, width: int) -> Iterator[StyledLine]:
    yield []
    yield [("A worked example", STRONG)]
    yield from styled(f"{example['name']} ({example['airframe']})", PLAIN, width, "  ")
    for id, text in example["settings"].items():
        yield from styled(f"{id} = {text}", FAINT, width, "    ")
    for table in ("craft", "site"):
        for name, text in example[table].items():
            yield from styled(f"{table}.{name} = {text}", FAINT, width, "    ")
    yield from styled(f"{verdict.level or verdict.outcome}: {verdict.message}", PLAIN, width, "  ", "  ")
    for row in verdict.trace:
        if row.origin in ("computed", "threshold"):
            yield from styled(f"{row.name} = {row.shown}", FAINT, width, "    ")
    if verdict.remedy and verdict.remedy.change:
        yield from styled("remedy: " + verdict.remedy.change.line, GOOD, width, "  ")


def _authority(rule: Mapping[str, Any], sources: Mapping[str, Any], width: int) -> Iterator[StyledLine]:
    yield []
    yield [("Authority", STRONG)]
    for id in cited_ids(rule):
        source = sources[id]
        if not source["mark"] and not source["place"]:
            yield from styled(f"{id}: {source['document']}", PLAIN, width, "  ", "    ")
            continue
        mark = MARKS[source["mark"]]
        place = f", {source['place']}" if source["place"] else ""
        yield from styled(f"{id}: {source['document']}{place} [{mark}]", PLAIN, width, "  ", "    ")
        if source["says"]:
            yield from styled(source["says"], FAINT, width, "    ")
        if source["note"]:
            yield from styled(source["note"], FAINT, width, "    ")
