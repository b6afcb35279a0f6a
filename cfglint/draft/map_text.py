"""A draft as a name map file that people read, correct and confirm."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping

from cfglint.draft.draft import DOUBTFUL, PROPOSED, Draft, Guess, Proposal
from cfglint.text.visible import visible

_HEAD = """# A drafted name map. Every line is a guess until its "confirmed = false" is taken away or made true;
# what rests on a guess is shown as resting on one. cfglint draft --ask goes through them one by one.
"""
_LONGEST_SHOWN = 120
_MOST_LISTED = 400
_LISTED = re.compile(r"[\x00-\x1f\x7f]")


def map_text(draft: Draft, controller: str) -> str:
    """The draft as TOML in the format of name maps; chances and evidence are comments."""
    lines = [_HEAD, f"controller = {toml_text(controller)}", 'dump = "changes-only"', ""]
    lines += _layout(draft.layout)
    for proposal in draft.binned(PROPOSED):
        lines += _proposed(proposal)
    doubtful = draft.binned(DOUBTFUL)
    if doubtful:
        lines += ["# Doubtful: the best candidates of each; take one out of the comment to use it.", ""]
    for proposal in doubtful:
        lines += _doubtful(proposal)
    lines += _rest(draft)
    return "\n".join(lines) + "\n"


def key_table(key: str, guess: Guess, confirmed: bool = False) -> list[str]:
    """The lines of one key's table."""
    lines = [f"[key.{toml_text(key)}]", f"setting = {toml_text(guess.setting)}"]
    if guess.unit is not None:
        lines.append(f"unit = {toml_text(guess.unit)}")
    if guess.codes:
        inside = ", ".join(f"{toml_text(raw)} = {toml_text(word)}" for raw, word in guess.codes.items())
        lines.append(f"codes = {{ {inside} }}")
    lines.append(f"confirmed = {'true' if confirmed else 'false'}")
    return lines


def toml_text(text: str) -> str:
    """A text as a basic string of TOML, whatever it holds."""
    encoded = json.dumps(text, ensure_ascii=True).replace("\x7f", "\\u007f")
    return re.sub(r"(?:\\u[dD][89a-fA-F][0-9a-fA-F]{2}){1,2}", _surrogates, encoded)


def shown_value(proposal: Proposal) -> str:
    """The values seen, short enough for one line."""
    return " | ".join(_comment(value)[:40] for value in proposal.key.values[:3])


def _proposed(proposal: Proposal) -> list[str]:
    best = proposal.guesses[0]
    about = [f"# {_sure(best.chance)} sure; seen: {shown_value(proposal)}"]
    about += [f"#   {_comment(said)}" for said in best.evidence]
    about += [f"#   else {g.setting}: {_sure(g.chance)}" for g in proposal.guesses[1:]]
    return [*about, *key_table(proposal.key.name, best), ""]


def _doubtful(proposal: Proposal) -> list[str]:
    lines = [f"# {_comment(proposal.key.name)}   seen: {shown_value(proposal)}"]
    for guess in proposal.guesses:
        unit = f" in {guess.unit}" if guess.unit else ""
        lines.append(f"#   {_sure(guess.chance)} {guess.setting}{unit}: {_comment('; '.join(guess.evidence))}")
    lines += ["# " + line for line in key_table(_comment(proposal.key.name), proposal.guesses[0])]
    return [*lines, ""]


def _rest(draft: Draft) -> list[str]:
    names = [p.key.name for p in draft.proposals if not p.guesses]
    lines = []
    if draft.rows:
        lines.append("# Lines of columns are not drafted; describe them in [[row]] tables. Lead words seen:")
        lines += [f"#   {_comment(lead)}: {count} lines" for lead, count in draft.rows[:50]]
    if names:
        lines.append(
            f"# Nothing was found for {len(names)} keys; those of no account may be named under [known] irrelevant = [...]:"
        )
        lines += [f"#   {_comment(name)}" for name in names[:_MOST_LISTED]]
    return lines


def _layout(layout: Mapping[str, object]) -> list[str]:
    if not layout:
        return []
    lines = ["[layout]"]
    for name, value in layout.items():
        if isinstance(value, str):
            lines.append(f"{name} = {toml_text(value)}")
        elif isinstance(value, bool):
            lines.append(f"{name} = {'true' if value else 'false'}")
        elif isinstance(value, int):
            lines.append(f"{name} = {value}")
        elif isinstance(value, Iterable):
            lines.append(f"{name} = [{', '.join(toml_text(str(word)) for word in value)}]")
    return [*lines, ""]


def _sure(chance: float) -> str:
    """A chance that never claims to be certain."""
    return "more than 99%" if chance > 0.99 else f"{chance:.0%}"


def _comment(text: str) -> str:
    """A text that stays inside one comment line."""
    return _LISTED.sub(" ", visible(text, ascii_only=False))[:_LONGEST_SHOWN]


def _surrogates(match: re.Match[str]) -> str:
    """Pairs of surrogates as one character in TOML's way; a lone one, which TOML can't hold, as the replacement character."""
    pair = match[0]
    if len(pair) == 12:
        high, low = int(pair[2:6], 16), int(pair[8:12], 16)
        if 0xD800 <= high < 0xDC00 <= low < 0xE000:
            return f"\\U{0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00):08x}"
    return "\\ufffd" * (len(pair) // 6)
