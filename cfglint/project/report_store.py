"""Judged dumps kept between runs, by a digest of all they depend on: data only, bounded, and safe to delete."""

from __future__ import annotations

import json
import os
import zlib
from collections.abc import Iterator

from cfglint.project.judging import Judged
from cfglint.project.stored_report import restored, stored
from cfglint.store.remembered import store_folder

MOST_REPORTS = 40_000
LARGEST_REPORT = 50_000_000
SHELVES = 256


def known_report(digest: bytes) -> Judged | None:
    """The report of a digest; None where there is none, or what is there is none of ours."""
    try:
        with open(_path(digest), "rb") as file:
            unpacker = zlib.decompressobj()
            text = unpacker.decompress(file.read(), LARGEST_REPORT)
            return restored(json.loads(text))
    except (OSError, zlib.error, ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError):
        return None


def keep_report(digest: bytes, judged: Judged) -> None:
    """Keep a report, whole or not at all; a place that can't be written is no error."""
    path = _path(digest)
    temporary = f"{path}.{os.getpid()}.part"
    text = json.dumps(stored(judged), separators=(",", ":")).encode()
    try:
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(temporary, "wb") as file:
            file.write(zlib.compress(text, 1))
        os.replace(temporary, path)
    except OSError:
        _remove(temporary)


def make_room(new: int) -> None:
    """Keep the store bounded before so many new reports: past the limit, the older half goes."""
    reports = list(_reports())
    if len(reports) + new <= MOST_REPORTS:
        return
    for path in sorted(reports, key=_age)[: max(len(reports) // 2, len(reports) + new - MOST_REPORTS)]:
        _remove(path)


def _reports() -> Iterator[str]:
    for number in range(SHELVES):
        shelf = os.path.join(store_folder(), "judged", f"{number:02x}")
        try:
            yield from [os.path.join(shelf, name) for name in os.listdir(shelf)]
        except OSError:
            continue


def _path(digest: bytes) -> str:
    name = digest.hex()
    return os.path.join(store_folder(), "judged", name[:2], name[2:42])


def _age(path: str) -> float:
    try:
        return os.stat(path).st_mtime
    except OSError:
        return 0.0


def _remove(path: str) -> None:
    try:
        os.remove(path)
    except OSError:
        pass
