"""Text made safe to show: nothing that steers a terminal or reorders a line gets through raw."""

from __future__ import annotations

import re

_HIDDEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180e\u200b-\u200f\u2028-\u202e"
    "\u2060-\u206f\u3164\ud800-\udfff\ufe00-\ufe0e\ufeff\uffa0\ufff0-\ufffb\ufffe\uffff\U000e0000-\U000e0fff]"
)
_NOT_PLAIN_ASCII = re.compile(r"[^\x20-\x7e]")


def visible(text: str, ascii_only: bool = False) -> str:
    """Replace what cannot be seen by something that can.

    C0 controls and DEL become their control pictures (U+2400 and on); other controls, marks of writing
    direction, invisible characters, line and paragraph separators and lone surrogates become `\\u{202e}`.
    With `ascii_only` everything outside printable ASCII becomes such an escape.
    """
    if ascii_only:
        return _NOT_PLAIN_ASCII.sub(_escaped, text)
    return _HIDDEN.sub(_pictured, text)


def _pictured(match: re.Match[str]) -> str:
    code = ord(match.group())
    if code < 0x20:
        return chr(0x2400 + code)
    return "\u2421" if code == 0x7F else _escaped(match)


def _escaped(match: re.Match[str]) -> str:
    return f"\\u{{{ord(match.group()):x}}}"
