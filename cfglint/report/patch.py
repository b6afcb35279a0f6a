"""All computed remedies of a run as one patch for `git apply`: only value bytes change, and what clashes is left out, told why.

Nothing is guessed: every step is judged again on the changed bytes. A remedy goes in if its own finding is gone then and
nothing is worse than before. If one does not bear another, both stay out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from cfglint.judge.verdict import SEVERITY, Change
from cfglint.report.context import Context, path_below
from cfglint.report.finding import FileReport, Finding
from cfglint.report.unified import FileChange, unified
from cfglint.report.wording import plain
from cfglint.text.problem import Problem
from cfglint.text.source import Source, decode

Reader = Callable[[str], bytes]
JudgeAgain = Callable[[str, bytes], FileReport]
MOST_CHANGES = 200
_MARK = "\ufeff"
_GIT_READS = ("utf-8", "utf-8-sig", "latin-1")
_FOLDED, _FOLDED_SEVERITY = "folded", SEVERITY["error"] + 1

Key = tuple[str, str, tuple[str, ...]]


class Proposal(NamedTuple):
    """`patch`: bytes for `git apply`, to be run in the root folder; empty where no remedy fits. `changes`: what is in it.

    `left_out`: each remedy that is not, and why.
    """

    patch: bytes
    changes: tuple[Change, ...]
    left_out: tuple[Problem, ...]


class Candidate(NamedTuple):
    """A change, and the finding it is to clear."""

    change: Change
    finding: Finding


def propose(reports: Iterable[FileReport], read: Reader, judge_again: JudgeAgain, context: Context) -> Proposal:
    """The remedies of all files. `read`: a file's bytes; `judge_again`: the report of a file with other bytes, same facts.

    Findings that somebody has accepted are left alone. Raises what `read` raises.
    """
    changes: list[Change] = []
    left_out: list[Problem] = []
    files: list[FileChange] = []
    for report in sorted(reports, key=lambda report: report.file):
        candidates = [c for c in _candidates(report) if not _unfit(c, left_out)]
        path = _path(report, candidates, context, left_out)
        if not candidates or path is None:
            continue
        work = _Work(report, decode(read(report.file), report.file), judge_again, left_out)
        chosen = work.chosen(candidates)
        if chosen:
            changes += [candidate.change for candidate in chosen]
            files.append(FileChange(path, work.source.data, work.changed(chosen)))
    return Proposal(unified(files), tuple(changes), tuple(left_out))


class _Work:
    """The search for the remedies of one file that bear each other."""

    def __init__(self, report: FileReport, source: Source, judge_again: JudgeAgain, left_out: list[Problem]) -> None:
        self.report, self.source, self.judge_again, self.left_out = report, source, judge_again, left_out
        self.before = severities(report)
        self.known: dict[frozenset[Candidate], dict[Key, int]] = {}

    def chosen(self, candidates: Sequence[Candidate]) -> list[Candidate]:
        """The remedies to write, in the order of the findings. A clash takes its settings out for another round."""
        open_ones = self._patchable(candidates)
        for _ in range(len(open_ones) + 1):
            accepted: list[Candidate] = []
            clash: list[Candidate] = []
            for candidate in open_ones:
                clash = self._added(accepted, candidate)
                if clash:
                    break
            if not clash:
                return accepted
            settings = {candidate.change.setting for candidate in clash}
            open_ones = [candidate for candidate in open_ones if candidate.change.setting not in settings]
        return []

    def changed(self, chosen: Iterable[Candidate]) -> bytes:
        """The file's bytes with the new values. Raises UnicodeEncodeError for what its encoding can't write."""
        text, codec = self.source.text, self.source.codec
        parts: list[bytes] = []
        done = 0
        for span, raw in sorted({(c.change.place.span, c.change.raw) for c in chosen if c.change.place and c.change.place.span}):
            parts += [text[done : span.start].encode(codec), raw.encode(codec)]
            done = span.end
        return b"".join([*parts, text[done:].encode(codec)])

    def _added(self, accepted: list[Candidate], candidate: Candidate) -> list[Candidate]:
        """Take a candidate in if all goes well; else those that must stay out, told why."""
        now = self._after(accepted)
        if accepted and not now.get(_key(candidate.finding)):
            return []
        same = [other for other in accepted if other.change.setting == candidate.change.setting]
        tried = [*(other for other in accepted if other not in same), candidate]
        wrong = self._wrong(tried, [c.finding for c in (*accepted, candidate)])
        if not wrong:
            accepted[:] = tried
            return []
        partners = (
            same or [other for other in accepted if self._wrong([other, candidate], [other.finding, candidate.finding])][:1]
        )
        self._tell(candidate, partners, wrong)
        return [candidate, *partners]

    def _wrong(self, tried: Sequence[Candidate], cleared: Sequence[Finding]) -> list[str]:
        """The rules that are not cleared by these changes, or get worse."""
        after = self._after(tried)
        own = {_key(finding) for finding in cleared}
        left = [key[0] for key in own if after.get(key)]
        worse = [key[0] for key, severity in after.items() if key not in own and severity > self._allowed(key)]
        return sorted({*left, *worse})

    def _allowed(self, key: Key) -> int:
        """How bad a rule was before. One that was folded was as bad as anything; one that is now was, if it was there at all."""
        if key[1] == _FOLDED:
            return (
                max((severity for known, severity in self.before.items() if known[0] == key[0]), default=0) and _FOLDED_SEVERITY
            )
        return max(self.before.get(key, 0), self.before.get((key[0], _FOLDED, ()), 0))

    def _after(self, chosen: Sequence[Candidate]) -> dict[Key, int]:
        """How bad each rule is with these changes; each set of them is judged once."""
        if not chosen:
            return self.before
        changes = frozenset(chosen)
        if changes not in self.known:
            self.known[changes] = severities(self.judge_again(self.report.file, self.changed(chosen)))
        return self.known[changes]

    def _tell(self, candidate: Candidate, partners: Sequence[Candidate], wrong: Sequence[str]) -> None:
        rules = ", ".join(wrong)
        if partners:
            other = partners[0]
            message = (
                f"{_says(candidate)}, for {candidate.finding.rule}, does not go together with {_says(other)}, for "
                f"{other.finding.rule}: {rules} would stay or get worse, so neither is in the patch"
            )
        else:
            message = f"{_says(candidate)}, for {candidate.finding.rule}, leaves or makes worse: {rules}; it is not in the patch"
        self.left_out.append(_problem("remedies-clash", message, candidate, "decide between them, write it, and check again"))

    def _patchable(self, candidates: Sequence[Candidate]) -> list[Candidate]:
        """What can be written into this file as a patch."""
        found = []
        for candidate in candidates:
            reason = self._unwritable(candidate.change)
            if reason:
                message = f"{_says(candidate)} is not in the patch: {reason}"
                self.left_out.append(
                    _problem("remedy-not-patched", message, candidate, f"write the line by hand: {candidate.change.line}")
                )
            else:
                found.append(candidate)
        if len(found) > MOST_CHANGES:
            message = f"only the first {MOST_CHANGES} of {len(found)} remedies were tried"
            self.left_out.append(_problem("remedy-not-patched", message, found[MOST_CHANGES], "apply the patch, and ask again"))
        return found[:MOST_CHANGES]

    def _unwritable(self, change: Change) -> str:
        place, source = change.place, self.source
        if source.encoding not in _GIT_READS:
            return f"the file is {source.encoding.upper()}, which git takes for binary; save it as UTF-8"
        if place is None or place.span is None:
            return "the setting has no line there"
        line = source.line_text(place.line).removeprefix(_MARK)
        stands = place.span.end <= len(source.text) and source.position(place.span.start)[0] == place.line
        if not stands or not line.startswith(place.shown.removeprefix(_MARK).rstrip()):
            return "the file has changed since it was judged"
        if not change.raw.isprintable():
            return "the value can't be written on one line"
        try:
            change.raw.encode(source.codec)
        except UnicodeEncodeError:
            return f"the value can't be written in {source.encoding}, the file's encoding"
        return ""


def severities(report: FileReport) -> dict[Key, int]:
    """How bad each rule is: undecided 1, then note, warning, error; folded rules count as errors under a key of their own."""
    found: dict[Key, int] = {}
    for undecided in report.undecided:
        found[undecided.rule, undecided.phase, ()] = 1
    for finding in report.findings:
        key = _key(finding)
        found[key] = max(found.get(key, 0), SEVERITY[finding.level] + 1)
        for rule in finding.followers:
            found[rule, _FOLDED, ()] = _FOLDED_SEVERITY
    return found


def _candidates(report: FileReport) -> Iterator[Candidate]:
    for finding in report.findings:
        if finding.remedy is not None and finding.remedy.change is not None and not finding.accepted:
            yield Candidate(finding.remedy.change, finding)


def _unfit(candidate: Candidate, left_out: list[Problem]) -> bool:
    """Whether a remedy can't be proposed whatever the others are; it is told why."""
    change = candidate.change
    if change.worse:
        message = (
            f"{_says(candidate)}, for {candidate.finding.rule}, makes worse: {', '.join(change.worse)}; it is not in the patch"
        )
        left_out.append(_problem("remedies-clash", message, candidate, "settle these rules together, write it, and check again"))
    elif change.place is None or change.place.span is None:
        message = f"{_says(candidate)} is not in the patch: {change.setting} has no line in this dump"
        left_out.append(_problem("remedy-not-patched", message, candidate, f"set it on the controller: {change.line}"))
    else:
        return False
    return True


def _path(report: FileReport, candidates: Sequence[Candidate], context: Context, left_out: list[Problem]) -> str | None:
    path = path_below(report.file, context)
    if path is None and candidates:
        where = "it came from standard input" if report.file == "-" else f"it lies outside of {context.root or 'this folder'}"
        message = f"{len(candidates)} remedies are not in the patch: {where}, where git can't apply one"
        left_out.append(_problem("remedy-not-patched", message, candidates[0], "check a file inside the repository"))
    return path


def _key(finding: Finding) -> Key:
    return finding.rule, finding.phase, finding.members


def _says(candidate: Candidate) -> str:
    return f"{candidate.change.setting} = {candidate.change.shown}"


def _problem(code: str, message: str, candidate: Candidate, remedy: str) -> Problem:
    finding, place = candidate.finding, candidate.change.place
    at = (place.file, place.line, place.column) if place else (finding.file, 0, 0)
    return Problem("warning", code, plain(message), *at, remedy=plain(remedy), setting=candidate.change.setting)
