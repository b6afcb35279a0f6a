"""`cfglint compare`: what changed between two dumps, folders or revisions, and what got worse."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cfglint.project.task import Asked
    from cfglint.report.comparison_data import Comparison

_EPILOG = """exit status: 0 nothing got worse, 1 something did, 2 some craft could not be compared, or there was none

Maps, packs, airframe types and inherited facts are those that cfglint.toml names, on each side its own. Waivers, known
findings and rules switched off play no part here: a finding that is waived has appeared all the same. A craft whose files are
the same is not judged again. That nothing got worse does not say that anything was good."""


def add_arguments(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Describe the command line of the comparison."""
    compare = commands.add_parser(
        "compare",
        help="compare two dumps, folders or git revisions by what they mean",
        description="Compare by meaning: settings in units, findings that appear, go or change their level, rules that can't "
        "be decided any more, flight proofs that go stale. OLD and NEW are two dumps, two folders, or two revisions as "
        "OLD..NEW (OLD...NEW: since their common ancestor); with --git, OLD and NEW are revisions, and without NEW the "
        "files on disk are compared.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    compare.add_argument("old", metavar="OLD", help="a dump, a folder, a revision with --git, or OLD..NEW")
    compare.add_argument("new", metavar="NEW", nargs="?", help="the same of the new state")
    compare.add_argument("--git", action="store_true", help="OLD and NEW are revisions of the repository here")
    compare.add_argument("--map", metavar="FILE", default="", help="the controller's name map, looked for on each side first")
    compare.add_argument("--old-map", metavar="FILE", default="", help="the name map for OLD, if it is another")
    compare.add_argument("--craft", metavar="FILE", default="", help="facts of the craft (default: craft.toml beside each dump)")
    compare.add_argument("--old-craft", metavar="FILE", default="", help="the facts for OLD, if they are others")
    compare.add_argument("--airframe", metavar="TYPE", help="the airframe type, if craft.toml does not say it")
    compare.add_argument("--full", action="store_true", help="the dumps hold every setting: what is absent is unset")
    compare.add_argument("--rules", metavar="FOLDER", action="append", default=[], help="judge with this rule pack as well")
    compare.add_argument("--format", choices=("text", "json", "markdown"), default="text", help="how to report (default: text)")
    compare.add_argument("--verbose", action="store_true", help="show every change, also those that matter least")
    compare.add_argument("--color", choices=("auto", "always", "never"), default="auto", help="colour (default: on a terminal)")
    compare.add_argument("--width", type=int, metavar="N", help="wrap at N columns (default: the terminal's)")


def run(parsed: Any) -> int:
    """Compare, and write the report."""
    import tempfile

    from cfglint.cli.problems import say_problems
    from cfglint.text.problem import Refused, refuse

    try:
        with tempfile.TemporaryDirectory(prefix="cfglint-") as scratch:
            comparison = _compared(parsed, scratch)
    except Refused as refused:
        say_problems(refused.problems)
        return 2
    except OSError as error:
        say_problems(refuse("compare", (error.strerror or str(error)).lower()).problems)
        return 2
    _write(comparison, parsed)
    return comparison.status


def _compared(parsed: Any, scratch: str) -> Comparison:
    from cfglint.project.compare import compare_files, compare_sides
    from cfglint.project.compare_git import common_ancestor, revision_side, working_side
    from cfglint.project.compare_judge import file_case
    from cfglint.project.compare_pairs import folder_side
    from cfglint.project.judging import Bench, kinds_named
    from cfglint.text.problem import refuse

    old_asked, asked = _asked(parsed)
    bench = Bench()
    bench.pack(asked.rules)
    kinds_named(asked.airframe)
    revisions = _revisions(parsed)
    if revisions is not None:
        first, dots, second = revisions
        start = common_ancestor(first, second) if dots == "..." else first
        old = revision_side(start, scratch, old_asked)
        new = revision_side(second, scratch, asked) if second else working_side(asked)
        return compare_sides(old, new, bench)
    if parsed.new is None:
        raise refuse("compare", "a second dump or folder is wanted", "name it, or two revisions as OLD..NEW, or --git OLD")
    folders = [Path(name).is_dir() for name in (parsed.old, parsed.new)]
    if all(folders):
        return compare_sides(folder_side(parsed.old, old_asked), folder_side(parsed.new, asked), bench)
    if any(folders):
        file, folder = (parsed.new, parsed.old) if folders[0] else (parsed.old, parsed.new)
        raise refuse(folder, f"this is a folder, but {file} is not", "compare two dumps, or two folders")
    return compare_files(file_case(parsed.old, old_asked), file_case(parsed.new, asked), bench)


def _revisions(parsed: Any) -> tuple[str, str, str] | None:
    """OLD, the dots between, and NEW ("" for the files on disk), where revisions are meant."""
    if parsed.new is None and not Path(parsed.old).exists():
        for dots in ("...", ".."):
            first, found, second = parsed.old.partition(dots)
            if found:
                return first or "HEAD", dots, second or "HEAD"
    return (parsed.old, "", parsed.new or "") if parsed.git else None


def _asked(parsed: Any) -> tuple[Asked, Asked]:
    from cfglint.project.task import Asked

    new = Asked(parsed.map, parsed.craft, tuple(parsed.rules), parsed.airframe or "", parsed.full)
    return new._replace(map=parsed.old_map or parsed.map, craft=parsed.old_craft or parsed.craft), new


def _write(comparison: Comparison, parsed: Any) -> None:
    from cfglint.report.styled import encodable, terminal_width, wants_colour, write_lines

    if parsed.format == "json":
        from cfglint.report.comparison_json import render_comparison_json

        sys.stdout.write(render_comparison_json(comparison))
    elif parsed.format == "markdown":
        from cfglint.report.comparison_markdown import render_comparison_markdown

        sys.stdout.write(encodable(render_comparison_markdown(comparison), sys.stdout.encoding or "ascii"))
    else:
        from cfglint.report.comparison_text import render_comparison_text

        width = max(30, min(400, parsed.width or terminal_width(sys.stdout)))
        write_lines(
            render_comparison_text(comparison, width, parsed.verbose),
            sys.stdout,
            wants_colour(sys.stdout, parsed.color),
        )
