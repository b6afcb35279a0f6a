"""`cfglint baseline`: adopt the tool in an old repository, and forget what has been put right."""

from __future__ import annotations

import os
import sys
from typing import Any

from cfglint.cli.check_command import progress_on, request_of
from cfglint.project.baseline import KnownFinding, compared, known_finding, load_baseline, write_baseline
from cfglint.project.check import Done, checked
from cfglint.project.configuration import Configuration
from cfglint.text.problem import refuse


def baseline(parsed: Any) -> int:
    """Write or prune the list. Raises Refused: no configuration, none named in it, a list that can't be read or written."""
    request = request_of(parsed)._replace(baseline=False, unfolded=True)
    done = checked(request, progress_on(sys.stderr))
    path = _path(done.plan.configuration)
    before = load_baseline(path) if os.path.lexists(path) else ()
    after = _present(done, before) if parsed.action == "write" else _left(done, before)
    write_baseline(path, after)
    removed = len([known for known in before if known not in after])
    sys.stdout.write(f"{path}: {len(after)} known findings, {removed} dropped\n")
    return 2 if any(file.refused for file in done.run.files) else 0


def _path(configuration: Configuration) -> str:
    if not configuration.file:
        raise refuse("cfglint.toml", "there is no configuration here or above", 'write one with: baseline = "baseline.json"')
    if not configuration.baseline:
        raise refuse(configuration.file, "it names no list of known findings", 'add the line: baseline = "baseline.json"')
    return configuration.path(configuration.baseline)


def _present(done: Done, before: tuple[KnownFinding, ...]) -> list[KnownFinding]:
    """All findings of the dumps judged, and of all others what was on the list. What refuses to be waived is never listed."""
    found: list[KnownFinding] = []
    judged = set()
    for entry, file in zip(done.plan.entries, done.run.files, strict=False):
        if file.refused:
            continue
        judged.add(entry.task.relative)
        rules = done.bench.pack(entry.task.rules).rules
        listable = [f for f in file.findings if f.waived_by is None and not f.rule.startswith("waiver/")]
        found += [known_finding(f, entry.task.relative) for f in listable if f.rule not in rules or rules[f.rule].waivable]
    return [*found, *(known for known in before if known.dump not in judged and not _is_gone(known, done))]


def _left(done: Done, before: tuple[KnownFinding, ...]) -> list[KnownFinding]:
    """The list without what is gone from the dumps judged."""
    gone: list[KnownFinding] = []
    for entry, file in zip(done.plan.entries, done.run.files, strict=False):
        own = [known for known in before if known.dump == entry.task.relative]
        unwaived = file._replace(findings=tuple(f for f in file.findings if f.waived_by is None))
        gone += compared(unwaived, own, lambda rule: True).gone
    return [known for known in before if known not in gone and not _is_gone(known, done)]


def _is_gone(known: KnownFinding, done: Done) -> bool:
    """Whether the whole repository was judged and the dump is not in it any more."""
    return done.plan.whole and all(entry.task.relative != known.dump for entry in done.plan.entries)
