"""What a check writes beside its report: other formats, and a patch with the remedies."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from cfglint.judge.setup_judgement import judge_setup
from cfglint.pack.load import shipped_texts
from cfglint.project.adjust import relevelled
from cfglint.project.check import Done, Entry
from cfglint.project.judging import LARGEST_DUMP, Bench
from cfglint.report.context import Context
from cfglint.report.finding import FileReport
from cfglint.report.outputs import Output, parse_outputs, write_outputs, write_whole
from cfglint.setup.toml_document import read_file
from cfglint.text.problem import Problem, Refused

LISTING_PASSED = ("sarif", "junit")


class Outputs(NamedTuple):
    """The formats and files that were asked for; `patch` is the file of the proposal, "" without one."""

    formats: tuple[Output, ...]
    patch: str
    names: tuple[str, ...]

    @property
    def wants_passed(self) -> bool:
        """Whether one of the formats lists the rules that found nothing."""
        return any(output.format in LISTING_PASSED for output in self.formats)

    def write(self, done: Done) -> tuple[Problem, ...]:
        """Write everything; what could not be written is an error, what the patch leaves out is told with its reason."""
        problems: list[Problem] = []
        context = context_of(done.plan.configuration.file)
        try:
            write_outputs(self.formats, done.run, context, {"html": lambda: page_of(done)})
        except Refused as refused:
            problems += refused.problems
        if self.patch:
            problems += _proposed(self.patch, done, context)
        return tuple(problems)


def outputs_of(pairs: Sequence[str], patch: str, names: Iterable[str]) -> Outputs:
    """The outputs asked for. Raises Refused for one that can't be."""
    names = tuple(names)
    return Outputs(parse_outputs(pairs, names), patch, names)


def context_of(configuration: str = "") -> Context:
    """What reporters need beside the run. Paths are told from the folder with `.git`, else from that of the run."""
    texts = shipped_texts()
    here = os.path.abspath(os.curdir)
    start = os.path.dirname(os.path.abspath(configuration)) if configuration else here
    return Context(texts["rules"], texts["sources"], _repository(start), here)


def _repository(folder: str) -> str:
    above = folder
    for _ in range(60):
        if os.path.lexists(os.path.join(above, ".git")):
            return above
        above = os.path.dirname(above)
    return folder


def page_of(done: Done) -> str:
    """The page with drawings of every setup of a run."""
    from cfglint.flights.flown import with_flights
    from cfglint.report.html import render_html
    from cfglint.report.known import Page

    def page(entry: Entry, report: FileReport) -> Page | FileReport:
        if report.refused:
            return report
        judge, setup = done.bench.judge(entry.task), done.bench.setup(entry.task)
        statuses = with_flights(setup, entry.task.dump, judge.pack)[1].statuses
        return Page(report, setup, judge_setup(judge, setup), judge.pack, proofs=statuses)

    setups = [file for file in done.run.files if file.about == "setup"]
    pages = [page(entry, file) for entry, file in zip(done.plan.entries, setups, strict=True)]
    return render_html(pages, done.run.today)


def _proposed(path: str, done: Done, context: Context) -> list[Problem]:
    from cfglint.report.patch import propose

    entries = {entry.task.dump: entry for entry in done.plan.entries}
    setups = [file for file in done.run.files if file.about == "setup" and not file.refused and file.file != "-"]

    def judge_again(name: str, data: bytes) -> FileReport:
        return _judged_again(entries[name], data, done.bench)

    try:
        proposal = propose(setups, lambda name: read_file(name, LARGEST_DUMP), judge_again, context)
        write_whole(path, proposal.patch)
    except Refused as refused:
        return list(refused.problems)
    return [problem._replace(level="note") for problem in proposal.left_out]


def _judged_again(entry: Entry, data: bytes, bench: Bench) -> FileReport:
    return relevelled(bench.judged(entry.task, data).report, entry.levels)
