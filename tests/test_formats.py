"""Every format: the same bytes twice, nothing raw from the input, a file whole or not at all, clear words for wrong orders."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from cfglint.report.json_model import schema
from cfglint.report.outputs import Output, format_names, parse_outputs, render, write_outputs, write_whole
from cfglint.text.problem import Refused
from tests.conftest import ROOT
from tests.formats.material import RUNS, context, run_of

PURE = [name for name in format_names() if name != "html"]
STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2066-\u206f\ud800-\udfff\ufffe\uffff]")


@pytest.mark.parametrize("format", PURE)
@pytest.mark.parametrize("name", sorted(RUNS))
def test_the_same_bytes_twice_and_no_steering_character(name: str, format: str) -> None:
    text = render(format, RUNS[name](), context())
    assert text == render(format, RUNS[name](), context())
    assert not STEERING.search(text)
    text.encode("utf-8")


@pytest.mark.parametrize("seed", ["1", "2"])
def test_the_same_bytes_whatever_the_seed(seed: str) -> None:
    program = (
        "import hashlib; from tests.formats.material import RUNS, context; from cfglint.report.outputs import render;"
        f"print(*[hashlib.sha256(render(f, RUNS['hostile'](), context()).encode()).hexdigest() for f in {PURE!r}])"
    )
    environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": "Asia/Tokyo" if seed == "1" else "UTC"}
    out = subprocess.run([sys.executable, "-c", program], cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    import hashlib

    here = [hashlib.sha256(render(f, RUNS["hostile"](), context()).encode()).hexdigest() for f in PURE]
    assert out.stdout.split() == here


@pytest.mark.parametrize("name", sorted(RUNS))
def test_each_json_line_is_a_whole_report(name: str) -> None:
    run = RUNS[name]()
    lines = render("json-lines", run, context()).split("\n")
    assert lines.pop() == ""
    assert len(lines) == max(1, len(run.files))
    for line in lines:
        jsonschema.validate(json.loads(line), schema())
    assert max(json.loads(line)["status"] for line in lines) == run.status


def test_outputs_are_parsed_and_written_beside_each_other(tmp_path: Path) -> None:
    outputs = parse_outputs([f"{format}={tmp_path}/report.{format}" for format in PURE])
    write_outputs(outputs, RUNS["one"](), context())
    for output in outputs:
        assert Path(output.file).read_text(encoding="utf-8") == render(output.format, RUNS["one"](), context())
    assert len(list(tmp_path.iterdir())) == len(PURE)


@pytest.mark.parametrize(
    ("pair", "words"),
    [
        ("sarif", "expected FORMAT=FILE"),
        ("sarif=", "expected FORMAT=FILE"),
        ("sarfi=a.sarif", "did you mean 'sarif'"),
        ("\x1b[31m=a", "no format is called"),
        ("sarif=-", "standard output already"),
        ("sarif={folder}", "is a folder"),
        ("sarif={folder}/nowhere/a.sarif", "a folder that is not there"),
        ("sarif={folder}/craft.dump", "is read by this run"),
        ("sarif={folder}/link.dump", "is read by this run"),
    ],
)
def test_a_wrong_order_is_refused_in_clear_words(pair: str, words: str, tmp_path: Path) -> None:
    (tmp_path / "craft.dump").write_text("loiter.radius = 60 m\n")
    (tmp_path / "link.dump").symlink_to("craft.dump")
    with pytest.raises(Refused) as caught:
        parse_outputs([pair.format(folder=tmp_path)], inputs=[str(tmp_path / "craft.dump"), "-"])
    problem = caught.value.problems[0]
    assert words in f"{problem.message} {problem.remedy}"


def test_two_formats_for_one_file_are_refused(tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    with pytest.raises(Refused, match="it is the sarif output already"):
        parse_outputs([f"sarif={tmp_path}/a", f"junit={tmp_path}/b/../a"])


def test_one_that_cannot_be_written_does_not_stop_the_others(tmp_path: Path) -> None:
    wanted = {"junit": "gone/a.xml", "html": "a.html", "sarif": "a.sarif"}
    outputs = [Output(format, str(tmp_path / name)) for format, name in wanted.items()]
    with pytest.raises(Refused) as caught:
        write_outputs(outputs, run_of(), context())
    assert len(caught.value.problems) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["a.sarif"]


def test_a_page_is_written_by_what_makes_it(tmp_path: Path) -> None:
    write_outputs([Output("html", str(tmp_path / "a.html"))], run_of(), context(), {"html": lambda: "<p>\u00b5</p>"})
    assert (tmp_path / "a.html").read_bytes() == "<p>\u00b5</p>".encode()


def test_what_is_there_is_kept_when_the_new_one_fails(tmp_path: Path) -> None:
    path = tmp_path / "a.sarif"
    path.write_text("old")
    resource = pytest.importorskip("resource", reason="needs a limit on file sizes")
    program = (
        "import resource, signal, sys; signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000)); sys.dont_write_bytecode = True;"
        "from cfglint.report.outputs import write_whole; write_whole(sys.argv[1], b'x' * 100_000)"
    )
    done = subprocess.run([sys.executable, "-c", program, str(path)], cwd=ROOT, capture_output=True, text=True)
    assert resource and done.returncode == 1 and "can't be written" in done.stderr
    assert path.read_text() == "old" and len(list(tmp_path.iterdir())) == 1


def test_a_link_and_its_rights_are_kept(tmp_path: Path) -> None:
    (tmp_path / "real").write_text("old")
    (tmp_path / "real").chmod(0o640)
    (tmp_path / "link").symlink_to("real")
    write_whole(str(tmp_path / "link"), b"new")
    assert (tmp_path / "link").is_symlink() and (tmp_path / "real").read_bytes() == b"new"
    assert (tmp_path / "real").stat().st_mode & 0o777 == 0o640
    write_whole("/dev/null", b"gone")
    assert not Path("/dev/null").is_file()
