"""Dumps of one controller, read alike: the layout found in the first holds for all."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cfglint.text.dump import Dump, LineKind, read

_FEWEST = 3


def read_alike(files: Sequence[tuple[bytes, str]]) -> list[Dump]:
    """Read files (content and name) with the layout of the first; lines without a lead word may open sections."""
    dumps: list[Dump] = []
    given: dict[str, Any] = {}
    for data, name in files:
        dump = read(data, name, given=given)
        if not dumps:
            word = _section_word(dump)
            if word:
                dump = read(data, name, given={"sections": "word", "section_word": word})
            given = {"separator": dump.layout.separator, "sections": dump.layout.sections}
            if dump.layout.section_word:
                given["section_word"] = dump.layout.section_word
            if dump.layout.lead_words:
                given["lead_words"] = dump.layout.lead_words
        dumps.append(dump)
    return dumps


def _section_word(dump: Dump) -> str:
    """The word that, where all other entries have a lead word, stands without one before ever new names."""
    if dump.layout.sections != "none" or not dump.layout.lead_words:
        return ""
    names: dict[str, list[str]] = {}
    for line in dump.lines:
        if line.kind == LineKind.ENTRY and line.lead.start == line.lead.end:
            names.setdefault(dump.text_of(line.key), []).append(dump.text_of(line.value))
    good = {word: found for word, found in names.items() if len(found) >= _FEWEST and len(set(found)) == len(found)}
    return max(good, key=lambda word: (len(good[word]), word), default="")
