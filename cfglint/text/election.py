"""The vote: which layout explains most lines of a bounded sample."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from cfglint.text.layout import SEPARATORS, Layout, Vote, is_noisy
from cfglint.text.patterns import line_pattern
from cfglint.text.sample import COMMENT_MARKS, Sample, Shape, sampled
from cfglint.text.wording import Words, with_words

_MOST_UNPLACED = 50
_BRACKETS = re.compile(r"(?m)^[ \t]*+\[{1,3}+[^\[\]\n]++\]{1,3}+[ \t]*+(?:(?:#|;|//).*)?$")
_BRACE_OPENS = re.compile(r"(?m)^[ \t]*+[^\s{}=:][^{}\n=:]{0,80}[=:]?[ \t]*+\{[ \t]*+$")
_BRACE_CLOSES = re.compile(r"(?m)^[ \t]*+\}[;,]?[ \t]*+$")


class _Ballot(NamedTuple):
    """Points of each separator, the lines that may be read by it, and how many of them only have bare words."""

    points: dict[str, int]
    lines: dict[str, int]
    bare: int


def elect(text: str, given: Mapping[str, Any], find_unplaced: bool) -> Vote:
    """Hold the vote; fields of the layout that are `given` are not voted on."""
    sample = sampled(text)
    layout = Layout(comments=_comment_marks(sample))._replace(**given)
    marks = layout.comments or ("\n",)
    shapes = [shape for shape in sample.shapes if not shape.line.startswith(marks)]
    ballot = _separators(shapes)
    rivals: tuple[str, ...] = ()
    if "separator" not in given:
        layout = layout._replace(separator=_winner(ballot))
        rivals = _tied(ballot)
    sections = {"brackets": len(_BRACKETS.findall(sample.text)), "braces": _braces(sample.text)}
    if "sections" not in given and any(sections.values()):
        layout = layout._replace(sections=max(sections, key=lambda name: sections[name]))
    words, columned = _words_and_columns(layout, _without_headers(layout, shapes), given)
    tied_word = "" if rivals else words.tied
    if tied_word:
        rivals = (f"{tied_word} as a lead word", f"{tied_word} as a key")
    tallies = (*_tallies(ballot), *_mark_tallies(sample), *_section_tallies(sections), *words.tallies)
    unplaced = _unplaced(text, columned) if find_unplaced else ()
    return Vote(columned, tallies, unplaced, bool(rivals), rivals, tied_word)


def _words_and_columns(layout: Layout, shapes: Sequence[Shape], given: Mapping[str, Any]) -> tuple[Words, Layout]:
    words = with_words(layout, shapes, given)
    if layout.separator not in ("tab", ",", "blank"):
        return words, words.layout._replace(columns=0)
    from cfglint.text.tables import with_columns

    return words, with_columns(words.layout, shapes, given)


def second_round(found: Vote, lines: Sequence[str], given: Mapping[str, Any]) -> Vote:
    """Let lines that were not in the sample, and that nobody could place, speak for sections and rows."""
    shapes = sampled("\n".join(lines)).shapes
    layout = found.layout
    if layout.sections == "none" and "sections" not in given and any(_BRACKETS.match(line) for line in lines):
        layout = layout._replace(sections="brackets")
        shapes = _without_headers(layout, shapes)
    fixed = {**given, "lead_words": layout.lead_words}
    words = with_words(layout, shapes, {**fixed, "rows": ()} if layout.rows else fixed)
    return found._replace(layout=words.layout, tallies=(*found.tallies, *words.tallies))


def describe_vote(found: Vote) -> list[str]:
    """The layout in plain words, one statement a line."""
    layout, counts = found.layout, dict(found.tallies)
    lines = [f"separator {_shown(layout.separator)} {_counted(counts, f'separator {layout.separator}')}"]
    others = [name for name in SEPARATORS if name != layout.separator and f"separator {name}" in counts]
    if others:
        shown = ", ".join(f"{_shown(name)} {counts[f'separator {name}']}" for name in others)
        lines.append(f"other separators in the sample: {shown}")
    lines.append(f"comment marks {', '.join(layout.comments) or 'none'}")
    if layout.sections != "none":
        name = f"word {layout.section_word}" if layout.sections == "word" else layout.sections
        lines.append(f"sections by {name} {_counted(counts, f'sections {layout.sections}')}")
    for title, words in (("lead word", layout.lead_words), ("rows", layout.rows)):
        lines.extend(f"{title} {word} {_counted(counts, f'{title} {word}')}" for word in words)
    if layout.columns:
        lines.append(
            f"a table of {layout.columns} columns, key in column {layout.key_column + 1}, "
            f"value in column {layout.value_column + 1}"
        )
    if layout.skip_header:
        lines.append("the first line names the columns")
    if found.tied:
        lines.append(f"tied between {' and '.join(found.rivals)}: the lines concerned are not read")
    if found.unplaced:
        numbers = ", ".join(str(number) for number in found.unplaced)
        lines.append(f"lines nobody could place: {numbers}")
    return lines


def _separators(shapes: Sequence[Shape]) -> _Ballot:
    """Points for each separator, two a line.

    Blanks stand in any line, so they get points only for lines no sign explains: one where the value is a bare
    word, since two words are soon written, and none where a line begins like an earlier one, since such lines
    may be rows. Lines with tabs go to the blanks if those read them alike.
    """
    ballot = _Ballot(dict.fromkeys(SEPARATORS, 0), dict.fromkeys(SEPARATORS, 0), 0)
    alike = True
    bare = 0
    heard: set[tuple[str, ...]] = set()
    for shape in shapes:
        name = shape.separator or ("blank" if shape.blank else "")
        if not name:
            continue
        ballot.lines[name] += 1
        if shape.separator:
            ballot.points[name] += 2
            alike = alike and (name != "tab" or (shape.blank and len(shape.words) == 1))
        elif shape.names not in heard:
            heard.add(shape.names)
            ballot.points[name] += 1 + shape.numeric
            bare += not shape.numeric
    if ballot.points["blank"] and ballot.points["tab"] and alike:
        for counts in (ballot.points, ballot.lines):
            counts["blank"] += counts["tab"]
            counts["tab"] = 0
    return ballot._replace(bare=bare)


def _winner(ballot: _Ballot) -> str:
    return max(SEPARATORS, key=lambda name: (ballot.points[name], -SEPARATORS.index(name)))


def _tied(ballot: _Ballot) -> tuple[str, ...]:
    """Separators with equally many points; blanks between bare words are no rival of a sign."""
    most = max(ballot.points.values())
    names = tuple(name for name in SEPARATORS if ballot.points[name] == most and (name != "blank" or not ballot.bare))
    return names if most and len(names) > 1 else ()


def _comment_marks(sample: Sample) -> tuple[str, ...]:
    """All marks, but those that only stand inside values and have no words behind them there."""
    return tuple(
        mark for mark in COMMENT_MARKS if sample.starting[mark] or sample.trailing[mark] <= 2 * sample.trailing_words[mark]
    )


def _braces(text: str) -> int:
    opened = len(_BRACE_OPENS.findall(text)) if "{" in text else 0
    return min(opened, len(_BRACE_CLOSES.findall(text))) if opened else 0


def _without_headers(layout: Layout, shapes: Sequence[Shape]) -> list[Shape]:
    if layout.sections == "brackets":
        return [shape for shape in shapes if not _BRACKETS.match(shape.line)]
    if layout.sections == "braces":
        return [shape for shape in shapes if shape.line[-1] != "{" and not _BRACE_CLOSES.match(shape.line)]
    return list(shapes)


def _tallies(ballot: _Ballot) -> list[tuple[str, int]]:
    return [(f"separator {name}", count) for name, count in ballot.lines.items() if count]


def _mark_tallies(sample: Sample) -> list[tuple[str, int]]:
    return [(f"comment {mark}", sample.starting[mark]) for mark in COMMENT_MARKS if sample.starting[mark]]


def _section_tallies(sections: Mapping[str, int]) -> list[tuple[str, int]]:
    return [(f"sections {name}", count) for name, count in sections.items() if count]


def _unplaced(text: str, layout: Layout) -> tuple[int, ...]:
    pattern = line_pattern(layout, is_noisy(text))
    fault = pattern.groupindex["FAULT"]
    numbers: list[int] = []
    for number, match in enumerate(pattern.finditer(text), 1):
        if match.lastindex == fault:
            numbers.append(number)
            if len(numbers) == _MOST_UNPLACED:
                break
    return tuple(numbers)


def _counted(counts: Mapping[str, int], name: str) -> str:
    count = counts.get(name, 0)
    if not count:
        return "(no line of the sample speaks for it)"
    return f"({count} line{'' if count == 1 else 's'} of the sample)"


def _shown(separator: str) -> str:
    return {"tab": "tab", "blank": "blanks", ",": "comma"}.get(separator, separator)
