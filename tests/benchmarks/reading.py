"""How long reading takes, and how much memory: `python -m tests.benchmarks.reading`. Prints figures, asserts nothing."""

from __future__ import annotations

import configparser
import random
import resource
import subprocess
import sys
import time
from collections.abc import Callable

from cfglint.text.dump import LineKind, read

_VALUES = ("1540", "3.5 V", "hold", "1, 2, 3", "off", "-0.25", '"small bell"')
_LARGE = 100_000_000


def ini_text(lines: int, seed: int = 1) -> str:
    """Invented INI text: sections, comments, blank lines, entries with and without a trailing comment."""
    chance = random.Random(seed)
    made = ["[group 0]"]
    for number in range(1, lines):
        if number % 50 == 0:
            made.append(f"[group {number}]")
        elif number % 17 == 0:
            made.append("# a remark about the next lines")
        elif number % 23 == 0:
            made.append("")
        else:
            made.append(f"setting_{number}_of_part = {chance.choice(_VALUES)}{'  # x' if number % 11 == 0 else ''}")
    return "\n".join(made) + "\n"


def best_time(work: Callable[[], object], rounds: int) -> float:
    """Least processor time of some rounds, in seconds; a busy machine disturbs it less than the clock."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def compare_with_configparser() -> None:
    text = ini_text(1500)
    data = text.encode()
    own = best_time(lambda: read(data), 40)
    walked = best_time(lambda: list(read(data).lines), 40)
    layout = read(data).layout
    given = best_time(lambda: read(data, layout=layout), 40)
    other = best_time(lambda: configparser.ConfigParser(interpolation=None).read_string(text), 40)
    print(f"1,500 lines: read {own * 1e3:.2f} ms, with the layout given {given * 1e3:.2f} ms")
    print(f"1,500 lines: read and every line made {walked * 1e3:.2f} ms; configparser {other * 1e3:.2f} ms")
    print(f"ratio read : configparser {own / other:.2f}; read and lines : configparser {walked / other:.2f}")


def time_per_line() -> None:
    for lines in (150, 1_500, 15_000, 150_000):
        data = ini_text(lines).encode()
        layout = read(data).layout
        rounds = max(3, 60_000 // lines)
        whole = best_time(lambda data=data: read(data), rounds) / lines  # type: ignore[misc]
        scan = best_time(lambda data=data, layout=layout: read(data, layout=layout), rounds) / lines  # type: ignore[misc]
        print(f"{lines:>8} lines: {whole * 1e6:.2f} us a line; without the vote {scan * 1e6:.2f} us")


def first_reading() -> None:
    """In a fresh interpreter, with the patterns still to be made."""
    code = (
        "import sys, time; data = sys.stdin.buffer.read(); start = time.process_time();"
        "from cfglint.text.dump import read; middle = time.process_time(); read(data); end = time.process_time();"
        "print(f'fresh interpreter: import {(middle - start) * 1e3:.1f} ms, first read {(end - middle) * 1e3:.1f} ms')"
    )
    subprocess.run([sys.executable, "-c", code], input=ini_text(1500).encode(), check=True)


def large_dump(last: bytes) -> None:
    """Run in a process of its own, so that the peak is its own; `last` decides how wide the text is kept."""
    block = ini_text(15_000).encode()
    data = block * (_LARGE // len(block)) + last
    start = time.process_time()
    dump = read(data)
    read_time = time.process_time() - start
    start = time.process_time()
    entries = sum(line.kind is LineKind.ENTRY for line in dump.lines)
    walk_time = time.process_time() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    print(f"{len(data) / 1e6:.0f} MB, {len(dump.lines)} lines, {entries} entries: read {read_time:.1f} s,")
    print(f"all lines made {walk_time:.1f} s, peak of the whole process {peak / len(data):.2f} times the file")


def main() -> None:
    if sys.argv[1:]:
        large_dump(sys.argv[1].encode())
        return
    compare_with_configparser()
    time_per_line()
    sys.stdout.flush()
    first_reading()
    for last in ("# plain", "# \u03a9", "# \U0001f681"):
        print(f"ending in {last}:", flush=True)
        subprocess.run([sys.executable, "-m", "tests.benchmarks.reading", last], check=True)


if __name__ == "__main__":
    main()
