"""Which settings and facts a stored formula reads, in the order they stand, and how often each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any


def input_counts(trees: Iterable[Any], named: Mapping[tuple[str, str], Any]) -> dict[str, int]:
    """Ids read by some trees, with the number of places; named trees are followed where `named` holds them.

    A quantity or threshold that `named` does not hold is counted under `quantity:NAME` or `threshold:NAME`.
    """
    counts: dict[str, int] = {}
    for tree in trees:
        _count(tree, named, counts)
    return counts


def _count(tree: Any, named: Mapping[tuple[str, str], Any], counts: dict[str, int]) -> None:
    head = tree[0]
    if head in ("value", "in", "state", "word_rows"):
        counts[tree[1]] = counts.get(tree[1], 0) + (head != "state")
    elif head in ("let", "quantity", "threshold", "condition"):
        inner = named.get((head, tree[1]))
        if inner is None:
            counts[f"{head}:{tree[1]}"] = counts.get(f"{head}:{tree[1]}", 0) + 1
        else:
            _count(inner, named, counts)
    for part in tree[1:]:
        if head in ("lowest", "highest"):
            _count(part[1], named, counts)
        elif head == "ways":
            if isinstance(part, list):
                _count(part[1], named, counts)
        elif isinstance(part, list) and part and isinstance(part[0], str):
            _count(part, named, counts)
