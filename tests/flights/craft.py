"""Craft for the tests of the flight ladder: the examples, and small ones written in catalogue ids."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cfglint.cli import plan_command, record_command
from cfglint.cli.flight_work import Work, read_work
from cfglint.text.problem import Refused

ROOT = Path(__file__).parent.parent.parent
EXAMPLES = ROOT / "examples"
TODAY = "2026-06-30"
QUAD = """\
hover.throttle = 1500 us
link_loss.action = land
motor.layout = cross
mounting.yaw = 0 deg
altitude_hold.climb_rate = 2 m/s
switch.altitude_hold.channel = 6
switch.altitude_hold.from = 1300 us
switch.altitude_hold.to = 1700 us
"""
QUAD_FACTS = """\
[craft]
name = "Bobbin"
kind = "quadrotor"
mass = "600 g"
rotors = "4"
"""


def parsed(*arguments: str) -> Any:
    """A command line of `plan` or `record`, taken apart."""
    top = argparse.ArgumentParser(prog="cfglint")
    commands = top.add_subparsers(dest="command")
    plan_command.add_arguments(commands)
    record_command.add_arguments(commands)
    return top.parse_args(arguments)


def example(name: str, map_name: str) -> Work:
    """An example craft with its record."""
    return read_work(parsed("plan", str(EXAMPLES / name / f"{name}.dump"), "--map", str(EXAMPLES / f"{map_name}.map.toml")))


def quad(folder: Path, dump: str = QUAD, facts: str = QUAD_FACTS) -> str:
    """A small quadrotor in a folder; gives the dump's path."""
    (folder / "bobbin.dump").write_text(dump)
    (folder / "craft.toml").write_text(facts)
    return str(folder / "bobbin.dump")


def work(dump: str) -> Work:
    """A craft with its record."""
    return read_work(parsed("plan", dump))


def record(dump: str, card: str, *more: str) -> int:
    """Record a card, as the command does; 28 June 2026 unless told otherwise."""
    date = () if "--date" in more else ("--date", "2026-06-28")
    return record_command.run(parsed("record", card, dump, "--today", TODAY, *date, *more))


def refusal(dump: str, card: str, *more: str) -> str:
    """What a refused recording says, remedies included."""
    try:
        record(dump, card, *more)
    except Refused as refused:
        return " ".join(f"{p.file}:{p.line}: {p.message} ({p.remedy})" for p in refused.problems)
    raise AssertionError("it was recorded")


def states(of: Work) -> dict[str, str]:
    """The state of each card of a craft."""
    return {rung.card.id: rung.status.state for rung in of.rungs()}
