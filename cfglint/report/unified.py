"""Changes inside lines as a unified diff of bytes, in the form that `git apply` takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from cfglint.report.context import path_bytes

CONTEXT = 3
_ESCAPES = {
    0x07: "\\a",
    0x08: "\\b",
    0x09: "\\t",
    0x0A: "\\n",
    0x0B: "\\v",
    0x0C: "\\f",
    0x0D: "\\r",
    0x22: '\\"',
    0x5C: "\\\\",
}


class FileChange(NamedTuple):
    """A file, by its path with forward slashes from the folder where the patch is applied, before and after."""

    path: str
    before: bytes
    after: bytes


def unified(changes: Iterable[FileChange]) -> bytes:
    """The patch; nothing for files that are the same. A line ends at a line feed, as git has it.

    Raises ValueError when a change adds or removes a line.
    """
    return b"".join(piece for change in changes for piece in _file(change))


def _file(change: FileChange) -> Iterator[bytes]:
    old, new = change.before.split(b"\n"), change.after.split(b"\n")
    if len(old) != len(new) or (old[-1] == b"") != (new[-1] == b""):
        raise ValueError("a change of values adds or removes no line")
    changed = [number for number, (before, after) in enumerate(zip(old, new, strict=True)) if before != after]
    if not changed:
        return
    yield f"diff --git {_name('a', change.path)} {_name('b', change.path)}\n".encode()
    for mark, side in (("---", "a"), ("+++", "b")):
        tab = "\t" if " " in change.path else ""
        yield f"{mark} {_name(side, change.path)}{tab}\n".encode()
    for group in _groups(changed):
        yield from _hunk(old, new, group)


def _groups(changed: list[int]) -> Iterator[list[int]]:
    """Changed lines whose surroundings meet belong to one hunk."""
    group: list[int] = []
    for number in changed:
        if group and number - group[-1] > 2 * CONTEXT:
            yield group
            group = []
        group.append(number)
    yield group


def _hunk(old: list[bytes], new: list[bytes], group: list[int]) -> Iterator[bytes]:
    last = len(old) - (old[-1] == b"")
    first, end = max(0, group[0] - CONTEXT), min(last, group[-1] + CONTEXT + 1)
    changed = set(group)
    yield f"@@ -{first + 1},{end - first} +{first + 1},{end - first} @@\n".encode()
    number = first
    while number < end:
        if number not in changed:
            yield _line(b" ", old, number)
            number += 1
            continue
        run = number
        while run in changed:
            run += 1
        yield from (_line(b"-", old, at) for at in range(number, run))
        yield from (_line(b"+", new, at) for at in range(number, run))
        number = run


def _line(mark: bytes, lines: list[bytes], number: int) -> bytes:
    ending = b"\n" if number < len(lines) - 1 else b"\n\\ No newline at end of file\n"
    return mark + lines[number] + ending


def _name(side: str, path: str) -> str:
    """A path as git writes it: quoted where it holds quotes, controls, or anything outside of ASCII."""
    name = path_bytes(f"{side}/{path}")
    if all(0x20 <= byte < 0x7F and byte not in b'"\\' for byte in name):
        return name.decode("ascii")
    return '"' + "".join(_quoted(byte) for byte in name) + '"'


def _quoted(byte: int) -> str:
    if byte in _ESCAPES:
        return _ESCAPES[byte]
    return chr(byte) if 0x20 <= byte < 0x7F else f"\\{byte:03o}"
