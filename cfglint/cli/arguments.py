"""The arguments of every command."""

from __future__ import annotations

import argparse
import re
from importlib import import_module

from cfglint import __version__

_EPILOG = """exit status: 0 nothing at or above the failing level, 1 something, 2 the work could not be done or there was nothing
to check

Nothing found is not airworthiness: propellers off on the bench, room and soft ground, a spotter, a hand on the mode switch;
local rules and authorities prevail."""


OWN = ("check", "config", "baseline", "explain", "rules", "settings", "completion")
"""The commands that are described here."""

ROOMS = {
    "compare": "compare two dumps, folders or git revisions by what they mean",
    "plan": "which test card to fly next, and a card filled in for this craft",
    "record": "put a flown test card on record",
    "draft": "propose a name map for a controller nobody has described",
}
"""The commands that describe themselves, in `<name>_command.py`: loaded only where one of them is meant."""

FORMATS = ("text", "json", "json-lines", "sarif", "sarif-failures", "junit", "markdown", "html")

_DAY = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])")


def parser(command: str = "", whole: bool = False) -> argparse.ArgumentParser:
    """The parser of the whole command line; of one command alone where `command` names one. `whole`: every option of all."""
    top = argparse.ArgumentParser(
        prog="cfglint",
        description="Reads a settings dump of an autopilot-equipped model aircraft, does the arithmetic for its airframe, "
        "and says what is risky, why, and on what authority.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"cfglint {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", title="commands", prog="cfglint")
    known = command in OWN or command in ROOMS
    for name, describe in _DESCRIBED.items():
        if not known or command == name:
            describe(commands)
    for name, words in ROOMS.items():
        if whole or command == name:
            _room(name, commands)
        elif not known:
            commands.add_parser(name, help=words)
    return top


def _room(name: str, commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    module = f"cfglint.cli.{name}_command"
    try:
        import_module(module).add_arguments(commands)
    except ModuleNotFoundError as error:
        if error.name != module:
            raise


def _check(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = commands.add_parser(
        "check",
        help="judge settings dumps",
        description="Judge settings dumps: those that are named, those in a folder, or all in the folder of the run. The nearest "
        "cfglint.toml says which map belongs to which dump, and what is waived; a file craft.toml beside a dump is used unless "
        "--craft names another. Without a map the keys must be catalogue ids.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    check.add_argument("dumps", metavar="DUMP", nargs="*", help="a settings dump, or a folder of craft; - for standard input")
    check.add_argument("--format", choices=FORMATS, default="text", help="how to report (default: text)")
    check.add_argument("--write", metavar="FORMAT=FILE", action="append", default=[], help="also write the report in this format")
    check.add_argument("--propose", metavar="FILE", help="write the remedies as a patch for git apply")
    check.add_argument("--overview", action="store_true", help="of several craft, only the table of what is wrong with which")
    check.add_argument("--verbose", action="store_true", help="show every line, and each rule that was not judged")
    check.add_argument("--color", choices=("auto", "always", "never"), default="auto", help="colour (default: on a terminal)")
    check.add_argument("--width", type=int, metavar="N", help="wrap at N columns (default: the terminal's)")
    _judging(check)


def _judging(command: argparse.ArgumentParser) -> None:
    """What every command that judges is told."""
    command.add_argument("--craft", metavar="FILE", help="facts of craft and site (default: craft.toml beside the dump)")
    command.add_argument("--map", metavar="FILE", help="the name map of the controller")
    command.add_argument("--airframe", metavar="TYPE", help="the airframe type, if craft.toml does not say it")
    levels = ("error", "warning", "note")
    command.add_argument("--fail-on", choices=levels, help="the level from which findings fail the run (default: warning)")
    command.add_argument("--strict", action="store_true", help="undecided rules, and findings that rest on assumptions, fail too")
    command.add_argument("--full", action="store_true", help="the dump holds every setting: what is absent is unset")
    command.add_argument("--rules", metavar="FOLDER", action="append", default=[], help="judge with this rule pack as well")
    where = command.add_mutually_exclusive_group()
    where.add_argument("--config", metavar="FILE", help="the configuration (default: cfglint.toml beside the dumps or above)")
    where.add_argument("--no-config", action="store_true", help="use no configuration")
    command.add_argument("--today", type=_day, metavar="DATE", help="judge waivers by this day, such as 2026-05-01")
    command.add_argument("--no-waivers", action="store_true", help="as if nothing were waived")
    command.add_argument("--no-baseline", action="store_true", help="as if no finding were known")
    command.add_argument("--jobs", type=_count, metavar="N", help="judge in at most N processes (default: one a processor)")


def _config(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    config = commands.add_parser("config", help="show what is checked with what, and where that is written")
    config.add_argument("dumps", metavar="DUMP", nargs="*", help="a settings dump, or a folder of craft (default: this folder)")
    config.add_argument("--width", type=int, metavar="N", help="wrap at N columns")
    _judging(config)


def _baseline(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    baseline = commands.add_parser(
        "baseline",
        help="write the list of known findings, or drop from it what is gone",
        description="Known findings are listed and don't fail a run; new ones do, and so do known ones that got worse. "
        "'write' puts all present findings on the list that cfglint.toml names as its baseline, 'prune' drops those gone.",
    )
    baseline.add_argument("action", choices=("write", "prune"))
    baseline.add_argument("dumps", metavar="DUMP", nargs="*", help="only for these dumps or folders; the rest of the list stays")
    _judging(baseline)


def _day(text: str) -> str:
    if not _DAY.fullmatch(text):
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is no day; it is written 2026-05-01")
    return text


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= len(text) <= 4 and int(text) > 0):
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is no number of processes")
    return int(text)


def _explain(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    explain = commands.add_parser("explain", help="why a rule is there, its arithmetic, thresholds and sources")
    explain.add_argument("rule", metavar="RULE", help="a rule's id, such as wing/bank-limit-stalls")
    explain.add_argument("--rules", metavar="FOLDER", help="look in this rule pack")
    explain.add_argument("--width", type=int, metavar="N", help="wrap at N columns")
    explain.add_argument("--color", choices=("auto", "always", "never"), default="auto")


def _rules(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    rules = commands.add_parser("rules", help="list the rules, or check a rule pack: rules check [PATH]")
    rules.add_argument("action", nargs="?", choices=("list", "check", "pages"), default="list")
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


def _completion(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    completion = commands.add_parser("completion", help="print the completion script of a shell")
    completion.add_argument("shell", choices=("bash", "zsh", "tcsh"))


_DESCRIBED = {
    "check": _check,
    "config": _config,
    "baseline": _baseline,
    "explain": _explain,
    "rules": _rules,
    "settings": _settings,
    "completion": _completion,
}
