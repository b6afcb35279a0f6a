"""Which columns of a table hold key and value, and whether its first line names them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from cfglint.text.layout import Layout
from cfglint.text.sample import Shape

_KEY_TITLES = ("name", "key", "setting", "parameter")
_VALUE_TITLES = ("value", "current", "current value")
_NUMERIC = re.compile(r"[\"']?[+-]?\.?[0-9]")
_NAME = re.compile(r"[\"']?[^\W\d]")
_CELLS = {
    ",": re.compile(r'(?:^|,)\s*+("(?:[^"]|"")*+"|[^,]*+)'),
    "tab": re.compile(r'(?:^|\t)\s*+("(?:[^"]|"")*+"|[^\t]*+)'),
}
_MOST_COLUMNS = 100


def with_columns(layout: Layout, shapes: Sequence[Shape], given: Mapping[str, Any]) -> Layout:
    """Fill in the columns of a comma or tab table; where blanks separate there is only a header line to find."""
    rows = [_cells(layout.separator, shape.line) for shape in shapes]
    titles = [cell.strip("\"'").lower() for cell in rows[0]] if rows else []
    headed = _titled(titles, _KEY_TITLES) is not None and _titled(titles, _VALUE_TITLES) is not None
    found: dict[str, Any] = {"skip_header": headed}
    if layout.separator in _CELLS and "columns" not in given:
        body = [row for row in rows[headed:] if len(row) > 1]
        found.update(_columns(titles if headed else [], body))
    return layout._replace(**{name: value for name, value in found.items() if name not in given})


def _cells(separator: str, line: str) -> list[str]:
    found = _CELLS[separator].findall(line) if separator in _CELLS else line.split()
    return [cell.strip() for cell in found[:_MOST_COLUMNS]]


def _columns(titles: Sequence[str], rows: Sequence[Sequence[str]]) -> dict[str, int]:
    """Nothing when the lines have two columns or unlike ones: then the value is the rest of the line.

    Without titles, a table of which everything behind the key is numbers is taken for keys with lists.
    """
    count, alike = Counter(len(row) for row in rows).most_common(1)[0] if rows else (len(titles), 0)
    count = max(count, len(titles))
    if count < 3 or (not titles and 5 * alike < 3 * len(rows)):
        return {}
    shares = [_share(_NUMERIC, rows, column) for column in range(count)]
    key = _titled(titles, _KEY_TITLES)
    if key is None:
        key = next((column for column in range(count) if _is_key(rows, column)), 0)
    if not titles and key == 0 and all(share > 0.5 for share in shares[1:]):
        return {}
    value = _titled(titles, _VALUE_TITLES)
    if value is None or value == key:
        value = next((column for column in range(key + 1, count) if shares[column] > 0.5), (key + 1) % count)
    return {"columns": count, "key_column": key, "value_column": value}


def _titled(titles: Sequence[str], wanted: Sequence[str]) -> int | None:
    return next((column for column, title in enumerate(titles) if title in wanted), None)


def _share(pattern: re.Pattern[str], rows: Sequence[Sequence[str]], column: int) -> float:
    cells = [row[column] for row in rows if column < len(row) and row[column]]
    return sum(bool(pattern.match(cell)) for cell in cells) / len(cells) if cells else 0.0


def _is_key(rows: Sequence[Sequence[str]], column: int) -> bool:
    """Names, and hardly one of them twice."""
    cells = [row[column] for row in rows if column < len(row)]
    return _share(_NAME, rows, column) >= 0.8 and 10 * len(set(cells)) >= 6 * len(cells)
