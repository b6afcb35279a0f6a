"""Changes of a dump that leave every other byte alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cfglint.text.source import Span

if TYPE_CHECKING:
    from cfglint.text.dump import Dump


def replace(dump: Dump, edits: Sequence[tuple[Span, str]]) -> bytes:
    """The dump's bytes with new text in the given spans, in the dump's own encoding.

    Errors: ValueError when edits overlap, lie outside the text, or hold what the encoding cannot write.
    """
    text = dump.source.text
    parts: list[str] = []
    done = 0
    for span, new in sorted(edits, key=lambda edit: edit[0]):
        if not done <= span.start <= span.end <= len(text):
            raise ValueError(f"edit {span.start}..{span.end} overlaps another one or lies outside the text")
        parts += [text[done : span.start], new]
        done = span.end
    parts.append(text[done:])
    return _encoded("".join(parts), dump.source.codec)


def _encoded(text: str, codec: str) -> bytes:
    try:
        return text.encode(codec)
    except UnicodeEncodeError as error:
        code = ord(text[error.start])
        raise ValueError(f"U+{code:04X} cannot be written in {codec}, the dump's encoding") from error
