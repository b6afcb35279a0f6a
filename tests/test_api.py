"""The Python interface: few names, pure functions, values that can be pickled, the same answer in every process."""

from __future__ import annotations

import importlib.util
import json
import multiprocessing
import pickle
import subprocess
import sys
from functools import partial
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import cfglint
from cfglint import (
    Facts,
    FileReport,
    NameMap,
    Refused,
    api,
    compare_dumps,
    craft_facts,
    document,
    judge_dump,
    load_craft,
    load_map,
    load_pack,
)
from cfglint.cli.main import main
from tests.conftest import ROOT


def sickle() -> tuple[bytes, NameMap, Facts]:
    dump = (ROOT / "examples/sickle/sickle.dump").read_bytes()
    board = load_map(str(ROOT / "examples/pennywort.map.toml"))
    return dump, board, load_craft(str(ROOT / "examples/sickle/craft.toml"))


def variants(count: int) -> list[bytes]:
    """Many setups from one: the same craft with another bank limit each."""
    dump, _, _ = sickle()
    return [dump.replace(b"peg Bank 58 deg", b"peg Bank %d deg" % (20 + n)) for n in range(count)]


def test_the_whole_interface_is_documented() -> None:
    assert set(cfglint.__all__) == {*api.__all__, "__version__"}
    assert all(getattr(cfglint, name) is getattr(api, name) for name in api.__all__)
    assert all((getattr(api, name).__doc__ or "").strip() for name in api.__all__)
    with pytest.raises(AttributeError):
        cfglint.nothing  # noqa: B018


def test_importing_the_package_loads_nothing_else() -> None:
    program = "import sys; before = set(sys.modules); import cfglint; print(*sorted(m for m in set(sys.modules) - before))"
    out = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=True).stdout.split()
    assert [name for name in out if name.startswith("cfglint")] == ["cfglint"]
    assert len(out) <= 2, out


def test_the_same_document_as_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("sickle/sickle.dump", "sickle/craft.toml", "pennywort.map.toml"):
        (tmp_path / "sickle").mkdir(exist_ok=True)
        (tmp_path / name).write_bytes((ROOT / "examples" / name).read_bytes())
    monkeypatch.chdir(tmp_path)
    status = main(["check", "sickle/sickle.dump", "--map", "pennywort.map.toml", "--format", "json"])
    said = json.loads(capsys.readouterr().out)
    dump, board, craft = (
        Path("sickle/sickle.dump").read_bytes(),
        load_map("pennywort.map.toml"),
        load_craft("sickle/craft.toml"),
    )
    made = document(judge_dump(dump, map=board, craft=craft, name="sickle/sickle.dump"))
    assert made["files"] == said["files"] and made["status"] == status == 1


def test_everything_can_be_pickled() -> None:
    dump, board, craft = sickle()
    for value in (board, craft, load_pack()):
        assert pickle.loads(pickle.dumps(value)) is not None
    again = [pickle.loads(pickle.dumps(value)) for value in (board, craft)]
    report = judge_dump(dump, map=board, craft=craft)
    assert judge_dump(dump, map=again[0], craft=again[1]) == report
    assert pickle.loads(pickle.dumps(report)) == report
    change = compare_dumps(dump, variants(2)[1], map=board, craft=craft)
    assert change.worse + change.better > 0 and pickle.loads(pickle.dumps(change)) == change


def test_a_pickled_pack_judges_alike() -> None:
    dump, board, craft = sickle()
    pack = pickle.loads(pickle.dumps(load_pack()))
    assert judge_dump(dump, map=board, craft=craft, pack=pack) == judge_dump(dump, map=board, craft=craft)


@pytest.mark.parametrize("method", ["spawn", "fork"])
def test_mapping_over_processes(method: str) -> None:
    if method not in multiprocessing.get_all_start_methods():
        pytest.skip(f"this system starts no process by {method}")
    _, board, craft = sickle()
    judge = partial(judge_dump, map=board, craft=craft)
    dumps = [*variants(5), b"", b"\0\1\2" * 99]
    with multiprocessing.get_context(method).Pool(2) as pool:
        reports = pool.map(judge, dumps)
    assert reports == [judge(dump) for dump in dumps]
    assert [report.refused for report in reports] == [False] * 5 + [True] * 2


