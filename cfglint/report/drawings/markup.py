"""Elements of HTML and SVG that cannot be broken out of: every string is made visible and escaped, elements nest by type.

A plain `str` is always text. Only `element` and `joined` make `Markup`, and only `Markup` passes unescaped; there is no way
to write raw markup but `trusted`, which is for constants of the tool itself.
"""

from __future__ import annotations

import html
from collections.abc import Iterable
from typing import NewType

from cfglint.text.visible import visible

Markup = NewType("Markup", bytes)
Content = str | Markup | int
Attribute = str | int | float | bool | None

_EMPTY = frozenset(("meta", "link", "br", "hr", "path", "circle", "rect", "line", "polyline", "use"))
_LONGEST_TEXT = 4000


def element(tag: str, attributes: dict[str, Attribute] | None = None, *content: Content) -> Markup:
    """One element. An attribute that is None or False is left out; True stands alone; a float is rounded to 2 decimals."""
    head = tag + "".join(_attribute(name, value) for name, value in (attributes or {}).items())
    if tag in _EMPTY and not content:
        return Markup(f"<{head}/>".encode())
    return Markup(f"<{head}>".encode() + joined(content) + f"</{tag}>".encode())


def joined(content: Iterable[Content]) -> Markup:
    """Pieces one after the other, text escaped."""
    return Markup(b"".join(piece if isinstance(piece, bytes) else escaped(str(piece)) for piece in content))


def escaped(text: str) -> Markup:
    """Text as markup that shows just this text, cut where it is endless."""
    if len(text) > _LONGEST_TEXT:
        text = text[:_LONGEST_TEXT] + " … (cut)"
    return Markup(html.escape(visible(text), quote=True).encode())


def trusted(text: str) -> Markup:
    """A constant of the tool that is markup already; never for anything that was read."""
    return Markup(text.encode())


def number(value: float) -> str:
    """A coordinate: two decimals at most, no idle zeros, no minus zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _attribute(name: str, value: Attribute) -> str:
    if value is None or value is False:
        return ""
    if value is True:
        return f" {name}"
    text = number(value) if isinstance(value, float) else str(value)
    return f' {name}="{html.escape(visible(text), quote=True)}"'
