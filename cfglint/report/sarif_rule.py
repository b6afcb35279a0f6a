"""A rule's description in SARIF: title, why, and the whole help as text and as Markdown, from the pack's texts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from cfglint.report.context import Context
from cfglint.report.explained import cited_sources, paragraphs
from cfglint.report.finding import LEVELS
from cfglint.report.markdown_text import code, escaped
from cfglint.report.wording import plain
from cfglint.text.visible import visible

_BY_GROUP = {
    "dump": "A problem of the dump itself: what it says could not be used as it stands.",
    "facts": "A problem of what is known about the craft and its field.",
    "run": "What a run as a whole says about a file.",
}
_OTHER = "A finding of the tool itself, which no rule of the pack describes."


def descriptor(id: str, context: Context) -> dict[str, Any]:
    """The description of a rule; of what is not in the pack as much as its id says."""
    rule = context.rules.get(id)
    name = "".join(word.capitalize() for word in visible(id).replace("/", "-").replace("_", "-").split("-"))
    if rule is None:
        return {"id": id, "name": name, **_unlisted(id)}
    return {
        "id": id,
        "name": name,
        "shortDescription": {"text": _sentence(rule["title"])},
        "fullDescription": {"text": _sentence(" ".join(rule["why"].split()))},
        "defaultConfiguration": {"level": worst_level(rule)},
        "help": {"text": "\n\n".join(_text(rule, context)), "markdown": "\n\n".join(_markdown(rule, context))},
        "properties": {
            "tags": [plain(id.partition("/")[0]), *(plain(airframe) for airframe in rule["airframes"])][:20],
            "status": rule["status"],
            "since": rule["since"],
            "sources": [source for source, _ in cited_sources(rule, context.sources)],
        },
    }


def worst_level(rule: Mapping[str, Any]) -> str:
    """The highest level that any part of a rule can have, not knowing included."""
    levels: set[str] = set()
    for part in rule["part"]:
        levels |= {part["level"]} if isinstance(part["level"], str) else set(part["level"].values())
        levels.add(part["undecided"])
    return next((level for level in LEVELS if level in levels), "warning")


def _unlisted(id: str) -> dict[str, Any]:
    group, _, what = visible(id).partition("/")
    said = _BY_GROUP.get(group, _OTHER)
    return {
        "shortDescription": {"text": _sentence(f"{group}: {what.replace('-', ' ')}" if what else group)},
        "fullDescription": {"text": said},
        "help": {"text": said, "markdown": escaped(said)},
    }


def _text(rule: Mapping[str, Any], context: Context) -> Iterator[str]:
    for title, lines in paragraphs(rule, context.sources):
        yield "\n".join([title, *(f"  {visible(line.lead + line.text)}" for line in lines)])


def _markdown(rule: Mapping[str, Any], context: Context) -> Iterator[str]:
    for title, lines in paragraphs(rule, context.sources):
        told = [f"- {escaped(line.lead)} {code(line.text)}" if line.formula else escaped(line.text) for line in lines]
        yield "\n\n".join([f"**{escaped(title)}**", *_joined(told)])


def _joined(lines: list[str]) -> list[str]:
    """Points of one list stand below each other, paragraphs apart."""
    blocks: list[str] = []
    for line in lines:
        if blocks and line.startswith("- ") and blocks[-1].startswith("- "):
            blocks[-1] += "\n" + line
        else:
            blocks.append(line)
    return blocks


def _sentence(text: str) -> str:
    shown = visible(text).strip()
    shown = shown[:1].upper() + shown[1:]
    return shown if shown.endswith((".", "!", "?")) else shown + "."
