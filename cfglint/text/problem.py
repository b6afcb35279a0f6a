"""A problem of somebody's file: what is wrong, where, what was expected, and how to put it right. Data, never raised."""

from __future__ import annotations

from typing import NamedTuple


class Problem(NamedTuple):
    """One problem. `line` and `column` count from 1; 0 where the whole file is meant. `remedy` may be empty."""

    level: str
    code: str
    message: str
    file: str
    line: int = 0
    column: int = 0
    shown: str = ""
    remedy: str = ""
    setting: str = ""


class Refused(Exception):
    """The work can't be done for this file: carries the problems that say why. Raised towards the caller, caught by the cli."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = problems

    def __reduce__(self) -> tuple[type[Refused], tuple[Problem, ...]]:
        return type(self), self.problems


def refuse(file: str, message: str, remedy: str = "", line: int = 0, column: int = 0, shown: str = "") -> Refused:
    """The Refused for one problem of a file that stops the work on it."""
    return Refused(Problem("error", "unusable-file", message, file, line, column, shown, remedy))
