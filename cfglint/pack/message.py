"""Messages of rules: text with names in braces, `{loiter.radius}` or `{time_up:min}` with a unit of its own."""

from __future__ import annotations

import re

_PLACEHOLDER = re.compile(r"\{([A-Za-z][A-Za-z0-9_.@]*)(?::([^{}]{1,40}))?\}")


def placeholders(template: str) -> list[tuple[str, str]]:
    """The names a message speaks of, each with its unit text ("" where none is given)."""
    return [(match[1], match[2] or "") for match in _PLACEHOLDER.finditer(template)]


def filled(template: str, texts: dict[tuple[str, str], str]) -> str:
    """The message with each name replaced by its text."""
    return _PLACEHOLDER.sub(lambda match: texts.get((match[1], match[2] or ""), match[0]), template)
