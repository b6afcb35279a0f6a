"""The two sides of a comparison: which craft each has, which belong together, and which are the same bytes."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from cfglint.project.compare_judge import Case, task_of
from cfglint.project.configuration import NO_CONFIGURATION, Configuration, find_configuration, load_configuration
from cfglint.project.path_pattern import matches_any
from cfglint.project.task import Asked
from cfglint.setup.toml_document import read_file
from cfglint.text.problem import refuse

MOST_FILES = 200_000
LARGEST_FILE = 256_000_000

Fetcher = Callable[[Iterable[str]], None]


class Pair(NamedTuple):
    """A dump on both sides, by its path below each root; "" where one side has none. `is_same`: the same bytes throughout."""

    old: str
    new: str
    is_same: bool = False


class Place(NamedTuple):
    """Where a side is: the folder of its files, the folder below it in which craft are looked for ("" or `a/b/`), and what
    stands before each path that is shown."""

    root: str
    within: str = ""
    prefix: str = ""


class Side:
    """One state of a repository: its files by path below the root, each with an id of its content.

    `fetcher` puts files below the root before they are read: None where they are there already.
    """

    def __init__(
        self,
        label: str,
        place: Place,
        files: Mapping[str, str],
        configuration: Configuration | None,
        asked: Asked = Asked(),
        fetcher: Fetcher | None = None,
    ) -> None:
        self.label, self.place, self.asked = label, place, asked
        self._configuration, self._fetcher = configuration, fetcher
        patterns = configuration or NO_CONFIGURATION
        base = _below(patterns.root, place.root) if configuration is not None else ""
        self.dumps = [path for path in sorted(files) if path.startswith(place.within) and is_dump(path, base, patterns)]
        known = set(self.dumps)
        self.files = {path: id for path, id in files.items() if path.endswith(".toml") or path in known}
        self._documents: dict[str, list[str]] = {}
        for path in sorted(self.files):
            if path not in known:
                self._documents.setdefault(os.path.dirname(path), []).append(path)
        folders = {os.path.dirname(path) for path in self.dumps}
        self._shared = [path for folder, paths in sorted(self._documents.items()) if folder not in folders for path in paths]

    @property
    def is_fetched(self) -> bool:
        """Whether the files are on disk, so that their ids are digests of bytes."""
        return self._fetcher is None

    def key(self, dump: str) -> str:
        """What a dump is called below the folder in which craft are looked for."""
        return dump[len(self.place.within) :]

    def identity(self, dump: str) -> str:
        """A digest of all that the verdicts on a dump rest on below this root; what dump and folder are called is no part."""
        digest = hashlib.sha256(self.files[dump].encode())
        own = self._documents.get(os.path.dirname(dump), [])
        named = [(os.path.basename(path), path) for path in own]
        named += [(self._relative(path), path) for path in (*self._above(dump), *self._shared) if path not in own]
        for name, path in named:
            digest.update(f"\n{name} {self.files[path]}".encode(errors="surrogateescape"))
        return digest.hexdigest()

    def fetch(self, dumps: Iterable[str]) -> None:
        """Put some dumps, and all that they are judged with, on disk."""
        if self._fetcher is not None:
            wanted = [path for dump in dumps for path in self._inputs(dump)]
            self._fetcher(dict.fromkeys((*self._shared, *wanted)))

    def fetch_all(self) -> None:
        """Put every file on disk, and take the digest of its bytes for its id."""
        if self._fetcher is not None:
            self._fetcher(self.files)
            self.files = {path: content_digest(os.path.join(self.place.root, path)) for path in self.files}
            self._fetcher = None

    def case(self, dump: str) -> Case:
        """One dump of this side, ready to be judged."""
        asked = self.asked._replace(map=self._chosen(self.asked.map), craft=self._chosen(self.asked.craft))
        task = task_of(os.path.join(self.place.root, dump), self._configuration, asked)
        return Case(task, self.place.prefix + dump, self.place.root, self.place.prefix)

    def _inputs(self, dump: str) -> Iterator[str]:
        yield dump
        yield from self._documents.get(os.path.dirname(dump), ())
        yield from self._above(dump)

    def _above(self, dump: str) -> Iterator[str]:
        """The documents of the folders above that of a dump: a field's, or those of a craft that others lie below."""
        folder = os.path.dirname(dump)
        while folder:
            folder = os.path.dirname(folder)
            yield from self._documents.get(folder, ())

    def _relative(self, path: str) -> str:
        """The path of a document below the folder of the craft; a path that begins with / for one outside of it."""
        return path[len(self.place.within) :] if path.startswith(self.place.within) else "/" + path

    def _chosen(self, file: str) -> str:
        """A file that the caller named: this side's own where it has one, else the caller's."""
        own = os.path.normpath(os.path.join(self.place.within, file)).replace(os.sep, "/") if file else ""
        return os.path.join(self.place.root, own) if own in self.files and not file.startswith(os.sep) else file


