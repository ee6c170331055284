"""Worked examples of linear wear. Each names where it comes from."""

from __future__ import annotations

from datetime import date

import pytest

from witnessmark.forecast.line import Point, crossing, fit
from witnessmark.types import Odometer

from .making import inches, limit, only, read, reason

LATER, LAST = date(2025, 7, 1), date(2026, 1, 1)


def test_w1_tread_of_ten_32nds_worn_to_two_lasts_48_000_miles() -> None:
    """Open problem set, https://sliceofpi.org/problems/10/: 10/32 new, 1/32 in 6000 miles, end at 2/32."""
    line = fit([Point(0, inches(10)), Point(6000, inches(9))])
    at = crossing(line, inches(2), 0.2)
    assert at is not None
    assert at.value == pytest.approx(48_000)
    far = only([read(inches(10), 0, clock="mi"), read(inches(9), 6000, LATER, clock="mi")],
               held=limit(2 / 32, "in"))  # fmt: skip
    assert far.state == "far"  # 42 000 miles are beyond what one 32nd of wear can bear
    assert far.rate is not None
    assert far.rate.value == pytest.approx(inches(1) / 6)


def test_w2_the_fast_first_wear_of_a_new_tyre_is_left_to_the_readings() -> None:
    """Homework item, read: 13/32 new, 11/32 at 1000 miles, 5/32 at 20 000. Computed: 2/32 at 29 500."""
    found = only([read(inches(11), 1000, clock="mi"), read(inches(5), 20_000, LATER, clock="mi")],
                 held=limit(2 / 32, "in"))  # fmt: skip
    assert found.left is not None
    assert found.at is not None
    assert found.left.value == pytest.approx(9500)
    assert found.at.value == pytest.approx(29_500)


def test_w3_tread() -> None:
    """Computed: 3.2 mm at 10 000 km, 2.2 mm at 14 000 km, limit 1.0: 0.25 mm per 1000 km, 4800 km left."""
    found = only([read(3.2, 10_000), read(2.2, 14_000, LATER)])
    assert found.state == "estimate"
    assert found.rate is not None
    assert found.left is not None
    assert found.rate.value == pytest.approx(0.25)
    assert found.left.value == pytest.approx(4800)


def test_w4_pads() -> None:
    """Computed: 3.0 mm at 8000 km, 2.2 mm at 12 000 km, limit 1.0: 0.2 mm per 1000 km, 6000 km left."""
    pads = {"component": "brake_pads", "quantity": "thickness", "end": "front"}
    found = only([read(3.0, 8000, **pads), read(2.2, 12_000, LATER, **pads)])
    assert found.rate is not None
    assert found.left is not None
    assert found.rate.value == pytest.approx(0.2)
    assert found.left.value == pytest.approx(6000)


@pytest.mark.parametrize("second", [3.05, 3.4, 3.9])
def test_w5_a_second_reading_that_is_deeper_asks_to_measure_again(second: float) -> None:
    """Policy of the project."""
    found = only([read(3.0, 10_000), read(second, 14_000, LATER)])
    assert (found.state, reason(found)) == ("none", "better")


def test_w6_readings_fifty_kilometres_apart_tell_nothing() -> None:
    """Policy of the project; the 500 km are common practice, from memory."""
    found = only([read(3.0, 10_000), read(3.0, 10_050, LATER)])
    assert (found.state, reason(found)) == ("none", "too_close")


@pytest.mark.parametrize("depth", [0.9, 1.0])
def test_w7_at_or_under_the_limit_nothing_is_left(depth: float) -> None:
    """Policy of the project: 0, never a negative distance, and not even two readings are needed."""
    assert only([read(depth, 14_000)]).state == "reached"
    assert only([read(3.0, 10_000), read(depth, 14_000, LATER)]).state == "reached"


def test_the_error_of_the_rate_from_two_readings() -> None:
    """Computed rule: the rate errs by the root of 2 times the gauge error, over the distance."""
    found = only([read(3.2, 10_000), read(2.2, 14_000, LATER)])
    assert found.rate is not None
    assert found.rate.high - found.rate.value == pytest.approx(2**0.5 * 0.2 / 4)
    assert found.rate.value - found.rate.low == pytest.approx(2**0.5 * 0.2 / 4)


def test_a_chain_grows_to_its_limit() -> None:
    """Computed: 0.787 % and 1.417 % (20 pitches of 320.0 and 322.0 mm) in 6000 km; 2 % 5552 km later."""
    chain = {"component": "chain", "quantity": "elongation", "end": None, "unit": "%"}
    found = only(
        [read(0.787, 10_000, **chain), read(1.417, 16_000, LATER, **chain)], held=limit(2.0, "%", "high")
    )
    assert found.left is not None
    assert found.left.value == pytest.approx((2 - 1.417) / (1.417 - 0.787) * 6000)


def test_the_day_follows_the_pace_of_riding() -> None:
    """Computed: 4000 km in 181 days; 4800 km more take 217 days."""
    found = only([read(3.2, 10_000), read(2.2, 14_000, LATER)])
    assert found.day is not None
    assert found.day.value == date(2026, 2, 3)
    assert found.day.low < found.day.value < found.day.high


def test_miles_and_kilometres_give_one_answer() -> None:
    km = only([read(3.2, 10_000), read(2.2, 14_000, LATER)])
    miles = only([read(inches(3.2 / 25.4, 1), 10_000), read(2.2, 14_000 / 1.609344, LATER, clock="mi")])
    assert km.left is not None
    assert miles.left is not None
    assert miles.clock == "mi"
    assert miles.left.value * 1.609344 == pytest.approx(km.left.value)
    assert miles.left.low * 1.609344 == pytest.approx(km.left.low)
    assert miles.readings[0].odometer == Odometer(value=10_000, unit="km")
