"""The ranges of a member that has several, such as a flight mode on two switches: which was written first says nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfglint.quantity.value import Value
from cfglint.setup.setting import Record, Setting, Setup

Slot = tuple[str, ...]


def aligned(old: Setup, new: Setup) -> Setup:
    """The new setup with the ranges of each member in the places where the old one has the same ranges.

    What is in neither order fills the places that are left, in its own order. Nothing but the numbering of ranges changes.
    """
    renamed: dict[str, str] = {}
    for slots in _families(new):
        before = [_values(slot, old) for slot in slots]
        after = [_values(slot, new) for slot in slots]
        for source, target in enumerate(_places(before, after)):
            renamed |= dict(zip(slots[source], slots[target], strict=True))
    moved = {target: new.settings[source]._replace(id=target) for source, target in renamed.items() if source != target}
    return new._replace(settings=_in_order(new.settings, moved), record=_renamed(new, renamed)) if moved else new


def _families(setup: Setup) -> Iterator[list[Slot]]:
    """For each member that may have several ranges, the ids of each range."""
    members: dict[str, dict[str, list[str]]] = {}
    for id in setup.catalogue:
        stem, at, rest = id.partition("@")
        if at:
            number, _, name = rest.partition(".")
            members.setdefault(stem, {}).setdefault(number, []).append(name)
    for stem, ranges in members.items():
        names = next(iter(ranges.values()))
        if all(f"{stem}.{name}" in setup.settings for name in names):
            yield [
                tuple(f"{stem}.{n}" for n in names),
                *(tuple(f"{stem}@{k}.{n}" for n in ranges[k]) for k in sorted(ranges)),
            ]


def _values(slot: Slot, setup: Setup) -> tuple[Value, ...]:
    return tuple(setup.settings[id].value for id in slot)


def _places(before: list[tuple[Value, ...]], after: list[tuple[Value, ...]]) -> list[int]:
    """For each range now, the place it takes: that of the same range before, else the first one left."""
    free = list(range(len(before)))
    taken: dict[int, int] = {}
    for index, values in enumerate(after):
        same = next((place for place in free if before[place] == values), None)
        if same is not None:
            taken[index] = same
            free.remove(same)
    return [taken[index] if index in taken else free.pop(0) for index in range(len(after))]


def _in_order(settings: Mapping[str, Setting], moved: Mapping[str, Setting]) -> dict[str, Setting]:
    return {id: moved.get(id, setting) for id, setting in settings.items()}


def _renamed(setup: Setup, renamed: Mapping[str, str]) -> Record:
    record = setup.record
    return record._replace(
        proven=frozenset(renamed.get(id, id) for id in record.proven),
        measured={renamed.get(id, id): value for id, value in record.measured.items()},
    )
