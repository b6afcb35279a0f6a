"""`cfglint settings`: the settings and facts the tool understands."""

from __future__ import annotations

import sys
from typing import Any

from cfglint.pack.load import shipped_pack
from cfglint.report.styled import encodable
from cfglint.setup.catalogue import Definition
from cfglint.setup.convert import expected_of


def list_settings(parsed: Any) -> int:
    """List definitions, filtered by word, facts and airframe."""
    rows = [d for d in shipped_pack().catalogue.values() if _wanted(d, parsed)]
    for definition in rows:
        text = f"{definition.id:<36} {expected_of(definition)}\n    {definition.meaning}\n"
        sys.stdout.write(encodable(text, sys.stdout.encoding or "ascii"))
    return 0 if rows else 1


def _wanted(definition: Definition, parsed: Any) -> bool:
    if "@" in definition.id or (parsed.facts and not definition.is_fact):
        return False
    if parsed.airframe and parsed.airframe not in definition.airframes:
        return False
    word = (parsed.word or "").lower()
    return word in definition.id or word in definition.meaning.lower()
