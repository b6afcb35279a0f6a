"""A git revision as the side of a comparison, read through git itself.

Only plumbing is used, which runs no filter, text conversion, hook or pager of the repository, and git is told to fetch
nothing from elsewhere. Arguments go to git as a list, and what begins with a dash is no revision.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from typing import IO

from cfglint.project.compare_pairs import LARGEST_FILE, Fetcher, Place, Side, folder_side, is_hidden
from cfglint.project.configuration import FILE_NAME, Configuration, load_configuration
from cfglint.project.task import Asked
from cfglint.text.problem import Refused, refuse

LONGEST_REVISION = 200
_QUIET = {
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_PAGER": "",
    "LC_ALL": "C",
}
_PLAIN_FILES = (b"100644", b"100755")


def revision_side(revision: str, scratch: str, asked: Asked = Asked()) -> Side:
    """A revision of the repository around the current folder; its files are written below `scratch` as they are needed.

    Craft are looked for below the current folder only, and judged with the revision's own configuration, maps and packs.
    Raises Refused: no git, no repository, no such revision, a configuration that is wrong.
    """
    commit = commit_of(revision)
    place = Place(tempfile.mkdtemp(dir=scratch), _git_text("rev-parse", "--show-prefix"), f"{revision}:")
    blobs = _blobs(commit)
    fetched: set[str] = set()

    def fetch(paths: Iterable[str]) -> None:
        wanted = {path: blobs[path] for path in paths if path in blobs and path not in fetched}
        _write_blobs(wanted, place.root, revision)
        fetched.update(wanted)

    configuration = _configuration(place, blobs, fetch)
    return Side(revision, place, blobs, configuration, asked, fetch)


def working_side(asked: Asked = Asked()) -> Side:
    """The files as they are on disk now, below the current folder. Raises Refused as above."""
    return folder_side(os.curdir, asked, "the files on disk", _git_text("rev-parse", "--show-toplevel"))


def commit_of(revision: str) -> str:
    """The id of the commit that a revision names. Raises Refused for what is none."""
    check_revision(revision)
    found = _git("rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}", wrong=revision)
    return found.decode("ascii", "replace").strip()


def common_ancestor(old: str, new: str) -> str:
    """The commit that two revisions come from. Raises Refused where there is none."""
    ids = [commit_of(revision) for revision in (old, new)]
    found = _git("merge-base", *ids, wrong=f"{old}...{new}", reason="the two revisions have no common ancestor")
    return found.decode("ascii", "replace").split("\n")[0]


def check_revision(revision: str) -> None:
    """Raises Refused for a text that can't be a revision, or could be taken for an option."""
    if revision.startswith("-"):
        raise refuse("git", f"'{revision}' is no revision: it begins with a dash", "name a branch, a tag or a commit")
    if not revision or len(revision) > LONGEST_REVISION or any(c.isspace() or ord(c) < 32 for c in revision):
        raise refuse("git", "a revision is a short text without blanks", "name a branch, a tag or a commit")


def _configuration(place: Place, blobs: Mapping[str, str], fetch: Fetcher) -> Configuration | None:
    """The configuration of a revision that is nearest to the current folder, in it or above. Raises Refused for a wrong one."""
    parts = place.within.split("/")[:-1]
    above = ["/".join([*parts[:depth], FILE_NAME]) for depth in range(len(parts), -1, -1)]
    path = next((path for path in above if path in blobs), None)
    if path is None:
        return None
    fetch([path])
    try:
        return load_configuration(os.path.join(place.root, path))
    except Refused as refused:
        raise Refused(*(problem._replace(file=place.prefix + path) for problem in refused.problems)) from None


def _blobs(commit: str) -> dict[str, str]:
    """The ids of a commit's plain files, by path; what is hidden, or would be written elsewhere, is left out."""
    blobs: dict[str, str] = {}
    for row in _git("ls-tree", "-r", "-z", "--full-tree", commit).split(b"\0"):
        head, _, name = row.partition(b"\t")
        fields = head.split()
        path = name.decode(errors="surrogateescape")
        if len(fields) == 3 and fields[0] in _PLAIN_FILES and _is_harmless(path) and not is_hidden(path):
            blobs[path] = fields[2].decode("ascii", "replace")
    return blobs


def _is_harmless(path: str) -> bool:
    """Whether a path of a tree stays below the folder it is written to."""
    parts = path.split("/")
    return all(part not in ("", ".", "..") and "\\" not in part and ":" not in part for part in parts)


def _write_blobs(blobs: Mapping[str, str], root: str, revision: str) -> None:
    """Write blobs to their paths below a folder, with one git process for all of them."""
    import subprocess

    if not blobs:
        return
    with tempfile.TemporaryFile() as wanted:
        wanted.write("".join(f"{id}\n" for id in blobs.values()).encode("ascii"))
        wanted.seek(0)
        command = ["git", "cat-file", "--batch"]
        pipes = {"stdin": wanted, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL}
        with subprocess.Popen(command, env=_environment(), **pipes) as git:  # type: ignore[call-overload]
            assert git.stdout is not None
            try:
                for path in blobs:
                    _write_blob(git.stdout, os.path.join(root, path), f"{revision}:{path}")
            finally:
                git.kill()


def _write_blob(stream: IO[bytes], path: str, shown: str) -> None:
    fields = stream.readline().split()
    if len(fields) != 3 or fields[1] != b"blob":
        raise refuse(shown, "git does not have the content of this file", "fetch the whole history and try again")
    size = int(fields[2])
    if size > LARGEST_FILE:
        raise refuse(shown, f"larger than {LARGEST_FILE // 1_000_000} MB, which no settings dump is")
    data = stream.read(size)
    stream.read(1)
    try:
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "wb") as file:
            file.write(data)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise refuse(shown, f"can't be written to a temporary folder: {reason}", "make room, or set TMPDIR") from None


def _git_text(*arguments: str) -> str:
    return _git(*arguments).decode(errors="surrogateescape").rstrip("\n")


def _git(*arguments: str, wrong: str = "", reason: str = "") -> bytes:
    """What a git command prints. Raises Refused: without git, outside a repository, and where git finds nothing."""
    import subprocess

    try:
        done = subprocess.run(["git", *arguments], capture_output=True, stdin=subprocess.DEVNULL, env=_environment(), check=False)
    except FileNotFoundError:
        raise refuse("git", "the program git is not installed", "compare two folders instead") from None
    if done.returncode == 0:
        return done.stdout
    said = done.stderr.decode(errors="replace").strip().split("\n")[0][:200]
    if "not a git repository" in said:
        raise refuse("git", "the current folder is in no git repository", "go there, or compare two folders")
    if wrong:
        message = reason or f"no revision is called '{wrong}'"
        raise refuse("git", message, "the names are listed by: git branch --all, and git tag")
    raise refuse("git", said or "git could not do its work")


def _environment() -> dict[str, str]:
    return {**os.environ, **_QUIET}
