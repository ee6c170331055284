"""What the record knows of one machine."""

from __future__ import annotations

from datetime import date

import pytest

from helpers_walkround import PADS, SEAL, TREAD, corrected, machine, walkround
from witnessmark.errors import StoreError
from witnessmark.record import Store
from witnessmark.review import MACHINE
from witnessmark.types import Grade, Machine, Odometer, Walkround

from .helpers import decide

VIN, OTHER = "OWNV1N00000000001", "OWNV1N00000000002"


def visit(
    store: Store,
    on: date,
    identity: Machine,
    *items: str,
    depth: float | None = None,
) -> Walkround:
    """A walkround of that day, its identity as given, the items confirmed and the tread corrected."""
    sample = walkround(f"{on}-{identity.registration}-{identity.vin}", identity, on)
    store.ingest(sample)
    decide(store, sample, MACHINE)
    for item in items:
        decide(store, sample, item)
    if depth is not None:
        decide(store, sample, "r-tread", "correct", becomes=corrected(TREAD, value=depth))
    return sample


def test_only_confirmed_items_of_confirmed_machines_are_in_it_oldest_first(store: Store) -> None:
    later = visit(store, date(2026, 5, 1), machine(miles=15000), "r-slack", "f-horn", "a-chain")
    earlier = visit(store, date(2025, 5, 1), machine(miles=9000), "r-tread")
    unnamed = walkround("unnamed.wav")
    store.ingest(unnamed)
    decide(store, unnamed, "f-pads")

    history = store.history("Q24 LOT")
    assert [each.walkround for each in history.visits] == [earlier.id, later.id]
    assert [each.machine.odometer for each in history.visits] == [
        Odometer(value=9000, unit="mi"),
        Odometer(value=15000, unit="mi"),
    ]
    assert [item.key for _, item in history.readings] == ["r-tread", "r-slack"]
    assert [item.key for _, item in history.findings] == ["f-horn"]
    assert [item.key for _, item in history.actions] == ["a-chain"]
    assert {entered.decision.who for each in history.visits for entered in each.entered} == {"Ada Foreman"}


@pytest.mark.parametrize("asked", ["Q24 LOT", "q24lot", " q2 4l ot ", "Q24-LOT"])
def test_case_spaces_and_hyphens_do_not_matter(store: Store, asked: str) -> None:
    visit(store, date(2026, 5, 1), machine())
    assert len(store.history(asked).visits) == 1


@pytest.mark.parametrize("asked", ["Q99 LOT", "", " ", "%"])
def test_an_unknown_machine_has_no_history(store: Store, asked: str) -> None:
    visit(store, date(2026, 5, 1), machine())
    assert store.history(asked).visits == ()
    assert store.past_readings(asked, date(2030, 1, 1)) == ()


def test_items_are_in_the_order_of_the_talk_with_added_ones_last(store: Store) -> None:
    sample = visit(store, date(2026, 5, 1), machine(), "f-horn", "f-seal")
    decide(store, sample, "added-1", "add", becomes=corrected(PADS, key="added-1", side="left", evidence=()))
    decide(store, sample, "r-tread")
    (only,) = store.history("Q24 LOT").visits
    assert [entered.item.key for entered in only.entered] == ["r-tread", "f-seal", "f-horn", "added-1"]
    assert [bool(entered.drafted) for entered in only.entered] == [True, True, True, False]
    assert only.entered[1].heard == SEAL.evidence[0].text
    assert only.entered[3].heard == ""


def test_a_verdict_stays_with_the_value_it_judged(store: Store) -> None:
    visit(store, date(2026, 5, 1), machine(), "r-tread")
    visit(store, date(2026, 6, 1), machine(), depth=2.4)
    judged, corrected_later = store.past_readings("Q24 LOT", date(2026, 7, 1))
    assert judged.reading.value == 1.2
    assert judged.verdict
    assert judged.verdict.grade is Grade.DANGEROUS
    assert corrected_later.reading.value == 2.4
    assert corrected_later.verdict is None


def test_past_readings_are_of_earlier_days_only(store: Store) -> None:
    for day in (1, 2, 3):
        visit(store, date(2026, 5, day), machine(miles=14000 + day), "r-tread")
    past = store.past_readings("Q24 LOT", date(2026, 5, 3))
    assert [(each.on.day, each.odometer and each.odometer.value) for each in past] == [(1, 14001), (2, 14002)]


def test_a_vin_joins_what_was_confirmed_under_several_registrations(store: Store) -> None:
    visit(store, date(2024, 1, 1), machine("Q1 OWN"))
    visit(store, date(2025, 1, 1), machine("Q1 OWN", VIN))
    visit(store, date(2026, 1, 1), machine("Q2 OWN", VIN))
    visit(store, date(2026, 2, 1), machine(None, VIN))
    for asked in ("Q1 OWN", "Q2 OWN", VIN.lower()):
        assert [each.on.year for each in store.history(asked).visits] == [2024, 2025, 2026, 2026]


def test_a_registration_that_moved_to_another_machine_is_not_guessed_about(store: Store) -> None:
    visit(store, date(2023, 1, 1), machine("Q1 OWN"))  # of which of the two machines, nobody said
    visit(store, date(2024, 1, 1), machine("Q1 OWN", VIN))
    visit(store, date(2025, 1, 1), machine("Q1 OWN", OTHER))
    with pytest.raises(StoreError, match="2 machines") as caught:
        store.history("Q1 OWN")
    assert VIN in str(caught.value)
    assert caught.value.remedy == "Ask by VIN."
    with pytest.raises(StoreError, match="2 machines"):
        store.past_readings("Q1 OWN", date(2030, 1, 1))
    assert [each.on.year for each in store.history(VIN).visits] == [2024]
    assert [each.on.year for each in store.history(OTHER).visits] == [2025]


def test_a_corrected_identity_moves_the_visit(store: Store) -> None:
    sample = visit(store, date(2026, 5, 1), machine(), "f-horn")
    decide(store, sample, MACHINE, "correct", becomes=machine("Q25 LOT"))
    assert store.history("Q24 LOT").visits == ()
    assert len(store.history("Q25 LOT").findings) == 1
