"""The settings dumps of a repository, found in its folders in an order that never wavers."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from cfglint.project.configuration import FILE_NAME, Configuration
from cfglint.project.path_pattern import has_wildcard, matches_any
from cfglint.text.problem import Problem, refuse

MOST_FILES = 500_000


class Discovered(NamedTuple):
    """The dumps that were found, as seen from the folder of the run, and what was left out that somebody may miss."""

    dumps: tuple[str, ...]
    problems: tuple[Problem, ...] = ()


def discover(start: str, configuration: Configuration) -> Discovered:
    """The dumps in a folder. Links to folders are not followed; hidden folders hold no dumps.

    Raises Refused when there is none, or when the folder holds more files than any repository of setups.
    """
    if not os.path.isdir(start or os.curdir):
        raise refuse(start, "there is no such file or folder")
    dumps: list[str] = []
    problems: list[Problem] = []
    for folder, folders, names in _walk(start):
        problems += _left_out(folder, folders, names, start, configuration)
        relatives = [(name, relative_path(os.path.join(folder, name), configuration.root)) for name in sorted(names)]
        dumps += [os.path.normpath(os.path.join(folder, name)) for name, path in relatives if _is_dump(path, configuration)]
    if not dumps:
        patterns = ", ".join(configuration.dumps)
        remedy = f"expected {patterns}; name the dump itself, or say dumps = [\u2026] in {FILE_NAME}"
        raise refuse(start or os.curdir, "there is no settings dump in this folder, so nothing was checked", remedy)
    return Discovered(tuple(sorted(dumps)), tuple(problems))


def expanded(name: str) -> list[str]:
    """The files that a pattern on the command line means; a plain name means itself. Raises Refused for a pattern without any."""
    if not has_wildcard(name) or os.path.lexists(name):
        return [name]
    import glob

    found = sorted(path for path in glob.glob(name, recursive=True) if os.path.isfile(path))
    if not found:
        raise refuse(name, "no file matches this pattern, so nothing was checked")
    return found


def relative_path(path: str, root: str) -> str:
    """A path below the root, with forward slashes; one that begins with `../` where it lies outside."""
    return os.path.relpath(os.path.abspath(path), os.path.abspath(root or os.curdir)).replace(os.sep, "/")


def _walk(start: str) -> Iterator[tuple[str, list[str], list[str]]]:
    seen = 0
    for folder, folders, names in os.walk(start or os.curdir, onerror=_unreadable):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        seen += len(names) + len(folders)
        if seen > MOST_FILES:
            raise refuse(start, f"more than {MOST_FILES} files in this folder", "name a folder of setups")
        yield folder, folders, names


def _unreadable(error: OSError) -> None:
    raise refuse(str(error.filename), f"the folder can't be read: {(error.strerror or '').lower()}")


def _is_dump(relative: str, configuration: Configuration) -> bool:
    return matches_any(configuration.dumps, relative) and not matches_any(configuration.exclude, relative)


def _left_out(
    folder: str, folders: list[str], names: Iterable[str], start: str, configuration: Configuration
) -> Iterator[Problem]:
    """Folders that are links, and inner configurations: nobody should believe that they took part."""
    for name in folders:
        path = os.path.normpath(os.path.join(folder, name))
        if os.path.islink(path) and not matches_any(configuration.exclude, relative_path(path, configuration.root)):
            yield Problem("note", "link", "this folder is a link and was not followed", path, remedy="exclude it, or name it")
    is_inner = os.path.abspath(folder) != os.path.abspath(os.path.dirname(configuration.file) or os.curdir)
    if FILE_NAME in names and is_inner and os.path.abspath(folder) != os.path.abspath(start or os.curdir):
        path = os.path.normpath(os.path.join(folder, FILE_NAME))
        message = f"an inner {FILE_NAME} plays no part in this run"
        yield Problem("note", "inner-configuration", message, path, remedy="exclude the folder, and check it by itself")
