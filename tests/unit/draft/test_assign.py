"""The sparse solver against a well-known dense one, and against all possibilities of small tables."""

from __future__ import annotations

import itertools
import random

import pytest

from cfglint.draft.assign import assign


def _worth(table: list[dict[int, float]], columns: list[int]) -> float:
    assert len({c for c in columns if c >= 0}) == sum(c >= 0 for c in columns)
    return sum(table[row][column] for row, column in enumerate(columns) if column >= 0)


def _table(seed: int, rows: int, columns: int, share: float) -> list[dict[int, float]]:
    chance = random.Random(seed)
    return [{c: chance.uniform(-1, 4) for c in range(columns) if chance.random() < share} for _ in range(rows)]


def _best(table: list[dict[int, float]], columns: int) -> float:
    options = [[-1, *row] for row in table]
    sums = []
    for chosen in itertools.product(*options):
        taken = [c for c in chosen if c >= 0]
        if len(set(taken)) == len(taken):
            sums.append(sum(table[r][c] for r, c in enumerate(chosen) if c >= 0))
    return max(sums)


@pytest.mark.parametrize("seed", range(60))
def test_nothing_is_worth_more_on_small_tables(seed: int) -> None:
    table = _table(seed, 5, 4, 0.7)
    assert _worth(table, assign(table)) == pytest.approx(_best(table, 4))


@pytest.mark.parametrize(
    ("seed", "rows", "columns", "share"), [(1, 30, 30, 1.0), (2, 60, 40, 0.3), (3, 40, 90, 0.1), (4, 120, 80, 0.06)]
)
def test_worth_as_much_as_a_dense_solver_finds(seed: int, rows: int, columns: int, share: float) -> None:
    optimize = pytest.importorskip("scipy.optimize")
    table = _table(seed, rows, columns, share)
    dense = [[max(0.0, row.get(c, 0.0)) for c in range(columns)] for row in table]
    chosen = optimize.linear_sum_assignment(dense, maximize=True)
    assert _worth(table, assign(table)) == pytest.approx(sum(dense[r][c] for r, c in zip(*chosen, strict=True)))


def test_no_row_no_column_and_nothing_of_worth() -> None:
    assert assign([]) == []
    assert assign([{}, {0: -1.0}, {0: 0.0}]) == [-1, -1, -1]
    assert assign([{7: 2.0}, {7: 3.0}]) == [-1, 7]