def folder_side(folder: str, asked: Asked = Asked(), label: str = "", root: str = "") -> Side:
    """A folder as a side, with the configuration that it is checked with. Raises Refused when it can't be read.

    `root`: the folder that paths are shown below, if it is another than that of the configuration.
    """
    path = find_configuration(folder)
    configuration = load_configuration(os.path.abspath(path)) if path else None
    root = os.path.abspath(root or (configuration.root if configuration is not None else folder))
    place = Place(root, _below(folder, root))
    base = _below(configuration.root, root) if configuration is not None else ""
    found = _relevant_files(root, base, configuration or NO_CONFIGURATION)
    files = {path: content_digest(os.path.join(root, path)) for path in found}
    return Side(label or folder, place, files, configuration, asked)


def paired(old: Side, new: Side) -> list[Pair]:
    """Every dump of both sides with its partner: the one of the same path; else of the same bytes; else the only one left of
    the same file name."""
    if old.is_fetched != new.is_fetched:
        old.fetch_all()
        new.fetch_all()
    by_key = {new.key(path): path for path in new.dumps}
    both = [(path, by_key[old.key(path)]) for path in old.dumps if old.key(path) in by_key]
    gone = [path for path in old.dumps if old.key(path) not in by_key]
    taken = {b for _, b in both}
    come = [path for path in new.dumps if path not in taken]
    for key_old, key_new in ((old.identity, new.identity), (os.path.basename, os.path.basename)):
        moved = _matched(gone, come, key_old, key_new)
        both += moved
        gone = [path for path in gone if path not in {a for a, _ in moved}]
        come = [path for path in come if path not in {b for _, b in moved}]
    pairs = [Pair(a, b, old.identity(a) == new.identity(b)) for a, b in both]
    pairs += [Pair(path, "") for path in gone] + [Pair("", path) for path in come]
    return sorted(pairs, key=lambda pair: (pair.new or pair.old, pair.old))


def is_dump(path: str, base: str, configuration: Configuration) -> bool:
    """Whether a file is a dump for a configuration whose folder is `base` ("" or `a/b/`) below the root."""
    relative = path[len(base) :]
    return (
        path.startswith(base) and matches_any(configuration.dumps, relative) and not matches_any(configuration.exclude, relative)
    )


def is_hidden(path: str) -> bool:
    """Whether a file lies in a hidden folder, or is hidden itself."""
    return any(part.startswith(".") for part in path.split("/"))


def content_digest(path: str) -> str:
    """What identifies the content of a file. Raises Refused when it can't be read."""
    return hashlib.sha256(read_file(path, LARGEST_FILE)).hexdigest()


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


def _below(folder: str, root: str) -> str:
    """A folder as seen from the root: "" for the root itself, else `a/b/`. Raises Refused for one outside of it."""
    relative = os.path.relpath(os.path.abspath(folder or os.curdir), os.path.abspath(root or os.curdir)).replace(os.sep, "/")
    if relative.startswith(".."):
        raise refuse(folder, f"this folder is not in {root}")
    return "" if relative == os.curdir else relative + "/"


def _relevant_files(root: str, base: str, configuration: Configuration) -> list[str]:
    """The dumps and documents below a folder. Links to folders are not followed, nor is a link out of the folder."""
    found: list[str] = []
    inside = os.path.realpath(root)
    for folder, folders, names in os.walk(root):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in names:
            path = os.path.relpath(os.path.join(folder, name), root).replace(os.sep, "/")
            wanted = path.endswith(".toml") or is_dump(path, base, configuration)
            if wanted and not is_hidden(path) and _stays_inside(os.path.join(folder, name), inside):
                found.append(path)
        if len(found) > MOST_FILES:
            raise refuse(root, f"more than {MOST_FILES} files", "name the folder of the craft")
    return found


def _stays_inside(path: str, folder: str) -> bool:
    real = Path(os.path.realpath(path))
    return real.is_file() and (not Path(path).is_symlink() or real.is_relative_to(folder))
