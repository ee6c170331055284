"""Lists over all machines."""

from __future__ import annotations

from datetime import date

from helpers_walkround import PADS, corrected, machine, walkround
from witnessmark.record import Store
from witnessmark.review import MACHINE
from witnessmark.types import Machine, Odometer

from .helpers import decide

VIN = "WTM5MRK24A7000042"


def visit(store: Store, name: str, on: date, identity: Machine, *items: str) -> None:
    sample = walkround(name, on=on)
    store.ingest(sample)
    decide(store, sample, MACHINE, "correct", becomes=identity)
    for item in items:
        decide(store, sample, item)


def test_a_machine_is_listed_once_with_what_is_known_last(store: Store) -> None:
    visit(store, "1.wav", date(2026, 3, 1), machine("Q24 LOT", miles=100))
    visit(store, "2.wav", date(2026, 5, 1), machine("Q24LOT", VIN, miles=900), "f-horn")
    visit(store, "3.wav", date(2026, 4, 1), machine("Q25 LOT", miles=50))
    visit(store, "4.wav", date(2026, 6, 1), Machine(vin=VIN))
    assert [row[:-1] for row in store.machines()] == [
        ("Q24LOT", VIN, date(2026, 6, 1), Odometer(value=900, unit="mi"), 3, 9 + 8 + 9),
        ("Q25 LOT", None, date(2026, 4, 1), Odometer(value=50, unit="mi"), 1, 9),
    ]


def test_a_decision_changes_its_machines_revision_and_no_others(store: Store) -> None:
    visit(store, "1.wav", date(2026, 3, 1), machine("Q24 LOT"))
    visit(store, "2.wav", date(2026, 2, 1), machine("Q25 LOT"))
    before = [row.revision for row in store.machines()]
    decide(store, walkround("1.wav", on=date(2026, 3, 1)), "f-horn")
    changed, other = (row.revision for row in store.machines())
    assert changed != before[0]
    assert other == before[1]


def test_a_registration_on_two_machines_joins_neither(store: Store) -> None:
    visit(store, "1.wav", date(2026, 3, 1), machine("Q24 LOT", VIN))
    visit(store, "2.wav", date(2026, 3, 2), machine("Q24 LOT", VIN[:-1] + "3"))
    visit(store, "3.wav", date(2026, 3, 3), machine("Q24 LOT"))
    assert [(row.vin, row.walkrounds) for row in store.machines()] == [
        (None, 1),
        (VIN[:-1] + "3", 1),
        (VIN, 1),
    ]


def test_an_unconfirmed_identity_is_no_machine_yet(store: Store) -> None:
    store.ingest(walkround())
    assert store.machines() == []


def test_the_most_found_are_confirmed_defects_that_are_there(store: Store) -> None:
    identity = machine()
    visit(store, "1.wav", date(2026, 3, 1), identity, "f-pads", "f-seal", "f-horn", "f-filter", "r-tread")
    visit(store, "2.wav", date(2026, 4, 1), identity, "f-pads")
    third = walkround("3.wav", on=date(2026, 5, 1))
    store.ingest(third)
    decide(store, third, "f-pads", "correct", becomes=corrected(PADS, state="absent"))
    decide(store, third, "f-seal", "reject")
    assert store.most_found() == [("brake_pads", "worn", 2), ("fork_seal", "leak", 1)]
    assert store.most_found(since=date(2026, 4, 1)) == [("brake_pads", "worn", 1)]
    assert store.most_found(until=date(2026, 3, 1))[1:] == [("fork_seal", "leak", 1)]
    assert store.most_found(since=date(2026, 6, 1)) == []
