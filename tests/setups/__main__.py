"""`python -m tests.setups` lists what the clean craft get; `--matrix` the faults, craft by craft."""

from __future__ import annotations

import sys
from collections import Counter

from cfglint.judge.judge import Judge
from cfglint.pack.load import shipped_pack
from tests.setups.craft import all_craft, findings
from tests.setups.faults import FAULTS
from tests.setups.matrix import CAUGHT, EXTRA, MISSED, NOT_APPLICABLE, cells

MARKS = {CAUGHT: "+", NOT_APPLICABLE: ".", MISSED: "M", EXTRA: "x"}


def list_findings(judge: Judge) -> None:
    """Every clean craft with its findings; notes are no fault."""
    for craft in all_craft():
        print(f"{craft.id}: {craft.name}, {craft.airframe}, {craft.texts['craft.mass']}, {len(craft.texts)} settings and facts")
        for verdict in findings(judge, craft):
            expected = " (expected)" if craft.expected.get(verdict.rule) == verdict.level else ""
            print(f"  {verdict.level}{expected}: {verdict.rule}: {verdict.message}")


def list_matrix(judge: Judge) -> int:
    """Faults by craft with the totals, then whatever was missed or found without cause; returns how many those are."""
    crafts = all_craft()
    for number, craft in enumerate(crafts, 1):
        print(f"{number:3} {craft.id}")
    totals: Counter[str] = Counter()
    wrong = []
    row = ""
    for cell in cells(judge, crafts, FAULTS):
        totals[cell.outcome] += 1
        row += MARKS[cell.outcome]
        wrong += [cell.told()] if cell.outcome in (MISSED, EXTRA) else []
        if cell.craft is crafts[-1]:
            print(f"{row} {cell.fault.name}")
            row = ""
    shown = ", ".join(f"{mark} {name}: {totals[name]}" for name, mark in MARKS.items())
    print(f"{len(FAULTS)} faults, {len(crafts)} craft; {shown}")
    print("\n".join(wrong))
    return len(wrong)


if __name__ == "__main__":
    the_judge = Judge(shipped_pack())
    if "--matrix" in sys.argv[1:]:
        sys.exit(1 if list_matrix(the_judge) else 0)
    list_findings(the_judge)
