"""The assignment problem on a sparse table: each row at most one column, each column at most one row, the greatest sum."""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence

_NONE = -1


def assign(worth: Sequence[Mapping[int, float]]) -> list[int]:
    """The column of each row, or -1, such that the sum of `worth[row][column]` is greatest; what is worth 0 or less is left out.

    Columns are numbered from 0. Source: successive shortest augmenting paths with potentials (the Jonker-Volgenant family), on
    the pairs that are worth something only; each row also has a column of its own that is worth 0, so that a path always ends.
    The time is rows * pairs * log(pairs) at most.
    """
    top = max((value for row in worth for value in row.values()), default=0.0)
    table = [{c: top - v for c, v in row.items() if v > 0} | {-2 - number: top} for number, row in enumerate(worth)]
    solving = _Solving(table)
    for row in range(len(table)):
        solving.bring_in(row)
    return [column if column >= 0 else _NONE for column in solving.column_of]


class _Solving:
    """The state between two augmenting paths: who has what, and the potentials of rows and columns."""

    def __init__(self, cost: Sequence[Mapping[int, float]]) -> None:
        self.cost = cost
        self.column_of = [_NONE] * len(cost)
        self.row_of: dict[int, int] = {}
        self.of_row = [0.0] * len(cost)
        self.of_column: dict[int, float] = {}

    def bring_in(self, start: int) -> None:
        """Give one more row a column, by the cheapest chain of changes."""
        before: dict[int, int] = {}
        done, end, length = self._search(start, before)
        self.of_row[start] += length
        for column, reached in done.items():
            row = self.row_of[column]
            self.of_row[row] += length - reached
            self.of_column[column] = self.of_column.get(column, 0.0) - (length - reached)
        while True:
            row = before[end]
            self.row_of[end] = row
            self.column_of[row], end = end, self.column_of[row]
            if row == start:
                return

    def _search(self, start: int, before: dict[int, int]) -> tuple[dict[int, float], int, float]:
        """Dijkstra's search for the nearest free column: the columns passed with their distance, its number, its distance."""
        reach: dict[int, float] = {}
        done: dict[int, float] = {}
        heap: list[tuple[float, int]] = []
        row, length = start, 0.0
        while True:
            for column, own in self.cost[row].items():
                total = length + own - self.of_row[row] - self.of_column.get(column, 0.0)
                if column not in done and total < reach.get(column, float("inf")):
                    reach[column], before[column] = total, row
                    heapq.heappush(heap, (total, column))
            length, column = heapq.heappop(heap)
            while column in done:
                length, column = heapq.heappop(heap)
            if column not in self.row_of:
                return done, column, length
            done[column] = length
            row = self.row_of[column]
