"""How a dump is laid out, and the vote over its lines that finds it out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

SEPARATORS = ("=", ":=", ":", "tab", ",", "blank")
SECTIONS = ("none", "brackets", "braces", "word")
_PROMPT_CHARACTERS = ("\x1b", "> ", "$ ", ">\n", ">\r", "$\n", "$\r")
_MOST_WORDS, _LONGEST_WORD, _MOST_COLUMNS = 64, 40, 100
_FIRST_WORD_BLANKS = " \t\x0b\x0c\xa0\ufeff"


class Layout(NamedTuple):
    """How the lines of a dump are to be read.

    separator: what stands between key and value: one of `SEPARATORS`.
    comments: marks that begin a comment, at the start of a line or behind a blank.
    lead_words: words that may stand before a key and mean nothing by themselves.
    sections: how section headers look: "none", "brackets" `[name]`, "braces" `name {` ... `}`, or "word".
    section_word: the word such a section's header begins with; the name follows.
    rows: lead words that begin a row of columns.
    columns: for a comma or tab table, how many columns it has; 0 means the value is the rest of the line.
    key_column, value_column: the columns of such a table (from 0) that hold key and value.
    skip_header: the first line that is neither blank nor comment nor header names the columns.
    """

    separator: str = "="
    comments: tuple[str, ...] = ("#", ";", "//")
    lead_words: tuple[str, ...] = ()
    sections: str = "none"
    section_word: str = ""
    rows: tuple[str, ...] = ()
    columns: int = 0
    key_column: int = 0
    value_column: int = 1
    skip_header: bool = False


class Vote(NamedTuple):
    """The layout that explains most lines.

    tallies: what was counted, and how many lines speak for it, in the order of the count.
    unplaced: numbers of the first 50 lines that nobody could place.
    tied: two readings explain equally many lines; `rivals` says which. The lines it concerns are faults: all
    entries when the separators tie, or those that begin with `tied_word`.
    """

    layout: Layout
    tallies: tuple[tuple[str, int], ...] = ()
    unplaced: tuple[int, ...] = ()
    tied: bool = False
    rivals: tuple[str, ...] = ()
    tied_word: str = ""

    def concerns(self, line: str) -> bool:
        """Whether a tie leaves open how this line, which the layout can read, was meant."""
        if not self.tied_word:
            return self.tied
        return line.lstrip(_FIRST_WORD_BLANKS).split(None, 1)[:1] == [self.tied_word]


def vote(text: str, given: Mapping[str, Any] | None = None, find_unplaced: bool = True) -> Vote:
    """Find the layout by counting, in a sample of some hundred lines, what each reading explains.

    `given` fixes fields of the layout beforehand. Raises ValueError when it names what `Layout` does not
    have.
    """
    from cfglint.text.election import elect

    return elect(text, checked_fields(given or {}), find_unplaced)


def checked_fields(given: Mapping[str, Any]) -> dict[str, Any]:
    """Fields of a layout as a person wrote them, lists as tuples. Raises ValueError on what does not fit."""
    fields: dict[str, Any] = {name: tuple(v) if isinstance(v, list) else v for name, v in given.items()}
    default = Layout()
    for name, value in fields.items():
        if name not in Layout._fields:
            raise ValueError(f"a layout has no field {name}; it has {', '.join(Layout._fields)}")
        wanted = type(getattr(default, name))
        words = value if wanted is tuple and type(value) is tuple else ()
        if type(value) is not wanted or not all(isinstance(word, str) for word in words):
            raise ValueError(f"layout field {name} must be a {_KIND_NAMES[wanted]}, not {value!r}")
    _check_choice("separator", fields.get("separator"), SEPARATORS)
    _check_choice("sections", fields.get("sections"), SECTIONS)
    for name in ("comments", "lead_words", "rows"):
        _check_words(name, fields.get(name, ()))
    _check_words("section_word", (str(fields["section_word"]),) if fields.get("section_word") else ())
    if fields.get("columns") and fields.get("separator", ",") not in ("tab", ","):
        raise ValueError(f"layout field columns wants the separator tab or comma, not {fields['separator']}")
    _check_columns(default._replace(**fields))
    return fields


def is_noisy(text: str) -> bool:
    """Whether escape sequences or prompts of a terminal may have been pasted along."""
    return any(character in text for character in _PROMPT_CHARACTERS)


def describe(found: Vote) -> list[str]:
    """What the layout was taken for, with the counts that speak for it, one statement a line."""
    from cfglint.text.election import describe_vote

    return describe_vote(found)


_KIND_NAMES = {str: "word", tuple: "list of words", int: "whole number", bool: "true or false"}


def _check_choice(name: str, value: Any, words: tuple[str, ...]) -> None:
    if value is not None and value not in words:
        raise ValueError(f"layout field {name} is {value!r}; it must be one of {', '.join(words)}")


def _check_words(name: str, words: tuple[str, ...]) -> None:
    """A word that could match nothing, or a blank, would make every line look alike."""
    if len(words) > _MOST_WORDS:
        raise ValueError(f"layout field {name} holds {len(words)} words; at most {_MOST_WORDS} are read")
    for word in words:
        if not 0 < len(word) <= _LONGEST_WORD or word.split() != [word]:
            raise ValueError(
                f"layout field {name} holds {word[:_LONGEST_WORD]!r}; it must be one word of 1 to {_LONGEST_WORD} characters"
            )


def _check_columns(layout: Layout) -> None:
    columns, places = layout.columns, (layout.key_column, layout.value_column)
    if not 0 <= columns <= _MOST_COLUMNS:
        raise ValueError(f"layout field columns is {columns}; it must be 0 to {_MOST_COLUMNS}")
    if columns and (places[0] == places[1] or not all(0 <= place < columns for place in places)):
        raise ValueError(
            f"layout fields key_column and value_column are {places[0]} and {places[1]}; "
            f"they must be two different columns of 0 to {columns - 1}"
        )
