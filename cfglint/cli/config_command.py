"""`cfglint config`: what a check would use, and where each value is written."""

from __future__ import annotations

import sys
from typing import Any

from cfglint.cli.check_command import request_of
from cfglint.project.check import planned
from cfglint.project.effective import Row, entry_rows, run_rows
from cfglint.project.judging import Bench
from cfglint.report.styled import FAINT, PLAIN, STRONG, StyledLine, styled, terminal_width, write_lines


def show_configuration(parsed: Any) -> int:
    """Show the effective configuration. Raises Refused where it is wrong, or there is no dump."""
    request = request_of(parsed)._replace(baseline=False)
    plan = planned(request, Bench())
    width = max(30, min(400, parsed.width or terminal_width(sys.stdout)))
    lines = [line for row in run_rows(plan, request) for line in _row(row, width, "")]
    for entry in plan.entries:
        lines += [[], *styled(entry.task.dump, STRONG, width)]
        lines += [line for row in entry_rows(entry, plan, request.asked) for line in _row(row, width, "  ")]
    write_lines(lines, sys.stdout, False)
    return 0


def _row(row: Row, width: int, indent: str) -> list[StyledLine]:
    text = f"{row.name} = {row.value}"
    return [*styled(text, PLAIN, width, indent, "    "), *styled(f"({row.origin})", FAINT, width, indent + "    ")]
