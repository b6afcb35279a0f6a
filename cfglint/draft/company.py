"""What the keys around a key say: settings of one topic stand together, and so do things that are no settings of flight."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from cfglint.draft.contest import Standing
from cfglint.draft.keys import Key
from cfglint.draft.lexicon import Lexicon
from cfglint.draft.names import topic_of

_WINDOW = 3
_FOR, _AGAINST, _NOTHING = 1.15, 0.55, 1.8
_ENOUGH = 4.0
_NEARBY = 0.5


class _Member(NamedTuple):
    """What one key is thought to be: shares by topic; the rest of 1 is nothing."""

    topics: Mapping[str, float]


def company_of(keys: Sequence[Key], standings: Sequence[Sequence[Standing]], lexicon: Lexicon) -> list[dict[str, float]]:
    """For each key, by topic, what its company adds to the logarithm of the odds; "" holds for all other topics.

    Company are the keys of the same section, or those that begin with the same word, and the keys just before and after.
    """
    members = [_member(row, lexicon) for row in standings]
    groups: dict[str, list[int]] = {}
    for index, key in enumerate(keys):
        groups.setdefault(_group(key), []).append(index)
    totals = {name: _sum([members[i] for i in group]) for name, group in groups.items()}
    found = []
    for index, key in enumerate(keys):
        name = _group(key)
        size = len(groups[name]) - 1
        found.append(_voice(totals[name], members[index], size) if size >= 2 else _nearby(members, index))
    return found


def _nearby(members: Sequence[_Member], index: int) -> dict[str, float]:
    around = [members[i] for i in range(max(0, index - _WINDOW), min(len(members), index + _WINDOW + 1))]
    voice = _voice(_sum(around), members[index], len(around) - 1)
    return {topic: _NEARBY * weight for topic, weight in voice.items()}


def _voice(total: Mapping[str, float], own: _Member, size: int) -> dict[str, float]:
    others = {topic: max(0.0, weight - own.topics.get(topic, 0.0)) for topic, weight in total.items()}
    known = sum(others.values())
    if size <= 0:
        return {}
    trust = min(1.0, size / _ENOUGH)
    nothing = -_NOTHING * trust * max(0.0, 1.0 - known / size)
    if known < 0.5:
        return {"": nothing}
    surely = min(1.0, known / 2.0)
    voice = {
        topic: nothing + surely * (_FOR * weight / known - _AGAINST * (1 - weight / known)) for topic, weight in others.items()
    }
    return {**voice, "": nothing - surely * _AGAINST}


def _member(row: Sequence[Standing], lexicon: Lexicon) -> _Member:
    topics: dict[str, float] = {}
    for standing in row:
        if standing.chance > 0.05:
            topic = topic_of(standing.candidate.setting, lexicon)
            topics[topic] = topics.get(topic, 0.0) + standing.chance
    return _Member(topics)


def _sum(members: Sequence[_Member]) -> dict[str, float]:
    total: dict[str, float] = {}
    for member in members:
        for topic, weight in member.topics.items():
            total[topic] = total.get(topic, 0.0) + weight
    return total


def _group(key: Key) -> str:
    if key.section:
        return "section " + key.name.rpartition("/")[0]
    return "word " + key.pieces[0] if len(key.pieces) > 1 else ""
