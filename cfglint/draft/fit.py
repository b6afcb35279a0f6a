"""How well a name map fits a dump: a map of another controller, or of another version, is recognised."""

from __future__ import annotations

from typing import NamedTuple

from cfglint.setup.catalogue import Catalogue
from cfglint.setup.convert import convert
from cfglint.setup.entries import entries_of
from cfglint.setup.name_map import NameMap
from cfglint.text.dump import Dump

_FEW_KEYS, _MANY_WRONG, _ENOUGH = 0.25, 0.2, 4
_MOST_NAMED = 5


class Fit(NamedTuple):
    """`present` of the map's `mapped` keys are in the dump; of the `read` values `wrong` are impossible in the map's terms.

    `examples` names some of the wrong ones. Choices without codes do not
    count: they are still to be asked for.
    """

    mapped: int
    present: int
    read: int
    wrong: int
    full: bool
    examples: tuple[str, ...] = ()

    @property
    def is_bad(self) -> bool:
        """Whether the map seems to be another controller's."""
        few = self.present < _FEW_KEYS * self.mapped and (self.full or self.present < _ENOUGH)
        many_wrong = self.wrong > _MANY_WRONG * self.read and self.wrong >= 2
        return self.mapped > 0 and (self.present == 0 or few or many_wrong)

    def reasons(self) -> list[str]:
        """What is wrong with the fit, one statement a line; empty where it is good."""
        if not self.is_bad:
            return []
        said = [f"{self.present} of the map's {self.mapped} keys are in this dump"]
        if self.wrong:
            said.append(f"{self.wrong} of {self.read} values are impossible as the map reads them: {', '.join(self.examples)}")
        return said


def fit(name_map: NameMap, dump: Dump, catalogue: Catalogue) -> Fit:
    """How well a map fits a dump. Never raises on content; the work is linear in the dump."""
    entries = entries_of(dump, name_map, catalogue)
    keys: set[str] = set()
    read = 0
    wrong: list[str] = []
    for entry in entries.found:
        if entry.rule is None:
            continue
        keys.add(entry.rule.key)
        definition = catalogue.get(entry.setting)
        if definition is None or (not definition.is_number and not entry.rule.reading.codes):
            continue
        read += 1
        if convert(entry.raw, definition, entry.rule.reading).wrong:
            wrong.append(entry.key)
    mapped = len({rule.key for rule in name_map.keys.values()})
    present = len(
        keys & set(name_map.keys) | {k.rpartition("/")[2] for k in keys} & {k.rpartition("/")[2] for k in name_map.keys}
    )
    return Fit(mapped, min(present, mapped), read, len(wrong), name_map.full, tuple(key[:60] for key in wrong[:_MOST_NAMED]))
