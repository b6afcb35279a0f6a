"""Every case of the corpus is read into the tree that stands beside it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from cfglint.text.dump import Dump, Line, LineKind, columns, read
from cfglint.text.source import Span
from cfglint.text.visible import visible

CORPUS = Path(__file__).parents[2] / "corpus"


class Case(NamedTuple):
    """A dump and the tree it must give. With `escapes` the dump's lines are joined, and \\n, \\r, \\x1b are read."""

    title: str
    escapes: bool
    encoding: str
    dump: str
    tree: str

    @property
    def data(self) -> bytes:
        if not self.escapes:
            return self.dump.encode(self.encoding)
        return self.dump.replace("\n", "").encode().decode("unicode_escape").encode(self.encoding)


def load_cases() -> Iterator[Case]:
    """Cases begin with a line `=== title`, maybe `escapes` and `encoding NAME`; `---` divides dump and tree."""
    for path in sorted(CORPUS.glob("*.txt")):
        for block in path.read_text(encoding="utf-8").split("=== ")[1:]:
            head, _, body = block.partition("\n")
            title, *options = head.split(" | ")
            encoding = next((option.split()[1] for option in options if option.startswith("encoding")), "utf-8")
            dump, _, tree = body.partition("\n---\n") if not body.startswith("---\n") else ("", "", body[4:])
            dump = dump if "escapes" in options or not body or body.startswith("---\n") else dump + "\n"
            yield Case(f"{path.stem}: {title}", "escapes" in options, encoding, dump, tree.rstrip("\n"))


def tree_of(dump: Dump) -> str:
    """The layout and every line, as the corpus shows them."""
    return "\n".join([_layout_shown(dump), *(_line_shown(dump, line) for line in dump.lines)])


def _layout_shown(dump: Dump) -> str:
    layout, found = dump.layout, dump.vote
    parts = [layout.separator, *(f"lead {word}" for word in layout.lead_words)]
    parts += [f"sections {layout.sections} {layout.section_word}".rstrip()] if layout.sections != "none" else []
    parts += [f"row {word}" for word in layout.rows]
    parts += [f"columns {layout.columns}: {layout.key_column}, {layout.value_column}"] if layout.columns else []
    parts += ["header"] if layout.skip_header else []
    parts += [f"tied {' '.join(found.rivals)}"] if found and found.tied else []
    return f"layout {'; '.join(parts)}; {dump.source.encoding}"


def _line_shown(dump: Dump, line: Line) -> str:
    def shown(mark: str, span: Span) -> str:
        return f" {mark}<{visible(dump.text_of(span))}>" if span.start < span.end else ""

    cells = "".join(f" <{visible(dump.text_of(cell))}>" for cell in columns(dump, line))
    parts = [shown("lead", line.lead), shown("key", line.key)]
    parts.append(cells if line.kind is LineKind.ROW else f" value<{visible(dump.text_of(line.value))}>")
    section = f" in {line.section}" if line.section else ""
    fields = "".join(parts) if line.kind in (LineKind.ENTRY, LineKind.ROW) else shown("name", line.key)
    return f"{line.number} {line.kind.name}{fields}{shown('note', line.comment)}{section}"


@pytest.mark.parametrize("case", list(load_cases()), ids=lambda case: case.title)
def test_corpus(case: Case) -> None:
    dump = read(case.data)
    assert bytes(dump) == case.data
    assert tree_of(dump) == case.tree
