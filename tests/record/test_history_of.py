"""The machine of one walkround, where a registration was on several."""

from __future__ import annotations

from datetime import date

import pytest

from helpers_walkround import machine
from witnessmark.record import History, Store
from witnessmark.types import Machine, Odometer

from .test_history import OTHER, VIN, visit


def clocked(vin: str | None, value: float | None, unit: str = "km") -> Machine:
    clock = None if value is None else Odometer(value=value, unit=unit)
    return machine("Q1 OWN", vin).model_copy(update={"odometer": clock})


def years(history: History) -> list[int]:
    return [each.on.year for each in history.visits]


def test_where_nothing_is_confirmed_there_is_none(store: Store) -> None:
    assert store.history_of("w-000000000000").visits == ()


def test_it_is_what_the_record_has_under_either_name(store: Store) -> None:
    first = visit(store, date(2024, 1, 1), machine("Q1 OWN"))
    last = visit(store, date(2025, 1, 1), machine("Q1 OWN", VIN))
    for each in (first, last):
        assert store.history_of(each.id).visits == store.history(VIN).visits


def test_between_two_visits_of_one_machine_it_is_that_machine(store: Store) -> None:
    visit(store, date(2022, 1, 1), clocked(VIN, 10_000))
    asked = visit(store, date(2023, 1, 1), clocked(None, 12_000))
    visit(store, date(2024, 1, 1), clocked(VIN, 14_000))
    visit(store, date(2025, 1, 1), clocked(OTHER, 3_000))
    assert years(store.history_of(asked.id)) == [2022, 2023, 2024]
    assert years(store.history(OTHER)) == [2025]


@pytest.mark.parametrize(
    ("day", "clock", "unit"),
    [
        (date(2021, 1, 1), 9_000, "km"),  # before both
        (date(2024, 6, 1), 14_500, "km"),  # between the two machines
        (date(2026, 1, 1), 4_000, "km"),  # after both
        (date(2023, 1, 1), 3_000, "km"),  # between, but the clock is another's
        (date(2023, 1, 1), 20_000, "km"),
        (date(2023, 1, 1), 12_000, "mi"),
    ],
)
def test_where_that_is_not_beyond_doubt_it_stands_alone(
    store: Store, day: date, clock: float, unit: str
) -> None:
    visit(store, date(2022, 1, 1), clocked(VIN, 10_000))
    visit(store, date(2024, 1, 1), clocked(VIN, 14_000))
    visit(store, date(2025, 1, 1), clocked(OTHER, 3_000))
    asked = visit(store, day, clocked(None, clock, unit))
    assert [each.walkround for each in store.history_of(asked.id).visits] == [asked.id]


def test_machines_that_carried_it_by_turns_are_not_guessed_between(store: Store) -> None:
    visit(store, date(2022, 1, 1), clocked(VIN, None))
    visit(store, date(2023, 1, 1), clocked(OTHER, None))
    asked = visit(store, date(2023, 6, 1), clocked(None, None))
    visit(store, date(2024, 1, 1), clocked(VIN, None))
    assert years(store.history_of(asked.id)) == [2023]
