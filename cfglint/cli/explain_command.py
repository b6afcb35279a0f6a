"""`cfglint explain`: one rule with its reasons, its numbers and its authority."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import Any

from cfglint.judge.examples import example_verdict
from cfglint.judge.judge import Judge
from cfglint.judge.verdict import RISKY, Verdict
from cfglint.pack.load import folder_pack, shipped_pack, shipped_texts
from cfglint.pack.rule import Pack
from cfglint.report.explanation import render_explanation
from cfglint.report.styled import terminal_width, wants_colour, write_lines
from cfglint.text.nearest import nearest
from cfglint.text.problem import refuse


def explain(parsed: Any) -> int:
    """Explain a rule. Raises Refused for an id nobody knows."""
    pack, texts = folder_pack(parsed.rules) if parsed.rules else (shipped_pack(), shipped_texts())
    rule = parsed.rule.strip("/").removesuffix(".toml")
    if rule not in pack.rules:
        near = nearest(rule, pack.rules)
        remedy = f"did you mean '{near}'?" if near else "the rules are listed by: cfglint rules"
        raise refuse("explain", f"no rule is called '{rule}'", remedy)
    table = texts["rules"][rule]
    width = max(30, min(400, parsed.width or terminal_width(sys.stdout)))
    lines = render_explanation(rule, table, texts, _worked(pack, rule, table), width)
    write_lines(lines, sys.stdout, wants_colour(sys.stdout, parsed.color))
    return 0


def _worked(pack: Pack, rule: str, table: Mapping[str, Any]) -> tuple[Mapping[str, Any], Verdict] | None:
    example = next((e for e in table["example"] if e["expect"] == RISKY), None)
    if example is None:
        return None
    return example, example_verdict(Judge(pack), rule, {**example, "remedy": example.get("remedy") or ""})
