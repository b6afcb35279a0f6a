"""Problems that stop a command, on standard error: place, what is wrong, the line, the remedy."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from cfglint.report.styled import encodable
from cfglint.text.problem import Problem
from cfglint.text.visible import visible


def say_problems(problems: Iterable[Problem]) -> None:
    """Write each problem, the way compilers do."""
    for problem in problems:
        place = f"{problem.file}:{problem.line}:{problem.column}" if problem.line else problem.file
        lines = [f"{place}: {problem.level}: {problem.message}"]
        if problem.shown:
            lines.append(f"{problem.line:>5} | {problem.shown[:200]}")
        if problem.remedy:
            lines.append(f"  remedy: {problem.remedy}")
        text = "".join(visible(line) + "\n" for line in lines)
        sys.stderr.write(encodable(text, sys.stderr.encoding or "ascii"))
