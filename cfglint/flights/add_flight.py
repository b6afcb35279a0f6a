"""Writing a flight into the record: appended as text, so that every entry and comment before it stays as it is."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from cfglint.text.problem import refuse

_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"}


class NewFlight(NamedTuple):
    """What is to be recorded, as text."""

    card: str
    date: str
    outcome: str
    reason: str = ""
    repetitions: int = 1
    remarks: str = ""
    despite: tuple[str, ...] = ()
    measured: Mapping[str, str] = {}
    seen: Mapping[str, str] = {}
    values: Mapping[str, str] = {}


def flight_text(flight: NewFlight) -> str:
    """The entry as TOML."""
    lines = [
        "[[flight]]",
        f"card = {_quoted(flight.card)}",
        f"date = {flight.date}",
        f"outcome = {_quoted(flight.outcome)}",
    ]
    if flight.reason:
        lines.append(f"reason = {_quoted(flight.reason)}")
    lines.append(f"repetitions = {flight.repetitions}")
    if flight.remarks:
        lines.append(f"remarks = {_quoted(flight.remarks)}")
    if flight.despite:
        lines.append(f"despite = [{', '.join(_quoted(text) for text in flight.despite)}]")
    for name in ("measured", "seen", "values"):
        table: Mapping[str, str] = getattr(flight, name)
        if table:
            lines += ["", f"[flight.{name}]", *(f"{_quoted(id)} = {_quoted(text)}" for id, text in table.items())]
    return "\n".join(lines) + "\n"


def add_flight(path: str, flight: NewFlight, craft_name: str, known: bytes | None) -> None:
    """Append a flight to a record; a new record gets the craft's name. `known`: the bytes it was read from, None if none.

    Shape: everything before stays byte for byte. Written to a temporary file in the same folder, then put in its place.
    Errors: Refused when somebody else is writing, has written since, or the file would no longer be a record.
    """
    path = os.path.realpath(path)
    lock = path + ".lock"
    _take(lock, path)
    try:
        if _bytes_of(path) != known:
            raise refuse(path, "somebody else has written to it meanwhile; nothing was recorded", "run the command again")
        _replace(path, _extended(known, flight, craft_name, path))
    finally:
        os.remove(lock)


def read_if_there(path: str) -> bytes | None:
    """The bytes of a record; None where there is none."""
    return _bytes_of(os.path.realpath(path))


def _extended(known: bytes | None, flight: NewFlight, craft_name: str, path: str) -> bytes:
    entry = flight_text(flight)
    if known is None:
        head = f"# The flight record{' of ' + _one_line(craft_name) if craft_name else ''}: one entry a card flown.\n"
        name = f"craft = {_quoted(craft_name)}\n" if craft_name else ""
        return (head + name + "\n" + entry).encode()
    end = b"\r\n" if b"\r\n" in known else b"\n"
    gap = b"" if not known.strip() else (end if known.endswith(b"\n") else end + end)
    new = known + gap + entry.encode().replace(b"\n", end)
    _check_kept(known, new, path)
    return new


def _check_kept(known: bytes, new: bytes, path: str) -> None:
    """Appending a table to a file that lists its flights in another way would not be TOML, or would lose some."""
    from cfglint.setup.toml_document import decode_toml, parse_toml
    from cfglint.text.problem import Refused

    before = parse_toml(decode_toml(known, path), path).get("flight", [])
    try:
        after = parse_toml(decode_toml(new, path), path).get("flight", [])
    except Refused:
        after = None
    if not isinstance(after, list) or after[:-1] != before:
        remedy = "write the entries as [[flight]] tables, each with its own header"
        raise refuse(path, "an entry can't be added to a record of this form; it was left alone", remedy)


def _take(lock: str, path: str) -> None:
    try:
        os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o644))
    except FileExistsError:
        message = "somebody else is writing to this record just now; nothing was recorded"
        raise refuse(path, message, f"run the command again; if nobody is, delete {os.path.basename(lock)}") from None
    except OSError as error:
        raise refuse(path, f"it can't be written: {(error.strerror or str(error)).lower()}") from None


def _replace(path: str, data: bytes) -> None:
    temporary, target = Path(f"{path}.{os.getpid()}.part"), Path(path)
    try:
        with temporary.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            temporary.chmod(target.stat().st_mode & 0o777)
        os.replace(temporary, path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise refuse(path, f"it can't be written: {(error.strerror or str(error)).lower()}") from None


def _bytes_of(path: str) -> bytes | None:
    from cfglint.setup.toml_document import read_file

    return read_file(path) if os.path.lexists(path) else None


def _one_line(text: str) -> str:
    from cfglint.text.visible import visible

    return visible(text)[:100]


def _quoted(text: str) -> str:
    escaped = "".join(_ESCAPES.get(c) or (c if c.isprintable() or c == " " else _escape(c)) for c in text)
    return f'"{escaped}"'


def _escape(character: str) -> str:
    code = ord(character)
    if 0xD800 <= code <= 0xDFFF:
        return "?"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
