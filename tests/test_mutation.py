"""The examples of the pack notice every change of a rule: thresholds, comparisons and conjuncts, but for those excused here."""

from __future__ import annotations

from typing import Any

from cfglint.pack.rule import Pack
from tests.mutation import survivors_of

WHOLE = "both numbers lie between the same two whole ones, and only whole numbers are compared with them"
ZERO = "zero stays zero"
SAME_LEVEL = "for this chemistry both limits are the same, and the part on the warning speaks at the same level"
SPARES_A_DOUBT = """
with thrust known the last part is risky wherever this one could be in doubt, for 1.1^2.2 = 1.23 is below its 1.3;
left out, the level would only be less certain
"""
NOTHING_FLIES = "with no speed set the highest of none is below every distance: clear either way, and the guard says so plainly"
SAME_WITH_FENCE = """
without a known range the next part asks the same with the fence alone and is never milder; left out,
the message would only be vaguer
"""

EXCUSED: dict[tuple[str, str], str] = {
    ("battery/cells-counted-one-short", "threshold miscount  x 0.9"): WHOLE,
    ("battery/cells-counted-one-short", "threshold sure_miscount  x 0.9"): WHOLE,
    ("battery/warns-from-the-start", "threshold action_ceiling li_ion x 1.1"): SAME_LEVEL,
    ("battery/warns-from-the-start", "threshold action_ceiling lifepo4 x 1.1"): SAME_LEVEL,
    ("lift/held-modes-cannot-climb", "part 1 when: without [not, [condition, thrust_is_known]]"): SPARES_A_DOUBT,
    (
        "link-loss/detected-late",
        "part 2 when: without [or, [state, cruise.speed, set], [state, waypoint.speed, set], [state, return.speed, se...",
    ): NOTHING_FLIES,
    ("return/not-enough-charge-to-get-home", "part 1 when: without [state, craft.link_range, known]"): SAME_WITH_FENCE,
    ("return/not-enough-charge-to-get-home", "part 3 when: without [state, craft.link_range, known]"): SAME_WITH_FENCE,
    ("return/refused-close-in", "threshold turns multirotor x 0.9"): ZERO,
    ("return/refused-close-in", "threshold turns multirotor x 1.1"): ZERO,
    ("sensors/home-stored-on-a-poor-fix", "threshold enough  x 0.9"): WHOLE,
    ("sensors/too-few-satellites", "threshold bare  x 0.9"): WHOLE,
    ("sensors/too-few-satellites", "threshold enough  x 0.9"): WHOLE,
    ("switches/mode-on-a-stick-channel", "threshold sticks  x 1.1"): WHOLE,
}


def test_only_excused_mutants_survive(pack: Pack, texts: dict[str, Any]) -> None:
    count, refused, survivors = survivors_of(pack, texts)
    print(f"{count - len(survivors)} of {count} mutants caught, {refused} refused before judging, {len(EXCUSED)} excused")
    assert {(mutant.rule, mutant.change) for mutant in survivors} == EXCUSED.keys()
