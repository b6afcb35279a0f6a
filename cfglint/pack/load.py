"""The packs a run judges with: the shipped one, read as checked JSON, and a stranger's, built once for its content."""

from __future__ import annotations

import json
import os
from typing import Any, NamedTuple

from cfglint.pack.rule import Pack, pack_of
from cfglint.store.remembered import content_key, remembered
from cfglint.text.problem import Refused, refuse

_HERE = os.path.dirname(os.path.abspath(__file__))
_PACKAGE = os.path.dirname(_HERE)
SHIPPED_JUDGE = os.path.join(_HERE, "shipped.json")
SHIPPED_TEXTS = os.path.join(_HERE, "shipped_texts.json")


class _Stored(NamedTuple):
    pack: Any
    key: bytes


def shipped_pack() -> Pack:
    """The pack that comes with the tool. In a source tree it is built from `rules/` when that has changed.

    Raises Refused when it is damaged or, in a source tree, wrong.
    """
    stored = _shipped("judge", SHIPPED_JUDGE)
    try:
        return pack_of(stored.pack, stored.key)
    except (KeyError, TypeError, ValueError, IndexError) as error:
        raise refuse("shipped pack", f"damaged: {error}", "install cfglint again") from None


def shipped_texts() -> dict[str, Any]:
    """Why, sources, examples and formulas as text, for what comes with the tool."""
    texts: dict[str, Any] = _shipped("texts", SHIPPED_TEXTS).pack
    return texts


def rules_folder() -> str:
    """Where the shipped rule files are: inside the package when installed, beside it in a source tree."""
    inside = os.path.join(_PACKAGE, "rules")
    return inside if os.path.isdir(inside) else os.path.join(os.path.dirname(_PACKAGE), "rules")


def lexicon_path() -> str:
    """Where the words are by which a name map is drafted."""
    return os.path.join(rules_folder(), "lexicon.toml")


def folder_pack(folder: str) -> tuple[Pack, dict[str, Any]]:
    """A stranger's pack and its texts, built on the shipped catalogue, quantities and sources.

    Raises Refused with every problem found in it.
    """
    contents = folder_contents(folder)
    base = _shipped("judge", SHIPPED_JUDGE)
    built = remembered("pack", [b"judge+texts", base.key, *contents], lambda: _build(folder, with_base=True))
    return pack_of(built["judge"], content_key([base.key, *contents])), built["texts"]


def folder_contents(folder: str) -> list[bytes]:
    """Names and bytes of all TOML files of a folder, in order. Raises Refused when there are none."""
    if not os.path.isdir(folder):
        raise refuse(folder, "there is no such folder of rules")
    contents: list[bytes] = []
    for root, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted(names):
            if name.endswith(".toml"):
                path = os.path.join(root, name)
                contents.append(os.path.relpath(path, folder).encode(errors="surrogateescape"))
                contents.append(_bytes(path))
    if not contents:
        raise refuse(folder, "there is no rule in this folder")
    return contents


def _bytes(path: str) -> bytes:
    with open(path, "rb") as file:
        return file.read(4_000_000)


def _shipped(which: str, path: str) -> _Stored:
    if os.path.exists(path):
        from cfglint import __version__

        with open(path, "rb") as file:
            return _Stored(json.loads(file.read()), f"shipped {__version__}".encode())
    contents = folder_contents(rules_folder())
    code = _tool_contents()
    built = remembered("shipped-" + which, [*contents, *code], lambda: _build(rules_folder(), with_base=False)[which])
    return _Stored(built, content_key([*contents, *code]))


def _tool_contents() -> list[bytes]:
    """The code that decides what a built pack looks like: in a source tree it changes between runs."""
    contents = []
    for room in ("formula", "pack", "quantity", "physics", "setup"):
        folder = os.path.join(_PACKAGE, room)
        contents += [_bytes(os.path.join(folder, name)) for name in sorted(os.listdir(folder)) if name.endswith((".py", ".lark"))]
    return contents


def _build(folder: str, with_base: bool) -> dict[str, Any]:
    from pathlib import Path

    from cfglint.pack.build import Built, build_pack

    base = None
    if with_base:
        base = Built(_shipped("judge", SHIPPED_JUDGE).pack, shipped_texts(), [])
    built = build_pack(Path(folder), base)
    if built.problems:
        raise Refused(*built.problems[:50])
    return {"judge": built.pack, "texts": built.texts}
