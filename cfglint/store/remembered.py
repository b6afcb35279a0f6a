"""Work that needs heavy libraries is done once for a content and kept as JSON; the same content gets the same answer.

The place is `$CFGLINT_CACHE`, else `$XDG_CACHE_HOME/cfglint`, else `~/.cache/cfglint`. A place that can't be written is
no error: the work is done again the next time.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterable
from typing import Any

from cfglint import __version__

MOST_ENTRIES = 2000


def remembered(kind: str, contents: Iterable[bytes], build: Callable[[], Any]) -> Any:
    """The JSON value that `build` makes of `contents`; from the store when it was made before.

    The key covers the kind, every content with its length, the version and the interpreter. What `build` raises is not kept.
    """
    path = _path(kind, contents)
    known = _read(path)
    if known is not None:
        return known[0]
    made = build()
    _write(path, [made])
    return made


def content_key(contents: Iterable[bytes]) -> bytes:
    """A key that stands for some contents: others have another one."""
    digest = _hasher()(digest_size=20)
    for content in contents:
        digest.update(b"\0%d\0" % len(content))
        digest.update(content)
    return bytes(digest.digest())


def store_folder() -> str:
    """Where results are kept."""
    place = os.environ.get("CFGLINT_CACHE")
    if place:
        return place
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    return os.path.join(base, "cfglint")


def _path(kind: str, contents: Iterable[bytes]) -> str:
    digest = _hasher()(f"{kind} {__version__} {sys.hexversion}".encode(), digest_size=20)
    for content in contents:
        digest.update(b"\0%d\0" % len(content))
        digest.update(content)
    return os.path.join(store_folder(), f"{kind}-{digest.hexdigest()}.json")


def _hasher() -> Any:
    """BLAKE2b, without the large library behind `hashlib` where the interpreter has it by itself."""
    try:
        from _blake2 import blake2b
    except ImportError:
        from hashlib import blake2b
    return blake2b


def _read(path: str) -> list[Any] | None:
    try:
        with open(path, "rb") as file:
            known = json.loads(file.read())
    except (OSError, ValueError, RecursionError):
        return None
    return known if isinstance(known, list) and len(known) == 1 else None


def _write(path: str, value: list[Any]) -> None:
    folder = os.path.dirname(path)
    temporary = f"{path}.{os.getpid()}.part"
    try:
        os.makedirs(folder, exist_ok=True)
        _make_room(folder)
        with open(temporary, "wb") as file:
            file.write(json.dumps(value, separators=(",", ":")).encode())
        os.replace(temporary, path)
    except OSError:
        _remove(temporary)


def _make_room(folder: str) -> None:
    """Keep the folder bounded: past the limit, the older half goes."""
    names = [entry for entry in os.scandir(folder) if entry.name.endswith(".json")]
    if len(names) < MOST_ENTRIES:
        return
    for entry in sorted(names, key=_age)[: MOST_ENTRIES // 2]:
        _remove(entry.path)


def _age(entry: os.DirEntry[str]) -> float:
    try:
        return entry.stat().st_mtime
    except OSError:
        return 0.0


def _remove(path: str) -> None:
    try:
        os.remove(path)
    except OSError:
        pass
