"""Unified diffs of bytes: `git apply` takes them and gives exactly the new bytes, for any bytes and any file name."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfglint.report.unified import FileChange, unified


def git(folder: Path, *arguments: str, data: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """Git without anybody's own settings."""
    environment = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}
    command = ["git", "-C", str(folder), *arguments]
    return subprocess.run(command, input=data, capture_output=True, env=environment, timeout=60)


def applied(folder: Path, change: FileChange) -> bytes:
    path = folder / change.path
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(change.before)
    done = git(folder, "apply", "--whitespace=nowarn", "-", data=unified([change]))
    assert done.returncode == 0, done.stderr
    return path.read_bytes()


@pytest.fixture(scope="module")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("repository")
    assert git(folder, "init", "--quiet").returncode == 0
    return folder


@pytest.mark.parametrize(
    "name",
    [
        "plain.dump",
        "with blank.dump",
        'quo"te\\.dump',
        "t\tab.dump",
        "\u00fcml\u00e4ut.dump",
        "new\nline",
        "a/b/c.dump",
        "\udcff.dump",
    ],
)
def test_any_file_name(name: str, repository: Path) -> None:
    assert applied(repository, FileChange(name, b"a = 1\nb = 2\n", b"a = 1\nb = 3\n")) == b"a = 1\nb = 3\n"


LINES = st.lists(st.binary(max_size=8).map(lambda line: line.replace(b"\n", b"").replace(b"\0", b"")), min_size=1, max_size=30)


@given(lines=LINES, chosen=st.sets(st.integers(0, 29)), end=st.booleans())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_lines(lines: list[bytes], chosen: set[int], end: bool, repository: Path) -> None:
    before = b"\n".join(lines) + (b"\n" if end else b"")
    after = b"\n".join(line + b"x" if n in chosen else line for n, line in enumerate(lines)) + (b"\n" if end else b"")
    change = FileChange("any.dump", before, after)
    if bool(before.split(b"\n")[-1]) != bool(after.split(b"\n")[-1]):
        with pytest.raises(ValueError, match="adds or removes no line"):
            unified([change])
    elif before != after:
        assert applied(repository, change) == after
    else:
        assert unified([change]) == b""


def test_a_change_of_lines_is_refused() -> None:
    with pytest.raises(ValueError, match="adds or removes no line"):
        unified([FileChange("a", b"a\n", b"a\nb\n")])
