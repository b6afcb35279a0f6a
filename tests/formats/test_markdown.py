"""Markdown: worst first, small enough, and no markup, link, mention or HTML from the input."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfglint.report.markdown import MOST_BYTES, render_markdown
from cfglint.report.markdown_text import code, escaped
from tests.formats.material import HOSTILE, RUNS, context, example, hostile, run_of


def test_errors_stand_before_warnings_of_every_file() -> None:
    text = render_markdown(RUNS["examples"](), context())
    places = [
        text.index(title) for title in ("## Errors", "## Warnings", "<summary>Notes", "<summary>Rules not judged", "## Files")
    ]
    assert places == sorted(places)
    assert text.rindex("**error**") < text.index("**warning**")
    assert "**This run fails**" in text


@pytest.mark.parametrize("count", [1, 40])
def test_it_is_small_enough_and_says_what_is_missing(count: int) -> None:
    run = run_of(*[example("sickle")._replace(file=f"craft-{n}.dump") for n in range(count)])
    text = render_markdown(run, context())
    assert len(text.encode()) <= MOST_BYTES
    errors = sum(file.count("error") for file in run.files)
    shown = text.count("- **error**")
    assert f"## Errors: {errors}" in text
    assert shown == errors or f"*{errors - shown} of {errors} left out here" in text
    assert (count == 1) == (shown == errors)


def test_the_input_brings_no_html_mention_link_or_control() -> None:
    text = render_markdown(RUNS["hostile and refused, strict"](), context())
    outside_code = re.sub(r"(`+)(?!`).*?(?<!`)\1(?!`)", "", text)
    assert "script" in text
    assert set(re.findall(r"<[^>\n]*>", outside_code)) <= {"<details>", "</details>", "<summary>", "</summary>"}
    assert not re.search(r"@\w|(?<!\\)\]\(|#\d", outside_code)
    assert not set("\x1b\u202e\x00\ud800\ufffe\r") & set(text)


def test_waived_errors_are_listed_unfolded() -> None:
    text = render_markdown(run_of(hostile()), context())
    assert "## Waived: 1" in text and "waived by" in text


@given(st.text(max_size=60) | st.just(HOSTILE))
def test_escaped_text_begins_no_markup(text: str) -> None:
    shown = escaped(text)
    assert "\n" not in shown and "<" not in shown and ">" not in shown
    assert not re.search(r"(?<!\\)(?:\\\\)*[\[\]*`|~$]", re.sub(r"\\[^\\]", "", shown.replace("\\\\", "")))
    assert not re.search(r"[@#]\w|://|^[#+=-]|^\d{1,9}[.)]", shown)


@given(st.text(alphabet="a`|\\ \n<", max_size=30))
def test_code_holds_its_fence(text: str) -> None:
    shown = code(text, in_table=True)
    if shown:
        fence = re.match("`+", shown)
        assert fence is not None and shown.endswith(fence.group())
        runs = re.findall("`+", shown)
        assert runs[0] == runs[-1] and runs[0] not in runs[1:-1]
        assert not re.search(r"(?<!\\)\|", shown)
