"""The arguments of every command."""

from __future__ import annotations

import argparse

from cfglint import __version__

_EPILOG = """exit status: 0 nothing at or above the failing level, 1 something, 2 the work could not be done or there was nothing to check

Nothing found is not airworthiness: propellers off on the bench, room and soft ground, a spotter, a hand on the mode switch;
local rules and authorities prevail."""


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    top = argparse.ArgumentParser(
        prog="cfglint",
        description="Reads a settings dump of an autopilot-equipped model aircraft, does the arithmetic for its airframe, "
        "and says what is risky, why, and on what authority.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"cfglint {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    _check(commands)
    _explain(commands)
    _rules(commands)
    _settings(commands)
    completion = commands.add_parser("completion", help="print the completion script of a shell")
    completion.add_argument("shell", choices=("bash", "zsh", "tcsh"))
    return top


def _check(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = commands.add_parser(
        "check",
        help="judge settings dumps",
        description="Judge settings dumps. A file craft.toml beside a dump is used unless --craft names another; a map is "
        "used if --map names it; without one the keys must be catalogue ids.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    check.add_argument("dumps", metavar="DUMP", nargs="+", help="a settings dump; - for standard input")
    check.add_argument("--craft", metavar="FILE", help="facts of craft and site (default: craft.toml beside the dump)")
    check.add_argument("--map", metavar="FILE", help="the name map of the controller")
    check.add_argument("--airframe", metavar="TYPE", help="the airframe type, if craft.toml does not say it")
    check.add_argument("--format", choices=("text", "json"), default="text", help="how to report (default: text)")
    check.add_argument("--fail-on", choices=("error", "warning", "note"), default="warning", help="the level from which findings fail the run (default: warning)")  # fmt: skip
    check.add_argument("--strict", action="store_true", help="undecided rules, and findings that rest on assumptions, fail too")
    check.add_argument("--full", action="store_true", help="the dump holds every setting: what is absent is unset")
    check.add_argument("--rules", metavar="FOLDER", action="append", default=[], help="judge with this rule pack as well")
    check.add_argument("--verbose", action="store_true", help="show every line, and each rule that was not judged")
    check.add_argument("--color", choices=("auto", "always", "never"), default="auto", help="colour (default: on a terminal)")
    check.add_argument("--width", type=int, metavar="N", help="wrap at N columns (default: the terminal's)")


def _explain(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    explain = commands.add_parser("explain", help="why a rule is there, its arithmetic, thresholds and sources")
    explain.add_argument("rule", metavar="RULE", help="a rule's id, such as wing/bank-limit-stalls")
    explain.add_argument("--rules", metavar="FOLDER", help="look in this rule pack")
    explain.add_argument("--width", type=int, metavar="N", help="wrap at N columns")
    explain.add_argument("--color", choices=("auto", "always", "never"), default="auto")


def _rules(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    rules = commands.add_parser("rules", help="list the rules, or check a rule pack: rules check [PATH]")
    rules.add_argument("action", nargs="?", choices=("list", "check"), default="list")
    rules.add_argument("path", nargs="?", metavar="PATH", help="the folder of a rule pack (default: the shipped one)")
    rules.add_argument("--topic", help="only rules of this topic")
    rules.add_argument("--airframe", help="only rules for this airframe type")
    rules.add_argument("--level", choices=("error", "warning", "note"), help="only rules that can have this level")
    rules.add_argument("--only", metavar="PREFIX", help="check: only rules whose id begins so")
    rules.add_argument("--format", choices=("text", "json"), default="text")


def _settings(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    settings = commands.add_parser("settings", help="list the settings and facts the tool understands")
    settings.add_argument("word", nargs="?", metavar="WORD", help="only those whose id or meaning has this word")
    settings.add_argument("--facts", action="store_true", help="only facts, for craft.toml")
    settings.add_argument("--airframe", help="only those of this airframe family")
