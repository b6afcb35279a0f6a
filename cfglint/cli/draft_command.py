"""`cfglint draft`: propose a name map for a controller that has none, and ask the pilot about it."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from cfglint.cli.problems import say_problems
from cfglint.draft.draft import DOUBTFUL, NOTHING, PROPOSED, Draft, Drafting, Guess
from cfglint.draft.lexicon import load_lexicon
from cfglint.draft.map_text import map_text
from cfglint.draft.questions import (
    Question,
    checked_guess,
    meant,
    question_text,
    questions,
    with_answer,
    with_codes,
)  # fmt: skip
from cfglint.draft.reading import read_alike
from cfglint.draft.recognise import no_dump_reason
from cfglint.pack.load import lexicon_path, shipped_pack
from cfglint.report.styled import encodable
from cfglint.setup.catalogue import Catalogue
from cfglint.setup.craft_file import load_facts
from cfglint.setup.setting import NO_FACTS
from cfglint.setup.toml_document import decode_toml, parse_toml, read_file
from cfglint.text.dump import Dump
from cfglint.text.layout import describe
from cfglint.text.problem import Refused, refuse
from cfglint.text.visible import visible

LARGEST_DUMP = 16_000_000
_LONGEST_ANSWER = 400
_MOST_TRIES = 5
_HELP = "y yes / n none of the settings / other (name it) / skip / quit"


def add_arguments(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The arguments of the command."""
    draft = commands.add_parser(
        "draft",
        help="propose a name map for a controller nobody has described",
        description="Propose a name map from one or several dumps of the same controller. Every line of it is a guess until you "
        "confirm it, in the file or with --ask; what rests on a guess is reported as resting on one.",
        epilog="exit status: 0 a map was drafted, 2 it could not be done",
    )
    draft.add_argument("dumps", metavar="DUMP", nargs="+", help="a settings dump; - for standard input")
    draft.add_argument("--craft", metavar="FILE", help="facts of the craft; they rule out what it can't have")
    draft.add_argument("-o", "--output", metavar="MAP", help="write the map here (default: standard output)")
    draft.add_argument(
        "--ask",
        action="store_true",
        help="ask about each guess; every answer is kept at once, go on later with the same command",
    )


def run(parsed: Any) -> int:
    """Draft, write, ask. 0 a map was drafted, 2 it could not be done."""
    try:
        return _run(parsed)
    except Refused as refused:
        say_problems(refused.problems)
        return 2


def _run(parsed: Any) -> int:
    if parsed.ask and not parsed.output:
        raise refuse("--ask", "the answers need a file to be kept in", "name it with -o MAP")
    if parsed.output and Path(parsed.output).exists() and not parsed.ask:
        raise refuse(parsed.output, "this file exists; a draft never overwrites a map", "name another, or go on with it by --ask")
    pack = shipped_pack()
    facts = load_facts(parsed.craft, pack.catalogue, pack.key) if parsed.craft else NO_FACTS
    dumps = _dumps(parsed.dumps)
    draft = Drafting(pack.catalogue, load_lexicon(lexicon_path()), facts).draft(dumps)
    _say_layout(dumps[0])
    _say_bins(draft)
    if not draft.binned(PROPOSED) and not draft.binned(DOUBTFUL):
        raise refuse(parsed.dumps[0], "no key of this dump sounds like a setting", "the settings are listed by: cfglint settings")
    text = map_text(draft, f"drafted from {os.path.basename(parsed.dumps[0])[:80]}")
    if not parsed.output:
        sys.stdout.write(encodable(text, sys.stdout.encoding or "ascii"))
        return 0
    if not Path(parsed.output).exists():
        _write(parsed.output, text)
    if parsed.ask:
        _Asking(parsed.output, draft, pack.catalogue).ask()
    return 0


def _dumps(names: list[str]) -> list[Dump]:
    files = []
    for name in names:
        data = sys.stdin.buffer.read(LARGEST_DUMP + 1) if name == "-" else read_file(name, LARGEST_DUMP)
        if len(data) > LARGEST_DUMP:
            raise refuse(name, f"larger than {LARGEST_DUMP // 1_000_000} MB", "name the settings dump itself")
        files.append((data, name))
    dumps = read_alike(files)
    for dump, name in zip(dumps, names, strict=True):
        reason = no_dump_reason(dump)
        if reason:
            raise refuse(
                name,
                f"this doesn't look like a settings dump: {reason}",
                "name the text that the controller prints its settings in",
            )
    return dumps


def _say_layout(dump: Dump) -> None:
    for statement in describe(dump.vote) if dump.vote else []:
        _say(f"layout: {statement}")


