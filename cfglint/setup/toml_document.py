"""TOML that people write: read, checked against a pydantic model, with every error at its line and column.

The checked document is remembered by content, so that an unchanged file costs neither tomllib nor pydantic.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from cfglint.store.remembered import remembered
from cfglint.text.problem import Problem, Refused, refuse

if TYPE_CHECKING:
    from pydantic import BaseModel

LARGEST_DOCUMENT = 4_000_000
DEEPEST_DOCUMENT = 30


def read_file(path: str, largest: int = LARGEST_DOCUMENT) -> bytes:
    """The bytes of a file. Raises Refused: missing, a folder, unreadable, too large."""
    try:
        with open(path, "rb") as file:
            data = file.read(largest + 1)
    except OSError as error:
        raise refuse(path, _reason(error)) from None
    if len(data) > largest:
        raise refuse(path, f"larger than {largest // 1_000_000} MB, which no file of this kind is")
    return data


def load_document(path: str, kind: str, check: Callable[[bytes, str], dict[str, Any]], *more: bytes) -> dict[str, Any]:
    """The checked document of a file, remembered by its content (and by `more`, what else the check depends on).

    Raises Refused with every problem found.
    """
    data = read_file(path)
    document: dict[str, Any] = remembered(kind, (data, *more), lambda: check(data, path))
    return document


def checked_document(data: bytes, path: str, model: type[BaseModel]) -> BaseModel:
    """A TOML text as an instance of a model. Raises Refused with the place of each error."""
    text = decode_toml(data, path)
    table = parse_toml(text, path)
    return validated(table, text, path, model)


def decode_toml(data: bytes, path: str) -> str:
    """TOML is UTF-8. Raises Refused with the line of the first byte that is not."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise refuse(path, "not UTF-8 text", "save the file as UTF-8", line, 1) from None


def parse_toml(text: str, path: str) -> dict[str, Any]:
    """A TOML text as a table. Raises Refused with line and column."""
    import tomllib

    if _nesting(text) > DEEPEST_DOCUMENT:
        raise refuse(path, "nested too deeply", f"at most {DEEPEST_DOCUMENT} levels of brackets")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _toml_problem(str(error), text, path) from None
    except RecursionError:
        raise refuse(path, "nested too deeply") from None


def validated(table: dict[str, Any], text: str, path: str, model: type[BaseModel]) -> BaseModel:
    """A table as an instance of a model. Raises Refused with a problem for each error, at its place."""
    from pydantic import ValidationError

    try:
        return model.model_validate(table)
    except ValidationError as error:
        raise Refused(*(_problem(e, text, path, model) for e in error.errors()[:50])) from None


def problem_at(text: str, path: str, keys: tuple[str | int, ...], message: str, remedy: str = "") -> Problem:
    """A problem of the value that stands at a path of keys in a TOML text."""
    from cfglint.text.toml_place import place

    line, column = place(text, keys)
    return Problem("error", "unusable-file", message, path, line, column, line_of(text, line), remedy)


def line_of(text: str, line: int) -> str:
    """One line of a text, without its end; empty where there is none."""
    lines = text.split("\n", line)
    return lines[line - 1].rstrip("\r") if 0 < line <= len(lines) else ""


def _problem(error: Any, text: str, path: str, model: type[BaseModel]) -> Problem:
    keys = tuple(k for k in error["loc"] if not str(k).startswith(("function-", "literal[", "list[", "dict[")))
    shown = ".".join(str(k) for k in keys)
    remedy = ""
    if error["type"] == "extra_forbidden":
        message = f"nothing here is called '{keys[-1]}'"
        near = _nearest_key(str(keys[-1]), keys[:-1], model)
        remedy = f"did you mean '{near}'?" if near else ""
    elif error["type"] == "missing":
        message = f"'{keys[-1]}' is missing"
        keys = keys[:-1]
    else:
        message = (
            f"{shown}: {str(error['msg']).removeprefix('Value error, ')[0].lower()}"
            + str(error["msg"]).removeprefix("Value error, ")[1:]
        )
    return problem_at(text, path, keys, message, remedy)


def _nearest_key(key: str, above: tuple[str | int, ...], model: type[BaseModel]) -> str | None:
    from cfglint.text.nearest import nearest

    return nearest(key, _fields_at(above, model))


def _fields_at(path: tuple[str | int, ...], model: type[BaseModel]) -> list[str]:
    """The names allowed at a path of a model, as far as the annotations tell."""
    current: Any = model
    for key in path:
        if isinstance(key, int):
            continue
        fields = getattr(current, "model_fields", {})
        if key in fields:
            current = _model_within(fields[key].annotation)
    return [field.alias or name for name, field in getattr(current, "model_fields", {}).items()]


def _model_within(annotation: Any) -> Any:
    """The model that an annotation holds, inside lists, tables and options."""
    if hasattr(annotation, "model_fields"):
        return annotation
    for part in getattr(annotation, "__args__", ()):
        found = _model_within(part)
        if found is not None:
            return found
    return None


def _toml_problem(message: str, text: str, path: str) -> Refused:
    match = re.search(r"\(at line (\d+), column (\d+)\)", message)
    line, column = (int(match[1]), int(match[2])) if match else (text.count("\n") + 1, 1)
    said = re.sub(r"\s*\(at [^)]*\)", "", message)
    return refuse(path, f"not valid TOML: {said[:1].lower()}{said[1:]}", "", line, column, line_of(text, line))


def _nesting(text: str) -> int:
    depth = deepest = 0
    for bracket in re.findall(r"[\[\]{}]", text):
        depth = max(0, depth + (1 if bracket in "[{" else -1))
        deepest = max(deepest, depth)
    return deepest


def _reason(error: OSError) -> str:
    if isinstance(error, FileNotFoundError):
        return "there is no such file"
    if isinstance(error, IsADirectoryError):
        return "this is a folder, a file is wanted"
    if isinstance(error, PermissionError):
        return "no permission to read it"
    return (error.strerror or str(error)).lower()
