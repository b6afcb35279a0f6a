"""Patterns for paths below a root: `*` and `?` within a name, `**` for any number of folders. Never slow, whatever is written."""

from __future__ import annotations

from collections.abc import Iterable

LONGEST_PATTERN = 400


def matches(pattern: str, path: str) -> bool:
    """Whether a path, with forward slashes, is meant by a pattern. A pattern that names a folder means all that is in it."""
    names = path.split("/")
    wanted = [part for part in pattern.split("/") if part not in ("", ".")]
    if not wanted or len(pattern) > LONGEST_PATTERN:
        return pattern in (".", "./")
    return _parts_match(wanted, names)


def matches_any(patterns: Iterable[str], path: str) -> bool:
    """Whether any of the patterns means the path."""
    return any(matches(pattern, path) for pattern in patterns)


def has_wildcard(text: str) -> bool:
    """Whether a text is a pattern rather than a name."""
    return "*" in text or "?" in text


def _parts_match(wanted: list[str], names: list[str]) -> bool:
    """Reachable positions, part by part: the pattern is used up before or at the end of the path."""
    reached = {0}
    for part in wanted:
        if part == "**":
            reached = set(range(min(reached), len(names) + 1))
        else:
            reached = {at + 1 for at in reached if at < len(names) and _name_matches(part, names[at])}
        if not reached:
            return False
    return True if wanted[-1] != "**" else len(names) in reached


def _name_matches(part: str, name: str) -> bool:
    """One name against `*` and `?`, in time of their product: only the latest star is ever tried again."""
    at = p = 0
    star, mark = -1, 0
    while at < len(name):
        if p < len(part) and part[p] == "*":
            star, mark = p, at
            p += 1
        elif p < len(part) and part[p] in ("?", name[at]):
            p, at = p + 1, at + 1
        elif star >= 0:
            mark += 1
            p, at = star + 1, mark
        else:
            return False
    return all(mark == "*" for mark in part[p:])
