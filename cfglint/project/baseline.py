"""The list of known findings: told apart by rule, settings and values, never by line or count."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from cfglint.judge.verdict import SEVERITY
from cfglint.report.finding import KNOWN, NEW, WORSE, FileReport, Finding
from cfglint.setup.toml_document import load_document
from cfglint.text.problem import refuse

FORMAT, VERSION = "cfglint-baseline", 1
WORKED_OUT = ("computed", "threshold", "quantity")


class KnownFinding(NamedTuple):
    """One finding that somebody has put on the list. `values`: what it was found with, as shown, by setting.

    `away` is how many steps of the setting `by`, a number, would have cleared it, at the value `clear_at`; 0 where none would.
    """

    dump: str
    rule: str
    phase: str
    members: tuple[str, ...]
    level: str
    values: Mapping[str, str]
    by: str = ""
    away: int = 0
    clear_at: str = ""

    @property
    def identity(self) -> tuple[str, str, tuple[str, ...]]:
        """What makes it the same finding of the same craft, whatever its values are."""
        return self.rule, self.phase, self.members


class Compared(NamedTuple):
    """A report with its findings marked, and the listed ones that are gone."""

    report: FileReport
    gone: tuple[KnownFinding, ...]


def load_baseline(path: str) -> tuple[KnownFinding, ...]:
    """The list of a file. Raises Refused."""

    def check(data: bytes, name: str) -> dict[str, Any]:
        from cfglint.project.baseline_file import check_baseline

        return check_baseline(data, name)

    return tuple(_known(row) for row in load_document(path, "baseline", check)["findings"])


def write_baseline(path: str, known: Iterable[KnownFinding]) -> None:
    """Write a list, whole or not at all. Raises Refused."""
    document = {"format": FORMAT, "version": VERSION, "findings": [_row(k) for k in sorted(known, key=_sorting)]}
    temporary = f"{path}.{os.getpid()}.part"
    try:
        with open(temporary, "wb") as file:
            file.write((json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode("utf-8", "surrogateescape"))
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, path)
    except OSError as error:
        _remove(temporary)
        raise refuse(path, f"can't be written: {(error.strerror or str(error)).lower()}", "what was there is untouched") from None


def compared(report: FileReport, known: Sequence[KnownFinding], waivable: Callable[[str], bool]) -> Compared:
    """A report against the entries of its dump. A rule that refuses to be waived is never known."""
    if report.refused:
        return Compared(report, ())
    left = list(known)
    exact = _taken(report.findings, left, _same)
    nearer = _taken([f for i, f in enumerate(report.findings) if i not in exact], left, _no_worse)
    findings, other = [], 0
    for index, finding in enumerate(report.findings):
        found = exact.get(index)
        if index not in exact:
            found, other = nearer.get(other), other + 1
        findings.append(_marked(finding, found, left, waivable))
    worse = {(f.rule, f.phase, f.members) for f in findings if f.baseline == WORSE}
    return Compared(report._replace(findings=tuple(findings)), tuple(entry for entry in left if entry.identity not in worse))


def known_finding(finding: Finding, dump: str) -> KnownFinding:
    """The entry that puts a finding on the list."""
    change = finding.remedy.change if finding.remedy else None
    entry = KnownFinding(dump, finding.rule, finding.phase, finding.members, finding.level, values_of(finding))
    if change is None or not change.steps or not change.margin:
        return entry
    return entry._replace(by=change.setting, away=abs(change.steps), clear_at=change.shown)


def values_of(finding: Finding) -> dict[str, str]:
    """What a finding was found with: the settings and facts that decide it, as shown; else the text of its line."""
    values = {row.name: row.shown for row in finding.trace if row.decisive and row.origin not in WORKED_OUT}
    return values or {"line": (finding.shown.strip() or finding.message)[:400]}


def _taken(
    findings: Iterable[Finding], left: list[KnownFinding], same: Callable[[Finding, KnownFinding], bool]
) -> dict[int, KnownFinding]:
    """Which entry each finding is; an entry stands for one finding only."""
    taken = {}
    by_identity: dict[tuple[str, str, tuple[str, ...]], list[KnownFinding]] = {}
    for entry in left:
        by_identity.setdefault(entry.identity, []).append(entry)
    for index, finding in enumerate(findings):
        entries = by_identity.get((finding.rule, finding.phase, finding.members), [])
        found = next((entry for entry in entries if same(finding, entry)), None)
        if found is not None:
            entries.remove(found)
            left.remove(found)
            taken[index] = found
    return taken


def _same(finding: Finding, entry: KnownFinding) -> bool:
    return values_of(finding) == entry.values and SEVERITY[finding.level] <= SEVERITY[entry.level]


def _no_worse(finding: Finding, entry: KnownFinding) -> bool:
    """Whether it is the listed one with another value that lies nearer to what would clear it, by the same setting."""
    now = known_finding(finding, entry.dump)
    nearer = bool(entry.by) and (now.by, now.clear_at) == (entry.by, entry.clear_at) and now.away <= entry.away
    others = {id: shown for id, shown in now.values.items() if id != entry.by}
    same = others == {id: shown for id, shown in entry.values.items() if id != entry.by}
    return nearer and same and SEVERITY[finding.level] <= SEVERITY[entry.level]


def _marked(
    finding: Finding, entry: KnownFinding | None, left: Sequence[KnownFinding], waivable: Callable[[str], bool]
) -> Finding:
    if finding.waived_by is not None:
        return finding
    if entry is not None:
        return finding._replace(baseline=KNOWN if waivable(finding.rule) else NEW)
    before = next((e for e in left if e.identity == (finding.rule, finding.phase, finding.members)), None)
    if before is None or not finding.trace:
        return finding._replace(baseline=NEW)
    return finding._replace(baseline=WORSE, baseline_was=_changed(finding, before))


def _changed(finding: Finding, before: KnownFinding) -> str:
    now = values_of(finding)
    changed = [f"{id} = {shown}" for id, shown in before.values.items() if now.get(id) != shown]
    return f"as {before.level}" + (" with " + ", ".join(changed[:4]) if changed else "")


def _known(row: Mapping[str, Any]) -> KnownFinding:
    away = row["away"] or {"setting": "", "steps": 0, "clear_at": ""}
    members, far = tuple(row["members"]), (away["setting"], away["steps"], away["clear_at"])
    return KnownFinding(row["dump"], row["rule"], row["phase"], members, row["level"], row["values"], *far)


def _row(known: KnownFinding) -> dict[str, Any]:
    row: dict[str, Any] = {"dump": known.dump, "rule": known.rule, "level": known.level}
    row |= {"phase": known.phase} if known.phase else {}
    row |= {"members": list(known.members)} if known.members else {}
    row["values"] = dict(sorted(known.values.items()))
    return row | ({"away": {"setting": known.by, "steps": known.away, "clear_at": known.clear_at}} if known.by else {})


def _sorting(known: KnownFinding) -> tuple[str, str, str, tuple[str, ...], list[tuple[str, str]]]:
    return known.dump, known.rule, known.phase, known.members, sorted(known.values.items())


def _remove(path: str) -> None:
    try:
        os.remove(path)
    except OSError:
        pass