@pytest.mark.skipif(importlib.util.find_spec("dask") is None, reason="dask is not installed; it comes with the test extra")
def test_a_dask_bag_of_setups() -> None:
    import dask.bag

    _, board, craft = sickle()
    dumps = variants(6)
    bag = dask.bag.from_sequence(dumps, npartitions=3)
    reports = bag.map(judge_dump, map=board, craft=craft)
    messages = reports.map(lambda report: tuple(finding.message for finding in report.findings if finding.level == "error"))
    found = messages.compute(scheduler="processes", num_workers=2)
    assert found == [
        tuple(f.message for f in judge_dump(d, map=board, craft=craft).findings if f.level == "error") for d in dumps
    ]
    assert len(set(found)) == len(dumps), "each has another bank limit, and its message says so"


@pytest.mark.parametrize(
    ("dump", "words"),
    [
        (b"", "empty"),
        (" \n", "empty"),
        (bytes(range(256)) * 8, "no text"),
        ("gadget = 3\n", "no key of this dump is a catalogue id"),
    ],
)
def test_what_a_dump_holds_is_never_an_exception(dump: Any, words: str) -> None:
    report = judge_dump(dump, airframe="tailed", name="odd")
    assert isinstance(report, FileReport) and report.refused and words in report.findings[0].message
    assert document(report)["status"] == 2
    change = compare_dumps("loiter.radius = 60 m\n", dump, airframe="tailed")
    assert change.status == "refused" and words in change.problems[0].message
    assert document(change)["status"] == 2


def test_text_and_bytes_are_the_same() -> None:
    text = "loiter.radius = 6 m\nlimit.bank = 40\u00b0\ncruise.speed = 15 m/s\ngnss.enabled = on\n"
    assert judge_dump(text, airframe="tailed") == judge_dump(text.encode(), airframe="tailed")


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"craft.mas": "640 g"}, "no fact is called 'craft.mas'"),
        ({"craft.mass": "640 m"}, "is a length"),
        ({"loiter.radius": "6 m"}, "no fact is called"),
        ({"craft.mass": 0.64}, "must be a text with its unit"),
    ],
)
def test_facts_that_are_wrong(facts: dict[str, Any], words: str) -> None:
    with pytest.raises(Refused) as refused:
        craft_facts(facts)
    assert words in refused.value.problems[0].message


def test_an_airframe_type_nobody_knows() -> None:
    with pytest.raises(Refused) as refused:
        judge_dump("loiter.radius = 6 m\n", airframe="quadroter")
    assert "did you mean 'quadrotor'?" in refused.value.problems[0].remedy


def test_facts_in_python_are_those_of_a_file(tmp_path: Path) -> None:
    path = tmp_path / "craft.toml"
    path.write_text('[craft]\nkind = "tailed"\nmass = "640 g"\n[site]\nwind = "0..8 m/s"\n')
    written = load_craft(str(path))
    given = craft_facts({"craft.kind": "tailed", "craft.mass": "640 g", "site.wind": "0..8 m/s"})
    assert {id: (s.value, s.origin) for id, s in given.settings.items()} == {
        id: (s.value, s.origin) for id, s in written.settings.items()
    }


def test_the_comparison_document_fits_its_schema() -> None:
    dump, board, craft = sickle()
    shipped = json.loads((ROOT / "cfglint/report/comparison.schema.json").read_text(encoding="utf-8"))
    for other in (dump, variants(50)[49]):
        jsonschema.validate(document(compare_dumps(dump, other, map=board, craft=craft)), shipped)


def test_the_shipped_pack_is_not_touched_by_another() -> None:
    one = load_pack()
    one.rules.clear()
    assert load_pack().rules and not judge_dump("loiter.radius = 6 m\n", airframe="tailed").refused
    assert judge_dump("loiter.radius = 6 m\n", airframe="tailed", pack=one).findings == ()