def _say_bins(draft: Draft) -> None:
    counts = {name: len(draft.binned(name)) for name in (PROPOSED, DOUBTFUL, NOTHING)}
    _say(f"{len(draft.proposals)} keys: {counts[PROPOSED]} proposed, {counts[DOUBTFUL]} doubtful, {counts[NOTHING]} no guess")
    open_codes = sum(bool(p.guesses[0].open) for p in draft.binned(PROPOSED))
    if open_codes:
        _say(f"{open_codes} of the proposed are choices written as codes; a dump doesn't say what they mean: use --ask")
    for lead, count in draft.rows[:10]:
        _say(f"{count} lines of columns begin with {visible(lead)[:40]}; rows are not drafted")
    if draft.dropped:
        _say(f"{draft.dropped} keys beyond the first {len(draft.proposals)} were left out")


class _Asking:
    """Goes through what is open; every answer is in the file before the next question is asked."""

    def __init__(self, path: str, draft: Draft, catalogue: Catalogue) -> None:
        self.path, self.draft, self.catalogue = path, draft, catalogue

    def ask(self) -> None:
        for number, question in enumerate(self._open(), 1):
            if number == 1:
                _say(_HELP)
            try:
                answer = self._answer(question)
            except EOFError:
                break
            if answer is not _SKIP:
                self._keep(question.proposal.key.name, answer)
        left = len(self._open())
        _say(f"{left} keys are still open; go on with the same command" if left else "nothing is open any more")

    def _open(self) -> list[Question]:
        text = decode_toml(read_file(self.path), self.path)
        return questions(self.draft, text, parse_toml(text, self.path))

    def _answer(self, question: Question) -> Guess | None:
        """The guess that the pilot settled on, None for none of the settings, or `_SKIP`. Raises EOFError to stop."""
        _say(question_text(question, self.catalogue))
        for index, guess in enumerate(question.guesses[1:], 2):
            definition = self.catalogue[guess.setting]
            _say(f"  {index}: {guess.setting}, {meant(question.proposal.key.values[0], guess, definition)}")
        for _ in range(_MOST_TRIES):
            said = _heard("y/n/other/skip? ").lower()
            if said in ("q", "quit"):
                raise EOFError
            if said in ("s", "skip", ""):
                return _SKIP
            if said in ("n", "no"):
                return None
            if said in ("y", "yes", "1"):
                return self._coded(question.guesses[0])
            if said.isascii() and said.isdigit() and 2 <= int(said[:3]) <= len(question.guesses):
                return self._coded(question.guesses[int(said[:3]) - 1])
            if said in ("o", "other"):
                return self._other(question)
            _say(_HELP)
        return _SKIP

    def _other(self, question: Question) -> Guess | None:
        for _ in range(_MOST_TRIES):
            setting = _heard("which setting (blank to skip)? ")
            if not setting:
                return _SKIP
            try:
                is_number = setting in self.catalogue and self.catalogue[setting].is_number
                unit = _heard(f"in which unit (blank: {self.catalogue[setting].unit})? ") if is_number else ""
                guess = checked_guess(setting, unit, self.catalogue)
            except ValueError as error:
                _say(visible(str(error)))
                continue
            open_codes = () if is_number else tuple(v for v in question.proposal.key.values if v.strip().isdigit())
            return self._coded(guess._replace(open=open_codes))
        return _SKIP

    def _coded(self, guess: Guess) -> Guess:
        """Ask what codes mean; what is left blank stays open."""
        words = self.catalogue[guess.setting].words
        codes: dict[str, str] = {}
        for code in guess.open[:20]:
            word = (
                _heard(f"what does {visible(code)[:40]} mean ({', '.join(words)}; blank: not known)? ").lower().replace(" ", "_")
            )
            if word in words:
                codes[code] = word
            elif word:
                _say("that is none of them; it stays open")
        return with_codes(guess, codes)

    def _keep(self, key: str, answer: Guess | None) -> None:
        text = decode_toml(read_file(self.path), self.path)
        changed = with_answer(text, key, answer)
        parse_toml(changed, self.path)
        _write(self.path, changed)


_SKIP = Guess("", 0.0, 0.0, None, {}, (), ())


def _heard(prompt: str) -> str:
    sys.stderr.write(prompt)
    sys.stderr.flush()
    line = sys.stdin.readline(_LONGEST_ANSWER)
    if not line:
        raise EOFError
    return line.strip()


def _write(path: str, text: str) -> None:
    """All of the new text or all of the old one, whatever happens in between."""
    temporary = f"{path}.{os.getpid()}.part"
    try:
        with open(temporary, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, path)
    except OSError as error:
        _forget(lambda: os.remove(temporary))
        raise refuse(path, f"can't be written: {(error.strerror or str(error)).lower()}") from None


def _forget(action: Callable[[], None]) -> None:
    try:
        action()
    except OSError:
        pass


def _say(text: str) -> None:
    sys.stderr.write(encodable(text + "\n", sys.stderr.encoding or "ascii"))
