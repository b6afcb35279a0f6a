"""Several formats in one run: FORMAT=FILE, each written whole or not at all."""

from __future__ import annotations

import contextlib
import io
import os
import stat
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from cfglint.report.context import Context
from cfglint.report.finding import RunReport
from cfglint.text.problem import Problem, Refused, refuse

Renderer = Callable[[RunReport, Context], str]
PAGE_FORMATS = ("html",)


class Output(NamedTuple):
    """A format, and the file that it is written to."""

    format: str
    file: str


def format_names() -> list[str]:
    """The formats that can be written, those that need more than the run included."""
    return sorted([*_RENDERERS, *PAGE_FORMATS])


def parse_outputs(pairs: Iterable[str], inputs: Iterable[str] = ()) -> tuple[Output, ...]:
    """The outputs asked for. `inputs`: files of the run, which no report may replace.

    Raises Refused for an unknown format, no file, two formats for one file, a folder that is not there, or an input.
    """
    outputs: list[Output] = []
    taken = {os.path.realpath(file): f"{file} is read by this run" for file in inputs if file != "-"}
    for pair in pairs:
        output = _parsed(pair)
        real = os.path.realpath(output.file)
        if real in taken:
            raise refuse("--write " + pair, f"{output.file} can't be written: {taken[real]}", "name another file")
        taken[real] = f"it is the {output.format} output already"
        outputs.append(output)
    return tuple(outputs)


def render(format: str, run: RunReport, context: Context) -> str:
    """A run in one of the formats that need nothing else. Raises KeyError for another one."""
    return _RENDERERS[format](run, context)


def write_outputs(
    outputs: Sequence[Output], run: RunReport, context: Context, pages: Mapping[str, Callable[[], str]] | None = None
) -> None:
    """Write every output; one that can't be written does not stop the others.

    `pages`: for formats that need more than the run, what makes their text. Raises Refused with every problem at the end.
    """
    problems: list[Problem] = []
    for output in outputs:
        try:
            write_whole(output.file, _rendered(output, run, context, pages or {}).encode("utf-8", "backslashreplace"))
        except Refused as refused:
            problems += refused.problems
    if problems:
        raise Refused(*problems)


def write_whole(file: str, content: bytes) -> None:
    """Write a file so that it is there whole, or as it was before; pipes and devices are written to.

    Raises Refused where it can't be written.
    """
    try:
        target = Path(os.path.realpath(file))
        if target.exists() and not target.is_file():
            target.write_bytes(content)
            return
        _replace(target, content)
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise refuse(file, f"can't be written: {reason}", "name a file in a folder that can be written") from None


def _parsed(pair: str) -> Output:
    format, equals, file = pair.partition("=")
    where = "--write " + pair
    if not equals or not file:
        raise refuse(where, "expected FORMAT=FILE", f"the formats are {', '.join(format_names())}")
    if format not in format_names():
        from cfglint.text.nearest import nearest

        near = nearest(format, format_names())
        guess = f"did you mean '{near}'? " if near else ""
        raise refuse(where, f"no format is called '{format}'", f"{guess}the formats are {', '.join(format_names())}")
    if file == "-":
        raise refuse(where, "the terminal report goes to standard output already", "choose its format with --format")
    path = Path(os.path.realpath(file))
    if path.is_dir() or not path.parent.is_dir():
        wrong = "is a folder" if path.is_dir() else "is in a folder that is not there"
        raise refuse(where, f"{file} {wrong}", "name a file in a folder that is there")
    return Output(format, file)


def _rendered(output: Output, run: RunReport, context: Context, pages: Mapping[str, Callable[[], str]]) -> str:
    if output.format in pages:
        return pages[output.format]()
    if output.format in _RENDERERS:
        return render(output.format, run, context)
    raise refuse(output.file, f"the format {output.format} can't be written by this command")


def _replace(target: Path, content: bytes) -> None:
    temporary = target.with_name(f".cfglint-{os.getpid()}.part")
    try:
        temporary.write_bytes(content)
        if target.exists():
            temporary.chmod(stat.S_IMODE(target.stat().st_mode))
        temporary.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise


def _text(run: RunReport, context: Context) -> str:
    from cfglint.report.styled import write_lines
    from cfglint.report.terminal import View, render_run

    buffer = io.BytesIO()
    stream = io.TextIOWrapper(buffer, encoding="utf-8", newline="\n", write_through=True)
    write_lines(render_run(run, View(100, True)), stream, colour=False)
    return buffer.getvalue().decode("utf-8")


def _json(run: RunReport, context: Context) -> str:
    from cfglint.report.json_report import render_json

    return render_json(run)


def _json_lines(run: RunReport, context: Context) -> str:
    from cfglint.report.json_lines import render_json_lines

    return render_json_lines(run, context)


def _sarif(run: RunReport, context: Context) -> str:
    from cfglint.report.sarif import render_sarif

    return render_sarif(run, context)


def _sarif_failures(run: RunReport, context: Context) -> str:
    from cfglint.report.sarif import render_sarif_failures

    return render_sarif_failures(run, context)


def _junit(run: RunReport, context: Context) -> str:
    from cfglint.report.junit import render_junit

    return render_junit(run, context)


def _markdown(run: RunReport, context: Context) -> str:
    from cfglint.report.markdown import render_markdown

    return render_markdown(run, context)


_RENDERERS: dict[str, Renderer] = {
    "text": _text,
    "json": _json,
    "json-lines": _json_lines,
    "sarif": _sarif,
    "sarif-failures": _sarif_failures,
    "junit": _junit,
    "markdown": _markdown,
}
