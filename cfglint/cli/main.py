"""The command line: what is asked is parsed here, and done elsewhere."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence

from cfglint.cli.arguments import parser


def run() -> None:
    """The entry point of the `cfglint` command.

    A run is short and makes few circles: collecting them seldom, and leaving without tidying what the system tidies anyway,
    saves a seventh of it.
    """
    gc.set_threshold(200_000, 50, 50)
    status = main()
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except BrokenPipeError:
        status = 2
    except (OSError, ValueError) as error:
        status = 2
        os.write(2, f"cfglint: the report could not be written: {error}\n".encode(errors="replace"))
    os._exit(status)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. 0 nothing failed, 1 findings, 2 the work could not be done."""
    words = sys.argv[1:] if arguments is None else arguments
    parsed = parser(words[0] if words else "").parse_args(words)
    if parsed.command is None:
        parser().print_help()
        return 2
    try:
        return _command(parsed.command, parsed)
    except KeyboardInterrupt:
        sys.stderr.write("cfglint: stopped\n")
        return 2
    except BrokenPipeError:
        _silence_stdout()
        return 2
    except RecursionError:
        sys.stderr.write("cfglint: nested too deeply to be judged\n")
        return 2


def _command(name: str, parsed: object) -> int:
    from cfglint.cli import commands

    return commands.COMMANDS[name](parsed)


def _silence_stdout() -> None:
    """The reader has gone: nothing more can be said, not even at the interpreter's end."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        pass
