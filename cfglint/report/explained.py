"""A rule explained in titled paragraphs, for the formats that carry rules with their results."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from cfglint.report.rule_texts import MARKS, cited_ids


class Line(NamedTuple):
    """A line of text; `formula`: it is written in the language of the rules, and `lead` says what it is for."""

    text: str
    formula: bool = False
    lead: str = ""


def paragraphs(rule: Mapping[str, Any], sources: Mapping[str, Any]) -> Iterator[tuple[str, list[Line]]]:
    """Why, what must hold, how to find out, exceptions, and the authority with how far it was seen."""
    yield "Why", [Line(" ".join(part.split())) for part in rule["why"].strip().split("\n\n")]
    yield "What must hold", list(_conditions(rule))
    for title, key in (("How to find out", "find_out"), ("Exceptions", "exceptions")):
        if rule[key]:
            yield title, [Line(" ".join(rule[key].split()))]
    yield "Authority", [Line(f"{id}: {said}") for id, said in cited_sources(rule, sources)]


def cited_sources(rule: Mapping[str, Any], sources: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Every source that a rule cites, with its document, its place and whether its text was seen."""
    return [(id, _source_words(sources[id]) if id in sources else "") for id in cited_ids(rule)]


def _conditions(rule: Mapping[str, Any]) -> Iterator[Line]:
    for part in rule["part"]:
        levels = part["level"] if isinstance(part["level"], str) else ", ".join(f"{r}: {w}" for r, w in part["level"].items())
        if part["when"]:
            yield Line(" ".join(part["when"].split()), True, f"{levels}, when ")
        yield Line(" ".join(part["require"].split()), True, "must hold: " if part["when"] else f"{levels}, must hold: ")
    for name, formula in rule["let"].items():
        yield Line(f"{name} = {' '.join(formula.split())}", True, "where ")


def _source_words(source: Mapping[str, Any]) -> str:
    place = f", {source['place']}" if source["place"] else ""
    return f"{source['document']}{place} ({MARKS[source['mark']]})"
