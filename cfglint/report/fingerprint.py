"""What makes a finding the same finding in the next run: rule, settings, phase and members; no line, no value, no file."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable

from cfglint.report.finding import Finding


def fingerprint(finding: Finding) -> str:
    """32 hexadecimal digits. A problem that concerns no setting is told by the text of its line instead."""
    parts = [finding.rule, *sorted(finding.settings), "|", finding.phase, *finding.members]
    if not finding.settings:
        parts += ["|", finding.shown.strip() or finding.message]
    return digest(parts)


def fingerprints(findings: Iterable[Finding]) -> list[str]:
    """One for each finding of a file; the second of the same kind, and each after it, also carries its number."""
    seen: Counter[str] = Counter()
    made = []
    for finding in findings:
        first = fingerprint(finding)
        seen[first] += 1
        made.append(first if seen[first] == 1 else digest([first, str(seen[first])]))
    return made


def digest(parts: Iterable[str]) -> str:
    """A digest of texts in order; where one ends and the next begins counts."""
    text = "\0".join(f"{len(part)}:{part}" for part in parts)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]
