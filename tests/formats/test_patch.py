"""The patch of remedies: git takes it, only values change, what it promises is so, and what clashes is explained."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from cfglint.report.context import Context
from cfglint.report.finding import FileReport, Finding, WaivedBy
from cfglint.report.patch import Proposal, propose, severities
from cfglint.setup.name_map import identity_map
from tests.conftest import ROOT
from tests.formats.material import CRAFT, example, judged, name_map
from tests.formats.test_unified import git

WING = "link_loss.action = none\nloiter.radius = 6 m\ncruise.speed = 18 m/s\nlimit.bank = 40 deg\n"


def judge_example(name: str) -> Callable[[str, bytes], FileReport]:
    return lambda file, data: judged(file, data, name_map(CRAFT[name]), str(ROOT / f"examples/{name}/craft.toml"))


def judge_plain(file: str, data: bytes) -> FileReport:
    return judged(file, data, identity_map(), airframe="flying_wing")


def proposed(
    folder: Path, data: bytes, name: str = "wing.dump", change: Callable[[FileReport], FileReport] | None = None
) -> Proposal:
    report = judge_plain(name, data)
    report = change(report) if change else report
    return propose([report], lambda file: data, judge_plain, Context(root=str(folder), here=str(folder)))


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    assert git(tmp_path, "init", "--quiet").returncode == 0
    return tmp_path


@pytest.mark.parametrize("name", ["sickle", "thimble"])
def test_git_applies_it_and_nothing_is_worse(name: str, repository: Path) -> None:
    path = f"examples/{name}/{name}.dump"
    before = (ROOT / path).read_bytes()
    context = Context(root=str(ROOT), here=str(ROOT))
    proposal = propose([example(name)], lambda file: (ROOT / file).read_bytes(), judge_example(name), context)
    assert proposal.changes
    (repository / path).parent.mkdir(parents=True)
    (repository / path).write_bytes(before)
    done = git(repository, "apply", "-", data=proposal.patch)
    assert done.returncode == 0, done.stderr
    after = (repository / path).read_bytes()
    old_lines, new_lines = before.split(b"\n"), after.split(b"\n")
    changed = [(old, new) for old, new in zip(old_lines, new_lines, strict=True) if old != new]
    assert sorted(new.decode().strip() for _, new in changed) == sorted({change.line for change in proposal.changes})
    was, now = severities(example(name)), severities(judge_example(name)(path, after))
    cleared = [f for f in example(name).findings if f.remedy and f.remedy.change in proposal.changes]
    assert not [f.rule for f in cleared if now.get((f.rule, f.phase, f.members))]
    folded = {rule for f in example(name).findings for rule in f.followers}
    assert not [key for key, bad in now.items() if bad > was.get(key, 0) and key[0] not in folded and key[1] != "folded"]


@pytest.mark.parametrize("name", ["sickle", "thimble"])
def test_every_remedy_is_in_the_patch_cleared_by_another_or_explained(name: str) -> None:
    context = Context(root=str(ROOT), here=str(ROOT))
    proposal = propose([example(name)], lambda file: (ROOT / file).read_bytes(), judge_example(name), context)
    told = {problem.setting for problem in proposal.left_out} | {w for p in proposal.left_out for w in p.message.split()}
    after = severities(judge_example(name)(f"examples/{name}/{name}.dump", patched(proposal, name)))
    for finding in example(name).findings:
        if finding.remedy and finding.remedy.change and finding.remedy.change not in proposal.changes:
            gone = not after.get((finding.rule, finding.phase, finding.members))
            assert gone or finding.remedy.change.setting in told


def patched(proposal: Proposal, name: str) -> bytes:
    lines = (ROOT / f"examples/{name}/{name}.dump").read_bytes().split(b"\n")
    for change in proposal.changes:
        assert change.place is not None and change.place.span is not None
        line, start = lines[change.place.line - 1].decode(), change.place.column - 1
        end = start + change.place.span.end - change.place.span.start
        lines[change.place.line - 1] = (line[:start] + change.raw + line[end:]).encode()
    return b"\n".join(lines)


@pytest.mark.parametrize(
    "data",
    [
        WING.encode(),
        WING.rstrip("\n").encode(),
        WING.replace("\n", "\r\n").encode(),
        WING.replace("\n", "\r").encode(),
        b"\xef\xbb\xbf" + WING.encode(),
        ("# gr\u00fc\u00dfe \u00b0\n" + WING).encode("latin-1"),
        ("# gr\u00fc\u00dfe \u20ac\n" + WING).encode(),
    ],
    ids=["plain", "no newline at the end", "crlf", "cr", "byte-order mark", "latin-1", "utf-8"],
)
def test_every_other_byte_stays(data: bytes, repository: Path) -> None:
    (repository / "wing.dump").write_bytes(data)
    proposal = proposed(repository, data)
    assert {change.setting for change in proposal.changes} >= {"link_loss.action"}
    done = git(repository, "apply", "--whitespace=nowarn", "-", data=proposal.patch)
    assert done.returncode == 0, done.stderr
    expected = data
    for change in proposal.changes:
        old = {
            "link_loss.action": b"none",
            "loiter.radius": b"6 m",
            "cruise.speed": b"18 m/s",
            "limit.bank": b"40 deg",
        }[change.setting]
        key = change.setting.encode() + b" = "
        assert key + old in expected
        expected = expected.replace(key + old, key + change.raw.encode())
    assert (repository / "wing.dump").read_bytes() == expected


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
def test_an_encoding_that_git_takes_for_binary_is_refused_with_the_reason(encoding: str, tmp_path: Path) -> None:
    proposal = proposed(tmp_path, ("\ufeff" + WING).encode(encoding))
    assert proposal.patch == b"" and not proposal.changes
    assert proposal.left_out and all("git takes for binary" in problem.message for problem in proposal.left_out)


def test_a_file_outside_or_from_standard_input_is_explained(tmp_path: Path) -> None:
    for name, words in (("../wing.dump", "outside"), ("/elsewhere/wing.dump", "outside"), ("-", "standard input")):
        proposal = proposed(tmp_path, WING.encode(), name)
        assert proposal.patch == b"" and words in proposal.left_out[-1].message


def test_a_file_that_has_changed_is_left_alone(tmp_path: Path) -> None:
    report = judge_plain("wing.dump", WING.encode())
    proposal = propose(
        [report], lambda file: b"\n\n" + WING.encode(), judge_plain, Context(root=str(tmp_path), here=str(tmp_path))
    )
    assert proposal.patch == b"" and "changed since" in proposal.left_out[0].message


def test_what_is_accepted_is_left_alone(tmp_path: Path) -> None:
    waiver = WaivedBy("club rule", "the chair", "2031-01-01", "craft.toml", 1)

    def waived(report: FileReport) -> FileReport:
        return report._replace(findings=tuple(f._replace(waived_by=waiver) for f in report.findings))

    assert proposed(tmp_path, WING.encode(), change=waived) == Proposal(b"", (), ())


def test_a_setting_written_twice_is_not_half_changed(tmp_path: Path) -> None:
    data = (WING + "link_loss.action = none\n").encode()
    proposal = proposed(tmp_path, data)
    assert "link_loss.action" not in {change.setting for change in proposal.changes}


def clashing(report: FileReport, values: tuple[str, str]) -> FileReport:
    """Two findings that want the same setting at different values."""
    finding = next(f for f in report.findings if f.rule == "link-loss/no-action")
    return report._replace(findings=tuple(other_value(finding, value, f"made/{value}") for value in values))


def other_value(finding: Finding, value: str, rule: str) -> Finding:
    assert finding.remedy is not None and finding.remedy.change is not None
    change = finding.remedy.change._replace(raw=value, shown=value, line=f"link_loss.action = {value}")
    return finding._replace(rule=rule, remedy=finding.remedy._replace(change=change), followers=())


def test_two_values_for_one_setting_are_a_clash_and_neither_is_chosen(tmp_path: Path) -> None:
    base = clashing(judge_plain("wing.dump", WING.encode()), ("return", "land"))

    def again(file: str, data: bytes) -> FileReport:
        gone = "made/return" if b"= return" in data else "made/land" if b"= land" in data else ""
        return base._replace(findings=tuple(f for f in base.findings if f.rule != gone))

    proposal = propose([base], lambda file: WING.encode(), again, Context(root=str(tmp_path), here=str(tmp_path)))
    assert proposal.patch == b"" and len(proposal.left_out) == 1
    message = proposal.left_out[0].message
    assert "made/return" in message and "made/land" in message and "neither is in the patch" in message


def two_settings(report: FileReport) -> FileReport:
    """Two findings that want different settings changed."""
    first = next(f for f in report.findings if f.rule == "link-loss/no-action")
    assert first.remedy is not None and first.remedy.change is not None and first.remedy.change.place is not None
    line = WING.split("\n")[1]
    span = first.remedy.change.place.span
    assert span is not None
    start = WING.index("6 m")
    place = first.remedy.change.place._replace(line=2, column=17, shown=line, span=span._replace(start=start, end=start + 3))
    change = first.remedy.change._replace(
        setting="loiter.radius", raw="60 m", shown="60 m", line="loiter.radius = 60 m", place=place
    )
    second = first._replace(rule="made/second", remedy=first.remedy._replace(change=change), followers=())
    return report._replace(findings=(other_value(first, "return", "made/first"), second), undecided=())


@pytest.mark.parametrize("harm", ["made/third", "made/first"])
def test_remedies_of_two_settings_that_do_not_bear_each_other_both_stay_out(harm: str, tmp_path: Path) -> None:
    """Each alone clears its finding; together they make a third rule worse, or bring the first finding back."""
    base = two_settings(judge_plain("wing.dump", WING.encode()))

    def again(file: str, data: bytes) -> FileReport:
        first, second = b"= return" in data, b"= 60 m" in data
        gone = {rule for rule, there in (("made/first", first), ("made/second", second)) if there}
        findings = [f for f in base.findings if f.rule not in gone]
        if first and second:
            findings.append(base.findings[0]._replace(rule=harm))
        return base._replace(findings=tuple(findings))

    proposal = propose([base], lambda file: WING.encode(), again, Context(root=str(tmp_path), here=str(tmp_path)))
    assert proposal.patch == b"" and not proposal.changes
    assert len(proposal.left_out) == 1
    for word in ("made/first", "made/second", harm, "neither is in the patch"):
        assert word in proposal.left_out[0].message


def test_a_remedy_that_does_not_clear_its_finding_stays_out(tmp_path: Path) -> None:
    base = two_settings(judge_plain("wing.dump", WING.encode()))
    stays = base._replace(findings=base.findings[:1])
    context = Context(root=str(tmp_path), here=str(tmp_path))
    proposal = propose([stays], lambda file: WING.encode(), lambda file, data: stays, context)
    assert proposal.patch == b"" and "leaves or makes worse: made/first" in proposal.left_out[0].message


def test_one_value_that_clears_both_is_no_clash(tmp_path: Path) -> None:
    base = clashing(judge_plain("wing.dump", WING.encode()), ("return", "land"))

    def again(file: str, data: bytes) -> FileReport:
        cleared = {"made/return", "made/land"} if b"= land" in data else {"made/return"} if b"= return" in data else set()
        return base._replace(findings=tuple(f for f in base.findings if f.rule not in cleared))

    proposal = propose([base], lambda file: WING.encode(), again, Context(root=str(tmp_path), here=str(tmp_path)))
    assert [change.raw for change in proposal.changes] == ["land"] and not proposal.left_out


def test_the_same_bytes_twice_whatever_the_order() -> None:
    context = Context(root=str(ROOT), here=str(ROOT))
    reports = [example("thimble"), example("thimble")._replace(file="examples/washboard/washboard.dump", findings=())]
    patches = {
        propose(order, lambda file: (ROOT / file).read_bytes(), judge_example("thimble"), context).patch
        for order in (reports, reports[::-1])
    }
    assert len(patches) == 1


def test_what_another_remedy_has_cleared_is_not_changed_as_well(tmp_path: Path) -> None:
    base = two_settings(judge_plain("wing.dump", WING.encode()))

    def again(file: str, data: bytes) -> FileReport:
        return base._replace(findings=() if b"= return" in data else base.findings[:1])

    proposal = propose([base], lambda file: WING.encode(), again, Context(root=str(tmp_path), here=str(tmp_path)))
    assert [change.setting for change in proposal.changes] == ["link_loss.action"] and not proposal.left_out
