"""The two sides of a comparison: which craft each has, which belong together, and which are the same bytes."""

from __future__ import annotations

import fnmatch
import hashlib
import os
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from cfglint.project.compare_judge import Case
from cfglint.setup.toml_document import read_file
from cfglint.text.problem import refuse

DUMPS = "*.dump"
MOST_FILES = 200_000
LARGEST_FILE = 256_000_000


class Pair(NamedTuple):
    """A dump on both sides, by its path below each root; "" where one side has none. `is_same`: the same bytes throughout."""

    old: str
    new: str
    is_same: bool = False


class Choice(NamedTuple):
    """What the caller chose for a side: the map and the craft file ("" for none), and which files are dumps."""

    map: str = ""
    craft: str = ""
    dumps: str = DUMPS


class Side:
    """One state of a repository: its files by path below the root, each with an id of its content.

    `fetcher` puts files below the root before they are read: None where they are there already. `prefix` stands before every
    path that is shown; `within` is the folder below the root outside which no craft is looked for.
    """

    def __init__(
        self,
        label: str,
        root: str,
        files: Mapping[str, str],
        choice: Choice = Choice(),
        fetcher: Callable[[Iterable[str]], None] | None = None,
        prefix: str = "",
        within: str = "",
    ) -> None:
        self.label, self.root, self.files, self.choice = label, root, files, choice
        self.prefix, self.within, self._fetcher = prefix, within, fetcher
        self.dumps = [path for path in sorted(files) if path.startswith(within) and _is_dump(path, choice.dumps)]
        self._craft_folders = {os.path.dirname(path) for path in files if _is_dump(path, choice.dumps)}
        self._shared = [path for path in sorted(files) if os.path.dirname(path) not in self._craft_folders]
        self._beside: dict[str, list[str]] = {}
        for path in sorted(files):
            self._beside.setdefault(os.path.dirname(path), []).append(path)

    @property
    def is_fetched(self) -> bool:
        """Whether the files are on disk, so that their ids are digests of bytes."""
        return self._fetcher is None

    def identity(self, dump: str) -> str:
        """A digest of all that the verdicts on a dump rest on below this root; the folder's own name is no part of it."""
        digest = hashlib.sha256()
        for path in self._inputs(dump):
            digest.update(f"{os.path.basename(path)} {self.files[path]}\n".encode(errors="surrogateescape"))
        for path in self._shared:
            digest.update(f"{path} {self.files[path]}\n".encode(errors="surrogateescape"))
        return digest.hexdigest()

    def fetch(self, pairs: Iterable[Pair]) -> None:
        """Put what these pairs need on disk."""
        if self._fetcher is not None:
            wanted = [path for pair in pairs for dump in {pair.old, pair.new} for path in self._inputs(dump)]
            self._fetcher(dict.fromkeys((*self._shared, *wanted)))

    def fetch_all(self) -> None:
        """Put every file on disk, and take the digest of its bytes for its id."""
        if self._fetcher is not None:
            self._fetcher(self.files)
            self.files = {path: _digest(os.path.join(self.root, path)) for path in self.files}
            self._fetcher = None

    def case(self, dump: str, newer: bool = True) -> Case:
        """One dump of this side, ready to be judged."""
        path = os.path.join(self.root, dump)
        return Case(path, self.prefix + dump, self._chosen(self.choice.map), self._chosen(self.choice.craft), self.root, self.prefix)

    def _inputs(self, dump: str) -> list[str]:
        """A dump and the documents beside it; nothing for a dump of the other side."""
        if dump not in self.files:
            return []
        return [dump, *(path for path in self._beside[os.path.dirname(dump)] if path.endswith(".toml"))]

    def _chosen(self, file: str) -> str:
        """A file that the caller named: this side's own where it has one, else the caller's."""
        own = os.path.normpath(os.path.join(self.within, file)).replace(os.sep, "/") if file else ""
        return os.path.join(self.root, own) if own in self.files and not os.path.isabs(file) else file


def folder_side(folder: str, choice: Choice = Choice()) -> Side:
    """A folder as a side. Raises Refused when it can't be read."""
    files = {path: _digest(os.path.join(folder, path)) for path in _relevant_files(folder, choice.dumps)}
    return Side(folder, folder, files, choice)


def paired(old: Side, new: Side) -> list[Pair]:
    """Every dump of both sides with its partner: the one of the same path; else of the same bytes; else the only one left of
    the same file name."""
    if old.is_fetched != new.is_fetched:
        old.fetch_all()
        new.fetch_all()
    both = [path for path in new.dumps if path in set(old.dumps)]
    pairs = [Pair(path, path, old.identity(path) == new.identity(path)) for path in both]
    gone = [path for path in old.dumps if path not in set(both)]
    come = [path for path in new.dumps if path not in set(both)]
    for key_old, key_new in ((old.identity, new.identity), (os.path.basename, os.path.basename)):
        moved = _matched(gone, come, key_old, key_new)
        pairs += [Pair(a, b, old.identity(a) == new.identity(b)) for a, b in moved]
        gone = [path for path in gone if path not in {a for a, _ in moved}]
        come = [path for path in come if path not in {b for _, b in moved}]
    pairs += [Pair(path, "") for path in gone] + [Pair("", path) for path in come]
    return sorted(pairs, key=lambda pair: (pair.new or pair.old, pair.old))


def _matched(
    gone: list[str], come: list[str], key_old: Callable[[str], str], key_new: Callable[[str], str]
) -> list[tuple[str, str]]:
    """Paths that share a key which nothing else has."""
    by_old, by_new = _by_key(gone, key_old), _by_key(come, key_new)
    return [(a[0], by_new[key][0]) for key, a in by_old.items() if len(a) == 1 and len(by_new.get(key, ())) == 1]


def _by_key(paths: list[str], key: Callable[[str], str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for path in paths:
        found.setdefault(key(path), []).append(path)
    return found


def is_relevant(path: str, dumps: str) -> bool:
    """Whether a file may bear on a verdict: a dump, or a document beside or above it. Hidden folders are left out."""
    if any(part.startswith(".") for part in path.split("/")):
        return False
    return path.endswith(".toml") or _is_dump(path, dumps)


def _is_dump(path: str, dumps: str) -> bool:
    return fnmatch.fnmatchcase(path.rpartition("/")[2], dumps)


def _relevant_files(folder: str, dumps: str) -> list[str]:
    found: list[str] = []
    inside = os.path.realpath(folder)
    for root, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in names:
            path = os.path.relpath(os.path.join(root, name), folder).replace(os.sep, "/")
            if is_relevant(path, dumps) and _stays_inside(os.path.join(root, name), inside):
                found.append(path)
        if len(found) > MOST_FILES:
            raise refuse(folder, f"more than {MOST_FILES} files", "name the folder of the craft")
    return found


def _stays_inside(path: str, folder: str) -> bool:
    """Whether a file is a plain one that no link leads out of the folder to."""
    real = os.path.realpath(path)
    return os.path.isfile(real) and (not os.path.islink(path) or real.startswith(folder + os.sep))


def _digest(path: str) -> str:
    return hashlib.sha256(read_file(path, LARGEST_FILE)).hexdigest()
