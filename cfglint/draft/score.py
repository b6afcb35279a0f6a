"""One key and one setting: all evidence together as one number, the logarithm of the odds that they belong together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from cfglint.draft.amounts import OFF_TEXTS, Amount, Habits, Scales
from cfglint.draft.codes import Wording
from cfglint.draft.keys import Key
from cfglint.draft.names import DECOY, Likeness, family_of, topic_of
from cfglint.setup.catalogue import Definition

# Found by a random search for the least surprise (mean logarithm of the right answer's chance) on the first seven controllers of
# tests/controllers, then set by hand between the values before and after, so that near misses are not proposed.
_START, _ASKED, _EXPLAINED, _MASS, _OPPOSED = -16.0, 10.0, 11.0, 0.2, -4.0
_WORD_FOR_NUMBER, _NUMBER_FOR_TEXT, _LIST = -6.0, -3.0, -6.0
_MOST_MASS = 9.0


class Candidate(NamedTuple):
    """A setting that a key may be, with the units and codes that follow; `odds` is the logarithm of the odds by itself."""

    setting: str
    odds: float
    likeness: Likeness
    units: tuple[Amount, ...] = ()
    unit_told: bool = False
    codes: tuple[tuple[str, str], ...] = ()
    open: tuple[str, ...] = ()
    fit: float = 0.0


class Judging:
    """What all candidates of a draft share."""

    def __init__(self, scales: Scales, wording: Wording) -> None:
        self.scales, self.wording = scales, wording

    def candidate(
        self, key: Key, likeness: Likeness, definition: Definition | None, habits: Habits, company: Mapping[str, float]
    ) -> Candidate:
        """The evidence that a key is a setting; `definition` is None for a near miss; `company`: what neighbours say."""
        lexicon = self.scales.lexicon
        id = likeness.setting
        name = _name_odds(likeness) + company.get(topic_of(id, lexicon), company.get("", 0.0))
        name += lexicon.prior.get(id, lexicon.prior.get(family_of(id), 0.0))
        if definition is None or likeness.setting == DECOY:
            return Candidate(DECOY, name + 1.0, likeness)
        if definition.is_number:
            return self._number(key, likeness, definition, habits, name)
        if definition.kind in ("choice", "switch"):
            return self._choice(key, likeness, definition, name)
        fit = 0.0 if key.kind in ("word", "text") else _NUMBER_FOR_TEXT
        return Candidate(definition.id, name + fit, likeness, fit=fit)

    def _number(self, key: Key, likeness: Likeness, definition: Definition, habits: Habits, name: float) -> Candidate:
        only_off = definition.off is not None and all(v.strip().lower() in OFF_TEXTS for v in key.values)
        if key.kind in ("switch", "word", "text", "list", "none", "mixed") and not only_off:
            return Candidate(definition.id, name + _WORD_FOR_NUMBER, likeness, fit=_WORD_FOR_NUMBER)
        found = self.scales.amounts(key, definition, habits)
        return Candidate(definition.id, name + found.evidence, likeness, found.units, found.told, fit=found.evidence)

    def _choice(self, key: Key, likeness: Likeness, definition: Definition, name: float) -> Candidate:
        if key.kind == "list":
            return Candidate(definition.id, name + _LIST, likeness, fit=_LIST)
        found = self.wording.codes(key, definition)
        codes = tuple(sorted(found.codes.items()))
        return Candidate(definition.id, name + found.evidence, likeness, (), False, codes, found.open, found.evidence)


def _name_odds(found: Likeness) -> float:
    mass = min(found.mass, _MOST_MASS)
    return _START + _ASKED * found.asked + _EXPLAINED * found.explained + _MASS * mass + _OPPOSED * found.opposed
