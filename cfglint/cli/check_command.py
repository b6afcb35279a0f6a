"""`cfglint check`: dumps in, cited findings out."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

from cfglint.cli.problems import say_problems
from cfglint.project.check import Done, Request, checked
from cfglint.project.task import Asked
from cfglint.text.problem import Problem, Refused

if TYPE_CHECKING:
    from cfglint.project.check_outputs import Outputs


def check(parsed: Any) -> int:
    """Judge every dump; a bad one never stops the rest."""
    try:
        outputs = _outputs(parsed)
        done = checked(request_of(parsed, bool(outputs and outputs.wants_passed)), progress_on(sys.stderr))
    except Refused as refused:
        say_problems(refused.problems)
        return 2
    _write(done, parsed)
    said = _write_beside(done, outputs)
    say_problems(said)
    return 2 if any(problem.level == "error" for problem in said) else done.run.status


def request_of(parsed: Any, passed: bool = False) -> Request:
    """What the command line asks for."""
    return Request(
        tuple(parsed.dumps),
        Asked(parsed.map or "", parsed.craft or "", tuple(parsed.rules), parsed.airframe or "", parsed.full),
        parsed.fail_on,
        True if parsed.strict else None,
        None if parsed.no_config else parsed.config or "",
        parsed.today or "",
        not parsed.no_waivers,
        not parsed.no_baseline,
        parsed.jobs or 0,
        passed=passed,
    )


def progress_on(stream: Any) -> Any:
    """Tells how far a run is, on a terminal only."""
    if not stream.isatty():
        return lambda done, all: None

    def tell(done: int, all: int) -> None:
        end = "\r\033[K" if done == all else "\r"
        if done == all or done % 10 == 0:
            stream.write(f"\rjudged {done} of {all}{end}")
            stream.flush()

    return tell


def _outputs(parsed: Any) -> Outputs | None:
    if not parsed.write and not parsed.propose:
        return None
    from cfglint.project.check_outputs import outputs_of

    return outputs_of(parsed.write, parsed.propose or "", parsed.dumps)


def _write_beside(done: Done, outputs: Outputs | None) -> tuple[Problem, ...]:
    """Write what was asked for beside the report; what could not be, or was left out, and why."""
    return outputs.write(done) if outputs is not None else ()


def _write(done: Done, parsed: Any) -> None:
    run = done.run
    if parsed.format == "html":
        from cfglint.project.check_outputs import page_of

        sys.stdout.write(page_of(done))
        return
    if parsed.format != "text":
        from cfglint.project.check_outputs import context_of
        from cfglint.report.outputs import render

        sys.stdout.write(render(parsed.format, run, context_of(done.plan.configuration.file)))
        return
    from cfglint.report.styled import terminal_width, wants_colour, write_lines
    from cfglint.report.terminal import View, render_run

    view = View(max(30, min(400, parsed.width or terminal_width(sys.stdout))), parsed.verbose, parsed.overview)
    write_lines(render_run(run, view), sys.stdout, wants_colour(sys.stdout, parsed.color))
