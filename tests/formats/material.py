"""Runs to render: the examples, a hostile fleet, and nothing at all."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from cfglint.judge.judge import Judge
from cfglint.judge.setup_judgement import judge_setup
from cfglint.pack.load import shipped_pack, shipped_texts
from cfglint.report.assemble import file_report, refused_report
from cfglint.report.context import Context
from cfglint.report.finding import KNOWN, NEW, WORSE, FileReport, RunReport, SwitchedOff, WaivedBy
from cfglint.setup.airframe import kinds_of
from cfglint.setup.craft_file import load_facts
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import NameMap, identity_map, load_name_map
from cfglint.setup.setting import NO_FACTS
from cfglint.text.dump import read
from cfglint.text.problem import refuse
from tests.conftest import ROOT

CRAFT = {"cartwheel": "pennywort", "sickle": "pennywort", "thimble": "oxlip", "washboard": "oxlip"}
HOSTILE = "\x1b[31m\u202e<script>alert(1)</script> | `](javascript:x) @everyone #1 {0} &amp; ]]> ::error::x \x00\ud800\ufffe\r"
HOSTILE_NAME = "we\x1bird |`<b>$(touch x)`]]>&\"'%7e .dump"


@cache
def judge() -> Judge:
    return Judge(shipped_pack())


@cache
def name_map(name: str) -> NameMap:
    pack = shipped_pack()
    return load_name_map(str(ROOT / f"examples/{name}.map.toml"), pack.catalogue, pack.key)


def context(root: Path = ROOT) -> Context:
    texts = shipped_texts()
    return Context(texts["rules"], texts["sources"], str(root), str(root))


def judged(name: str, data: bytes, map: NameMap, craft: str = "", airframe: str = "") -> FileReport:
    """The report of a dump's bytes."""
    pack = shipped_pack()
    facts = load_facts(craft, pack.catalogue, pack.key) if craft else NO_FACTS
    dump = read(data, name, given=map.layout)
    kinds = kinds_of(airframe) if airframe else frozenset()
    setup = interpret(dump, map, pack.catalogue, Beside(facts, kinds=kinds or frozenset()))
    return file_report(setup, judge_setup(judge(), setup), {id: rule.title for id, rule in pack.rules.items()})


@cache
def example(name: str) -> FileReport:
    """One of the invented club's craft, with paths from the root."""
    data = (ROOT / f"examples/{name}/{name}.dump").read_bytes()
    return judged(f"examples/{name}/{name}.dump", data, name_map(CRAFT[name]), str(ROOT / f"examples/{name}/craft.toml"))


@cache
def hostile() -> FileReport:
    """A dump whose keys, values, name and craft are an attack on every format."""
    lines = [
        "link_loss.action = none",
        "loiter.radius = 6 m",
        "cruise.speed = 18 m/s",
        f"fence.action = {HOSTILE}",
        f"{HOSTILE} = 3",
        "arming.method = " + "x" * 3000,
        f"limit.bank = 9e999 {HOSTILE}",
        "return.altitude = 10 m",
        "return.altitude = 200 m",
    ]
    report = judged(HOSTILE_NAME, "\n".join(lines).encode("utf-8", "surrogatepass"), identity_map(), airframe="tailed")
    findings = [finding._replace(message=finding.message + HOSTILE) for finding in report.findings]
    waiver = WaivedBy(HOSTILE, HOSTILE, "2031-01-01", HOSTILE_NAME, 3, 1)
    findings[0] = findings[0]._replace(waived_by=waiver)
    findings[1] = findings[1]._replace(baseline=KNOWN)
    findings[2] = findings[2]._replace(baseline=WORSE, baseline_was=HOSTILE, relevelled=HOSTILE)
    findings[3] = findings[3]._replace(baseline=NEW, rule=HOSTILE, members=(HOSTILE,))
    off = (SwitchedOff(HOSTILE, HOSTILE),)
    return report._replace(findings=tuple(findings), craft=HOSTILE, switched_off=off)


def refused() -> FileReport:
    return refused_report("gone" + HOSTILE, refuse("gone" + HOSTILE, "there is no such file " + HOSTILE).problems)


def run_of(*files: FileReport, fail_on: str = "warning", strict: bool = False) -> RunReport:
    return RunReport(files, fail_on, strict, "0.1.0")


RUNS = {
    "examples": lambda: run_of(*map(example, sorted(CRAFT))),
    "one": lambda: run_of(example("sickle")),
    "hostile": lambda: run_of(hostile()),
    "hostile and refused, strict": lambda: run_of(hostile(), refused(), fail_on="note", strict=True),
    "refused": lambda: run_of(refused()),
    "standard input": lambda: run_of(example("thimble")._replace(file="-")),
    "nothing": lambda: run_of(),
}
