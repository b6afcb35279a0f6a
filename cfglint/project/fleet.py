"""Many dumps: what was judged before is taken from the store, the rest is judged in parallel. The order never wavers."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence

from cfglint.project.judging import FLIGHTS, LARGEST_DUMP, Bench, Judged
from cfglint.project.report_store import keep_report, known_report, make_room
from cfglint.project.task import Task
from cfglint.setup.toml_document import read_file
from cfglint.text.problem import Refused

FEWEST_PER_PROCESS = 4
MOST_PROCESSES = 64

Progress = Callable[[int, int], None]


def judged_all(tasks: Sequence[Task], bench: Bench, jobs: int, progress: Progress) -> list[Judged]:
    """Every task judged, in the order given. A bad one never stops the rest; the number of jobs changes nothing."""
    basis = _Basis(bench)
    digests = [basis.digest(task) for task in tasks]
    found = [known_report(digest) if digest is not None else None for digest in digests]
    missing = [index for index, judged in enumerate(found) if judged is None]
    done = len(tasks) - len(missing)
    if missing:
        make_room(len(missing))
    for index, judged in zip(missing, _judged(missing, tasks, bench, jobs), strict=True):
        found[index] = judged
        _keep(judged, digests[index], basis.digest(tasks[index]))
        done += 1
        progress(done, len(tasks))
    return [judged for judged in found if judged is not None]


def processes_for(tasks: int, jobs: int) -> int:
    """How many processes are worth their start for so many tasks. `jobs`: as many at most; 0: as many as there are processors."""
    wanted = jobs or len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else jobs or os.cpu_count() or 1
    return max(1, min(wanted, MOST_PROCESSES, tasks // FEWEST_PER_PROCESS))


def _keep(judged: Judged, before: bytes | None, after: bytes | None) -> None:
    """Keep a report of files that nobody wrote to while they were judged."""
    if before is not None and before == after and not judged.report.refused:
        keep_report(before, judged)


def _judged(missing: list[int], tasks: Sequence[Task], bench: Bench, jobs: int) -> Iterator[Judged]:
    processes = processes_for(len(missing), jobs)
    wanted = [tasks[index] for index in missing]
    if processes == 1 or any(task.dump == "-" for task in wanted):
        yield from map(bench.judged, wanted)
        return
    yield from _in_processes(wanted, bench, processes)


def _in_processes(tasks: list[Task], bench: Bench, processes: int) -> Iterator[Judged]:
    import multiprocessing

    global _bench
    forks = sys.platform.startswith("linux")
    _bench = bench
    context = multiprocessing.get_context("fork" if forks else "spawn")
    pool = context.Pool(processes, _ignore_interrupts)
    try:
        yield from pool.imap(_in_this_process, tasks, chunksize=max(1, min(16, len(tasks) // (processes * 4))))
        pool.close()
    finally:
        pool.terminate()
        pool.join()
        _bench = None


_bench: Bench | None = None


def _ignore_interrupts() -> None:
    """An interrupt is for the process that started the others; it ends them."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _in_this_process(task: Task) -> Judged:
    global _bench
    if _bench is None:
        _bench = Bench()
    return _bench.judged(task)


class _Basis:
    """What reports depend on beside a task's own files: the packs, and the tool's own code, whatever version it calls itself."""

    def __init__(self, bench: Bench) -> None:
        self._tool = _tool_digest()
        self._shipped = bench.pack(()).key
        self._packs: dict[tuple[str, ...], bytes] = {}

    def digest(self, task: Task) -> bytes | None:
        """A digest of all that a report depends on; None where something can't be read, and the report will say what."""
        if task.dump == "-":
            return None
        record = os.path.join(os.path.dirname(task.dump), FLIGHTS)
        files = [*task.facts, *([task.map] if task.map else []), *([record] if os.path.lexists(record) else [])]
        try:
            read = [read_file(task.dump, LARGEST_DUMP), *(read_file(path) for path in files), self._pack(task.rules)]
        except (Refused, OSError):
            return None
        named = repr((tuple(task), files)).encode("utf-8", "surrogateescape")
        return _digest([self._tool, self._shipped, named, *read])

    def _pack(self, folders: tuple[str, ...]) -> bytes:
        known = self._packs.get(folders)
        if known is None:
            known = self._packs[folders] = _digest([c for folder in folders for c in _folder_contents(folder)])
        return known


def _folder_contents(folder: str) -> list[bytes]:
    from cfglint.pack.load import folder_contents

    return folder_contents(folder)


def _tool_digest() -> bytes:
    import cfglint

    home = os.path.dirname(os.path.abspath(cfglint.__file__))
    contents = []
    for folder, folders, names in os.walk(home):
        folders.sort()
        for name in sorted(names):
            if name.endswith((".py", ".lark")):
                with open(os.path.join(folder, name), "rb") as file:
                    contents.append(file.read())
    return _digest(contents)


def _digest(contents: list[bytes]) -> bytes:
    import hashlib

    digest = hashlib.sha256()
    for content in contents:
        digest.update(b"%d\0" % len(content))
        digest.update(content)
    return digest.digest()
