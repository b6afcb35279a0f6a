"""A small invented repository of setups, written into a folder, and checks of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cfglint.project.check import Done, Request, checked
from cfglint.report.finding import FileReport, Finding

RULE = "battery/wing-stops-too-late"
DUMP = """link_loss.action = return
fence.action = return
battery.cell_critical = {critical}
battery.cell_warn = 3.6 V
battery.low_action = return
battery.critical_action = land
cruise.speed = 15 m/s
"""
CRAFT = '[craft]\nname = "{name}"\nkind = "tailed"\nbattery_chemistry = "lipo"\nbattery_cells = "3"\n'


def craft(root: Path, name: str, critical: str = "3.0 V", more: str = "") -> Path:
    """A craft in its folder; returns its dump."""
    folder = root / name.lower()
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "craft.toml").write_text(CRAFT.format(name=name) + more)
    dump = folder / f"{name.lower()}.dump"
    dump.write_text(DUMP.format(critical=critical))
    return dump


def configuration(root: Path, text: str = "") -> Path:
    """The repository's configuration."""
    path = root / "cfglint.toml"
    path.write_text(text)
    return path


def waiver(**changes: str) -> str:
    """A waiver of `RULE` as a TOML table; a change to "" leaves a key out."""
    keys = {
        "rule": f"'{RULE}'",
        "craft": "'Anvil'",
        "reason": "'a bench supply'",
        "owner": "'shed'",
        "until": "2027-06-30",
    }
    return "[[waiver]]\n" + "".join(f"{key} = {text}\n" for key, text in {**keys, **changes}.items() if text)


def check(*names: Path, **more: Any) -> Done:
    """A check of dumps or folders, on the first of May 2026."""
    request = Request(tuple(map(str, names)), today=more.pop("today", "2026-05-01"), jobs=more.pop("jobs", 1), **more)
    return checked(request)


def report_of(done: Done, dump: Path) -> FileReport:
    """The report of a dump."""
    return next(file for file in done.run.files if file.file == str(dump))


def found(done: Done, dump: Path, rule: str = RULE) -> Finding:
    """The finding of a rule on a dump."""
    return next(finding for finding in report_of(done, dump).findings if finding.rule == rule)


def rules(done: Done) -> set[str]:
    """The rules of all findings of a run."""
    return {finding.rule for file in done.run.files for finding in file.findings}
