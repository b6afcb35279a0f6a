"""Texts to measure with: dumps of any length made of an example's settings and unrelated lines, and the same as YAML or INI."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from cfglint.text.dump import LineKind, read

ROOT = Path(__file__).parent.parent.parent
EXAMPLE = ROOT / "examples/thimble/thimble.dump"
MAP = ROOT / "examples/oxlip.map.toml"
CRAFT = ROOT / "examples/thimble/craft.toml"


def long_dump(lines: int) -> str:
    """The example's own lines, and as many unrelated settings as are wanted, in sections of fifty."""
    text = EXAMPLE.read_text(encoding="utf-8")
    made = text.rstrip("\n").split("\n")
    number = 0
    while len(made) < lines:
        if number % 50 == 0:
            made.append(f"[Spare {number // 50}]")
        made.append(f"spare-setting-{number} = {(number * 7919) % 1000}")
        number += 1
    return "\n".join(made[:lines]) + "\n"


def as_yaml(dump: str) -> str:
    """The same names and values as a YAML mapping of mappings."""
    made = ["---"]
    for line in read(dump.encode()).lines:
        if line.kind == LineKind.SECTION:
            made.append(f"{line.section.replace(' ', '_')}_{line.number}:")
        elif line.kind == LineKind.ENTRY:
            key, value = dump[line.key.start : line.key.end], dump[line.value.start : line.value.end]
            made.append(f'  {key.replace(" ", "_")}: "{value}"')
        else:
            made.append(f"# {dump[line.start : line.end].strip()}")
    return "\n".join(made) + "\n"


def measured(command: Sequence[str], repeat: int, cwd: Path = ROOT) -> tuple[float, float]:
    """Median wall seconds and peak MiB of a whole process, output thrown away, after one untimed run that writes bytecode."""
    times, peaks = [], []
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    wrapper = (
        "import os,resource,subprocess,sys,time; t=time.perf_counter(); subprocess.run(sys.argv[1:],stdout=subprocess.DEVNULL,"
    )
    wrapper += (
        "stderr=subprocess.DEVNULL); print(time.perf_counter()-t, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss/1024)"
    )
    for index in range(repeat + 1):
        done = subprocess.run(
            [sys.executable, "-S", "-c", wrapper, *command],
            capture_output=True,
            text=True,
            cwd=cwd,
            check=True,
            env=env,
        )
        seconds, peak = map(float, done.stdout.split())
        if index:
            times.append(seconds)
            peaks.append(peak)
    return statistics.median(times), max(peaks)


def timed(action: object, repeat: int = 9) -> float:
    """Median seconds of a call."""
    assert callable(action)
    times = []
    for _ in range(repeat):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return statistics.median(times)
