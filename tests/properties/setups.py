"""Strategies for setups: what a setting may be, values inside it, and dumps of catalogue ids."""

from __future__ import annotations

from hypothesis import strategies as st

from cfglint.quantity.range import Range
from cfglint.quantity.value import OFF, SET, UNSET, Value, number_value, word_value
from cfglint.setup.catalogue import Definition


def exact_values(definition: Definition) -> st.SearchStrategy[Value]:
    """One exact value within bounds; for a setting perhaps off or unset."""
    if definition.is_number:
        low, high = definition.low, definition.high
        whole = st.integers(int(low), int(high)).map(float)
        numbers = (
            whole
            if definition.kind == "count"
            else st.floats(low, high, allow_nan=False) | whole.filter(lambda x: low <= x <= high)
        )
        exact = numbers.filter(lambda x: x != definition.off).map(lambda x: number_value(Range(x, x)))
        other = [st.just(definition.unset())] if not definition.is_fact else []
        other += [st.just(definition.switched_off())] if definition.off is not None else []
        return st.one_of(exact, exact, exact, *other)
    words = [*definition.words] if definition.words else ["text"]
    if not definition.is_fact:
        words.append("unset")
    return st.sampled_from(words).map(lambda word: word_value(frozenset((word,))))


def partial_values(definition: Definition) -> st.SearchStrategy[Value]:
    """What may be known of a setting: nothing, a range or some words, or one exact value."""
    unseen = st.just(definition.unseen())
    if definition.is_number:
        ends = st.tuples(st.floats(definition.low, definition.high), st.floats(definition.low, definition.high))
        ranged = ends.map(lambda e: number_value(Range(min(e), max(e))))
        return st.one_of(unseen, ranged, exact_values(definition))
    words = sorted(definition.unseen().words)
    some = st.sets(st.sampled_from(words), min_size=1).map(lambda chosen: word_value(frozenset(chosen)))
    return st.one_of(unseen, some, exact_values(definition)) if words else unseen


def narrowed(value: Value, draw: st.DrawFn, whole: bool = False) -> Value:
    """A value that the given one may be: a word of its words, a state of its states, a point of its range."""
    if value.words:
        return word_value(frozenset((draw(st.sampled_from(sorted(value.words))),)))
    states = [state for state in (SET, OFF, UNSET) if value.presence & state]
    state = draw(st.sampled_from(states))
    if state != SET:
        return value._replace(presence=state, known=True)
    number = draw(st.floats(value.low, value.high))
    if whole:
        number = min(value.high, max(value.low, float(round(number))))
    return value._replace(presence=SET, low=number, high=number, known=True)
