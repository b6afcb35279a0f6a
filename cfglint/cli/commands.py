"""Which function does which command; each is imported when it is asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any


def _check(parsed: Any) -> int:
    from cfglint.cli.check_command import check

    return check(parsed)


def _config(parsed: Any) -> int:
    from cfglint.cli.config_command import show_configuration

    return _guarded(show_configuration, parsed)


def _baseline(parsed: Any) -> int:
    from cfglint.cli.baseline_command import baseline

    return _guarded(baseline, parsed)


def _room(parsed: Any) -> int:
    """A command that describes and runs itself."""
    from importlib import import_module

    return _guarded(import_module(f"cfglint.cli.{parsed.command}_command").run, parsed)


def _explain(parsed: Any) -> int:
    from cfglint.cli.explain_command import explain

    return _guarded(explain, parsed)


def _rules(parsed: Any) -> int:
    from cfglint.cli.rules_command import check_pack, list_rules, write_pages

    return _guarded({"check": check_pack, "pages": write_pages, "list": list_rules}[parsed.action], parsed)


def _settings(parsed: Any) -> int:
    from cfglint.cli.settings_command import list_settings

    return _guarded(list_settings, parsed)


def _completion(parsed: Any) -> int:
    import shtab

    from cfglint.cli.arguments import parser

    sys.stdout.write(shtab.complete(parser(whole=True), parsed.shell) + "\n")
    return 0


def _guarded(command: Callable[[Any], int], parsed: Any) -> int:
    """Run a command; what stops it is said in one line a problem."""
    from cfglint.cli.problems import say_problems
    from cfglint.text.problem import Refused

    try:
        return command(parsed)
    except Refused as refused:
        say_problems(refused.problems)
        return 2


COMMANDS: dict[str, Callable[[Any], int]] = {
    "check": _check,
    "config": _config,
    "baseline": _baseline,
    "compare": _room,
    "plan": _room,
    "record": _room,
    "draft": _room,
    "explain": _explain,
    "rules": _rules,
    "settings": _settings,
    "completion": _completion,
}
