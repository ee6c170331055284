"""Figures of an axis against the published rule and against the calendar."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.desk.machines.axes import Axis, day_ticks, nice, ticks, written


@pytest.mark.parametrize(
    ("value", "nearest", "not_below"),
    [
        (1.0, 1, 1), (1.49, 1, 2), (1.5, 2, 2), (2.0, 2, 2), (2.01, 2, 5), (2.99, 2, 5), (3.0, 5, 5),
        (5.0, 5, 5), (6.99, 5, 10), (7.0, 10, 10), (9.99, 10, 10), (438, 500, 500), (0.03, 0.05, 0.05),
    ],
)  # fmt: skip
def test_round_numbers(value: float, nearest: float, not_below: float) -> None:
    """The bounds of P. S. Heckbert, "Nice numbers for graph labels", Graphics Gems, 1990, pages 61 to 63."""
    assert nice(value, up=False) == pytest.approx(nearest)
    assert nice(value, up=True) == pytest.approx(not_below)


def test_the_range_of_the_gem() -> None:
    """105 to 543 with five figures wanted; the gem's own drawing has 100 to 600 (from memory)."""
    assert ticks(105, 543) == (100, 200, 300, 400, 500, 600)


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0, 5.6, (0, 2, 4, 6)),
        (4.5, 4.9, (4.5, 4.6, 4.7, 4.8, 4.9)),
        (12.2, 12.8, (12.2, 12.4, 12.6, 12.8)),
        (-3, 3, (-4, -2, 0, 2, 4)),
        (0.3, 0.7, (0.3, 0.4, 0.5, 0.6, 0.7)),
        (7, 7, (6.0, 6.5, 7.0, 7.5, 8.0)),
        (0, 0, (-1.0, -0.5, 0, 0.5, 1.0)),
    ],
)
def test_figures(low: float, high: float, expected: tuple[float, ...]) -> None:
    assert ticks(low, high) == pytest.approx(expected)


@given(
    st.floats(-1e6, 1e6, allow_nan=False),
    st.floats(1e-2, 1e6, allow_nan=False),
    st.integers(3, 9),
)
def test_figures_hold_the_range_evenly(low: float, length: float, wanted: int) -> None:
    found = ticks(low, low + length, wanted)
    step = found[1] - found[0]
    assert found[0] <= low + 1e-6 * step
    assert found[-1] >= low + length - 1e-6 * step
    assert 2 <= len(found) <= 2.6 * wanted
    assert step == pytest.approx(nice(step, up=False), rel=1e-4)
    assert all(b - a == pytest.approx(step, rel=1e-4) for a, b in pairwise(found))


def test_written_figures_have_as_many_decimals_as_their_step() -> None:
    assert [t.label for t in written((0.0, 0.05, 0.1))] == ["0.00", "0.05", "0.10"]
    assert [t.label for t in written((5000.0, 10000.0))] == ["5,000", "10,000"]
    assert [t.label for t in written((4.5, 4.6))] == ["4.5", "4.6"]


def test_days_are_firsts_of_months_then_of_years() -> None:
    assert [t.label for t in day_ticks(date(2025, 3, 14), date(2025, 6, 2))] == [
        "Apr 2025",
        "May 2025",
        "Jun 2025",
    ]
    assert [t.label for t in day_ticks(date(2023, 3, 9), date(2025, 10, 2), 4)] == ["2024", "2025"]
    assert [t.label for t in day_ticks(date(1990, 1, 1), date(2026, 1, 1))] == [
        "1990",
        "2000",
        "2010",
        "2020",
    ]


@given(st.dates(date(1950, 1, 1), date(2100, 1, 1)), st.integers(1, 30_000))
def test_days_lie_within_and_are_first_days(first: date, days: int) -> None:
    last = first + timedelta(days=days)
    found = [date.fromordinal(int(t.value)) for t in day_ticks(first, last)]
    assert all(first <= day <= last and day.day == 1 for day in found)
    assert len(found) <= 6


def test_a_place_is_in_proportion_and_within() -> None:
    axis = Axis(0, 10, 200, 100)
    assert [axis.place(value) for value in (0, 5, 10, -3, 99)] == [200, 150, 100, 200, 100]
    assert [axis.run(value) for value in (5, 20, -10)] == [150, 0, 300]
