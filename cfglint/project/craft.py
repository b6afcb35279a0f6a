"""What stands beside a dump and above it: facts of the craft, of the field that a parent folder describes, and waivers."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any, NamedTuple

from cfglint.project.configuration import Waiver, waiver_of
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.craft_file import load_facts
from cfglint.setup.setting import NO_FACTS, Facts, Setting
from cfglint.setup.toml_document import load_document, read_file

CRAFT_FILE, SITE_FILE = "craft.toml", "site.toml"
MOST_PARENTS = 30


class Known(NamedTuple):
    """The catalogue that facts are checked against, and what identifies it."""

    catalogue: Catalogue
    key: bytes


def fact_files(dump: str, root: str | None) -> tuple[str, ...]:
    """The files with facts about the craft of a dump, the nearest first.

    `craft.toml` and `site.toml` beside the dump; with a root, also those of the folders above it up to the root. Without one,
    only the `craft.toml` beside it.
    """
    if dump == "-":
        return ()
    folder = os.path.dirname(dump)
    if root is None:
        path = os.path.join(folder, CRAFT_FILE)
        return (path,) if os.path.lexists(path) else ()
    files = [os.path.join(f, name) for f in _folders(folder, root) for name in (CRAFT_FILE, SITE_FILE)]
    return tuple(path for path in files if os.path.lexists(path))


def gathered_facts(files: tuple[str, ...], known: Known) -> Facts:
    """The facts of several files: of a fact that is written twice, the nearest counts. Raises Refused."""
    settings: dict[str, Setting] = {}
    craft = site = ""
    for path in files:
        facts = load_craft(path, known)
        settings = {**facts.settings, **settings}
        craft, site = craft or facts.craft_name, site or facts.site_name
    return Facts(settings, craft, site, files[0]) if files else NO_FACTS


def load_craft(path: str, known: Known) -> Facts:
    """The facts of one file, its waivers checked where it holds any. Raises Refused with every problem, at its place."""
    craft_waivers(path, "")
    return load_facts(path, known.catalogue, known.key)


def may_hold_waivers(path: str) -> bool:
    """Whether the word stands in a file at all, which most don't hold. Raises Refused."""
    return b"waiver" in read_file(path)


def craft_waivers(path: str, craft: str) -> tuple[Waiver, ...]:
    """The waivers that a craft file holds, for its own craft. Raises Refused."""
    if not may_hold_waivers(path):
        return ()

    def check(data: bytes, name: str) -> dict[str, Any]:
        from cfglint.project.configuration_file import check_craft_waivers

        return check_craft_waivers(data, name)

    rows = load_document(path, "craft-waivers", check)["waiver"]
    return tuple(waiver_of({**row, "craft": craft}, path) for row in rows)


def _folders(folder: str, root: str) -> Iterator[str]:
    """A folder and those above it, up to the root; only the folder itself where it is not below the root."""
    yield folder
    below = os.path.relpath(os.path.abspath(folder), os.path.abspath(root or os.curdir))
    if below == os.curdir or below.startswith(os.pardir):
        return
    for _ in range(min(MOST_PARENTS, below.count(os.sep) + 1)):
        folder = os.path.normpath(os.path.join(folder, os.pardir)) if folder else os.pardir
        yield "" if folder == os.curdir else folder
