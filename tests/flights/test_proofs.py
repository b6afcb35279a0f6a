"""When a proof holds, which edit makes it stale, and what un-proves what."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from cfglint.flights.card import AIR_DENSITY, Card
from cfglint.flights.flight_record import FlightRecord, load_flights
from cfglint.flights.flown import with_flights
from cfglint.flights.proofs import FLOWN, STALE, Covered, proofs
from cfglint.flights.recorded_value import is_same, is_stated, recorded_text, recorded_value
from cfglint.pack.load import shipped_pack
from cfglint.quantity.value import SET, Value, word_value
from cfglint.setup.catalogue import Definition
from cfglint.setup.setting import Setup
from tests.flights.craft import QUAD, QUAD_FACTS, example, quad, record, states, work
from tests.properties.setups import exact_values, partial_values

PACK = shipped_pack()
DEFINITIONS = [d for d in PACK.catalogue.values() if d.kind != "date"]


@given(st.sampled_from(DEFINITIONS).flatmap(lambda d: st.tuples(st.just(d), exact_values(d) | partial_values(d))))
def test_a_recorded_value_reads_back_as_the_same_value(pair: tuple[Definition, Value]) -> None:
    definition, value = pair
    if definition.kind == "count" and not (value.low.is_integer() and value.high.is_integer()):
        return
    text = recorded_text(definition, value)
    if not text:
        assert not is_stated(value)
        return
    back, wrong = recorded_value(text, definition)
    assert not wrong
    assert back is not None and is_same("loiter.radius", back, value)


def changed_value(definition: Definition, value: Value) -> Value:
    """Another value, farther off than any tolerance."""
    if definition.words or value.words:
        other = next(word for word in (*definition.words, "another") if frozenset((word,)) != value.words)
        return word_value(frozenset((other,)))
    ends = (definition.low, definition.high, (definition.low + definition.high) / 2)
    number = max(ends, key=lambda end: abs(end - value.low))
    return Value(SET, number, number, frozenset(), True)


def with_value(setup: Setup, id: str, value: Value) -> Setup:
    setting = setup.settings[id]._replace(value=value)
    return setup._replace(settings={**setup.settings, id: setting})


def resting_on(cards: dict[str, Card], changed: set[str]) -> set[str]:
    found = set(changed)
    for id, card in cards.items():
        if found & set(card.after):
            found.add(id)
    return found


def finished() -> tuple[dict[str, Card], FlightRecord, Setup]:
    craft = example("washboard", "oxlip")
    record = load_flights(craft.record, craft.all_cards, craft.pack)
    return dict(craft.cards), record, craft.stated


def test_an_edit_makes_stale_what_covers_it_and_what_rests_on_that_and_nothing_else() -> None:
    cards, flown, setup = finished()
    tried = 0
    for id in {id for card in cards.values() for id in card.proves} - {AIR_DENSITY}:
        edited = with_value(setup, id, changed_value(PACK.catalogue[id], setup.settings[id].value))
        found = proofs(cards, flown, Covered(edited, PACK))
        stale = {card for card, status in found.items() if status.state == STALE}
        assert stale == resting_on(cards, {card.id for card in cards.values() if id in card.proves}), id
        named = {change.id for status in found.values() for change in status.changes}
        assert named == {id}
        tried += 1
    assert tried > 100


def test_what_no_proof_covers_leaves_every_proof_alone() -> None:
    cards, flown, setup = finished()
    covered = {id for card in cards.values() for id in card.proves}
    for id in PACK.catalogue:
        if id in covered or id.startswith("site."):
            continue
        edited = with_value(setup, id, changed_value(PACK.catalogue[id], setup.settings[id].value))
        assert {s.state for s in proofs(cards, flown, Covered(edited, PACK)).values()} == {FLOWN}, id


def test_undoing_an_edit_restores_the_proofs(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    record(dump, "bench-orientation")
    record(dump, "bench-radio")
    record(dump, "bench-motors")
    before = states(work(dump))
    quad(tmp_path, QUAD.replace("mounting.yaw = 0", "mounting.yaw = 90"))
    edited = states(work(dump))
    assert edited["bench-orientation"] == edited["bench-motors"] == STALE
    assert edited["bench-radio"] == FLOWN
    quad(tmp_path)
    assert states(work(dump)) == before


def test_the_same_value_in_another_unit_changes_nothing(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    record(dump, "bench-orientation")
    record(dump, "bench-balance", "--seen", "craft.barometer_shielded=yes")
    quad(tmp_path, QUAD, QUAD_FACTS.replace("600 g", "0.6 kg"))
    assert states(work(dump))["bench-balance"] == FLOWN


def test_a_mass_may_move_by_a_twentieth_and_air_by_a_tenth(tmp_path: Path) -> None:
    site = '[site]\nelevation = "200 m"\ntemperature = "15 degC"\n'
    dump = quad(tmp_path, QUAD, QUAD_FACTS + site)
    record(dump, "first-hover", "--despite", "--measured", "hover.throttle=1500 us")
    record(dump, "bench-balance", "--seen", "craft.barometer_shielded=yes")

    def balance(facts: str) -> str:
        quad(tmp_path, QUAD, facts + site)
        return states(work(dump))["bench-balance"]

    assert balance(QUAD_FACTS.replace("600 g", "629 g")) == FLOWN
    assert balance(QUAD_FACTS.replace("600 g", "631 g")) == STALE
    assert balance(QUAD_FACTS.replace("600 g", "569 g")) == STALE
    craft = work(quad(tmp_path, QUAD, QUAD_FACTS + site))
    hover = craft.cards["first-hover"]._replace(after=())
    for elevation, changed in (("900 m", False), ("1400 m", True)):
        other = work(quad(tmp_path, QUAD, QUAD_FACTS + site.replace("200 m", elevation)))
        flown = load_flights(other.record, other.all_cards, other.pack)
        status = proofs({"first-hover": hover}, flown, Covered(other.stated, other.pack))["first-hover"]
        assert [change.id for change in status.changes] == ([AIR_DENSITY] if changed else [])


def test_a_flight_that_failed_takes_down_what_rests_on_it(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    for card in ("bench-orientation", "bench-radio", "bench-motors"):
        record(dump, card)
    record(dump, "bench-radio", "--aborted", "the throttle jumped", "--date", "2026-06-29")
    found = states(work(dump))
    assert found["bench-radio"] == "failed"
    assert found["bench-motors"] == STALE
    record(dump, "bench-radio", "--date", "2026-06-29")
    assert states(work(dump))["bench-motors"] == STALE
    record(dump, "bench-motors", "--date", "2026-06-29")
    assert states(work(dump))["bench-motors"] == FLOWN


def test_a_card_flown_again_with_another_value_does_not_carry_the_old_flights(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    for card in ("bench-orientation", "bench-radio", "bench-motors"):
        record(dump, card)
    quad(tmp_path, QUAD.replace("mounting.yaw = 0", "mounting.yaw = 90"))
    record(dump, "bench-orientation", "--date", "2026-06-29")
    rungs = {rung.card.id: rung for rung in work(dump).rungs()}
    assert rungs["bench-orientation"].status.state == FLOWN
    assert rungs["bench-motors"].status.because == ("bench-orientation, which was only flown after it",)


def test_a_card_that_wants_repetition_counts_its_passes() -> None:
    cards, flown, setup = finished()
    fewer = flown._replace(flights=tuple(f for f in flown.flights if f.card != "repetition" or f.date < "2026-05-20"))
    found = proofs(cards, fewer, Covered(setup, PACK))
    assert found["repetition"].state in ("begun", "open")
    assert found["fence"].state == STALE


def test_a_measured_value_written_back_keeps_the_proof_and_is_proven(tmp_path: Path) -> None:
    dump = quad(tmp_path)
    for card, *more in _UP_TO_HOVER:
        record(dump, card, *more, "--despite")
    record(dump, "first-hover", "--despite", "--measured", "hover.throttle=1585 us")
    setup, flown = with_flights(work(dump).stated, dump, PACK)
    assert flown.statuses["first-hover"].state == FLOWN
    assert "hover.throttle" not in setup.record.proven
    assert setup.record.measured["hover.throttle"].low == 1585
    quad(tmp_path, QUAD.replace("1500 us", "1585 us"))
    setup, flown = with_flights(work(dump).stated, dump, PACK)
    assert flown.statuses["first-hover"].state == FLOWN
    assert "hover.throttle" in setup.record.proven
    quad(tmp_path, QUAD.replace("1500 us", "1620 us"))
    setup, flown = with_flights(work(dump).stated, dump, PACK)
    assert flown.statuses["first-hover"].state == STALE
    assert not setup.record.measured


_UP_TO_HOVER = (
    ("bench-orientation",), ("bench-radio",), ("bench-motors",), ("bench-voltage",),
    ("bench-balance", "--seen", "craft.barometer_shielded=yes"),
    ("bench-link-loss", "--seen", "craft.receiver_loss_output=no_pulses"),
    ("range-check",),
)  # fmt: skip
