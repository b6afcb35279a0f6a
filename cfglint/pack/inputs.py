"""Which settings and facts a stored formula reads, how often, and which named amounts it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

NAMED = ("let", "quantity", "threshold", "condition")
Named = Mapping[tuple[str, str], Any]


def input_counts(trees: Iterable[Any], named: Named) -> dict[str, int]:
    """Ids read by some trees, in order, with the number of places; named trees are followed."""
    counts: dict[str, int] = {}
    for tree in trees:
        _count(tree, named, counts)
    return counts


def named_amounts(tree: Any, named: Named) -> list[tuple[str, str]]:
    """The lets, thresholds and quantities a condition rests on, each after those it uses itself."""
    found: dict[tuple[str, str], None] = {}
    _collect(tree, named, found)
    return list(found)


def _count(tree: Any, named: Named, counts: dict[str, int]) -> None:
    head = tree[0]
    if head in ("value", "in", "state", "word_rows"):
        counts[tree[1]] = counts.get(tree[1], 0) + (head != "state")
    elif head in NAMED:
        inner = named.get((head, tree[1]))
        if inner is not None:
            _count(inner, named, counts)
    for part in inner_trees(tree):
        _count(part, named, counts)


def _collect(tree: Any, named: Named, found: dict[tuple[str, str], None]) -> None:
    key = (tree[0], tree[1]) if tree[0] in NAMED else None
    if key is not None and key[0] in ("let", "condition") and key in named:
        _collect(named[key], named, found)
    if key is not None and key[0] != "condition":
        found[key] = None
    for part in inner_trees(tree):
        _collect(part, named, found)


def inner_trees(tree: Any) -> Iterable[Any]:
    """The trees directly inside a stored one."""
    head = tree[0]
    for part in tree[1:]:
        if head in ("lowest", "highest") or (head == "ways" and isinstance(part, list)):
            yield part[1]
        elif isinstance(part, list) and part and isinstance(part[0], str):
            yield part
