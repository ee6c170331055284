"""The drawn band against the interval that is told."""

from __future__ import annotations

from datetime import date

import pytest

from witnessmark.forecast.course import course

from .making import RULES, only, read

DAYS = [date(2025, month, 1) for month in (1, 4, 7, 10)]


def test_the_band_meets_the_limit_at_the_bounds_that_are_told() -> None:
    """Fieller's interval is where the confidence band of the line crosses the limit.

    (Fieller 1954, "Some problems in interval estimation", Journal of the Royal Statistical Society B 16,
    pages 175 to 185: the ratio's limits are the roots of that band.)
    """
    values = (4.0, 3.3, 2.4, 1.8)
    found = only([read(v, 1000 + 3000 * n, DAYS[n]) for n, v in enumerate(values)])
    assert found.at is not None
    assert found.limit is not None
    line = course(found, RULES, steps=4000)
    first_low = next(one for one in line if one.low <= found.limit)
    assert first_low.x == pytest.approx(found.at.low, abs=2)
    assert next(one for one in line if one.value <= found.limit).x == pytest.approx(found.at.value, abs=2)
    assert line[-1].x == pytest.approx(found.at.high)
    assert line[-1].high == pytest.approx(found.limit)


def test_it_begins_at_the_last_reading() -> None:
    found = only([read(3.2, 10_000, DAYS[0]), read(2.2, 14_000, DAYS[2])])
    line = course(found, RULES, steps=3)
    assert len(line) == 4
    assert (line[0].x, line[0].value) == (14_000, pytest.approx(2.2))


def test_without_an_estimate_there_is_nothing_to_draw() -> None:
    assert course(only([read(3.2, 10_000)]), RULES) == ()
