"""Dates of manufacture. Weeks: 49 CFR 574.5(b)(3) (from memory), the days computed by that rule."""

from __future__ import annotations

from datetime import date

import pytest

from witnessmark.assess.dates import made
from witnessmark.types import Basis, Grade

from .making import of_reading

ON = date(2026, 5, 21)


@pytest.mark.parametrize(
    ("code", "first", "last"),
    [
        ("0109", date(2009, 1, 4), date(2009, 1, 10)),
        ("3109", date(2009, 8, 2), date(2009, 8, 8)),
        ("3500", date(2000, 8, 27), date(2000, 9, 2)),
        ("4819", date(2019, 12, 1), date(2019, 12, 7)),
        ("5317", date(2017, 12, 31), date(2018, 1, 6)),
        ("2019-W48", date(2019, 12, 1), date(2019, 12, 7)),
    ],
)
def test_weeks(code, first, last):
    assert made(code)[:2] == (first, last)


def test_the_example_of_a_published_explanation():
    """0712 is week 7 of 2012 (an encyclopaedia's explanation of date codes)."""
    assert "week 7 of 2012" in made("0712").words


@pytest.mark.parametrize(("code", "week", "ends"), [("439", 43, 9), ("317", 31, 7)])
def test_three_digits_are_before_2000_of_unknown_decade(code, week, ends):
    """Club and owner pages explaining three-digit codes."""
    verdict = of_reading("GB", "tyre", "manufactured", code, on=ON)
    assert verdict.grade is Grade.ADVISORY
    for words in (f"week {week} of a year ending in {ends}", "decade is unknown", "at least 27"):
        assert words in verdict.message


@pytest.mark.parametrize("code", ["5419", "0019", "5499", "12", "2319X", "W23", "", "9999-W53", "2024-13"])
def test_impossible_codes_are_read_again(code):
    verdict = of_reading("GB", "tyre", "manufactured", code, on=ON)
    assert verdict.grade is Grade.UNGRADED
    assert "again" in verdict.message


def test_a_future_code_is_read_again():
    verdict = of_reading("GB", "tyre", "manufactured", "2330", on=ON)
    assert verdict.grade is Grade.UNGRADED
    assert "after the inspection" in verdict.message


@pytest.mark.parametrize(
    ("code", "grade"),  # tyre trade bodies (from memory): look yearly from 5 years, replace at 10
    [("1123", Grade.SOUND), ("1121", Grade.ADVISORY), ("1108", Grade.ADVISORY), ("2008", Grade.ADVISORY)],
)
def test_age_is_never_a_failure(code, grade):
    """No age limit in law for a motorcycle's tyre was found (GB, US)."""
    for country in ("GB", "DE", "US-MD"):
        verdict = of_reading(country, "tyre", "manufactured", code, on=ON)
        assert verdict.grade is grade
        assert verdict.basis is Basis.COMMON_PRACTICE


def test_without_a_day_of_inspection_age_is_not_judged():
    verdict = of_reading("GB", "tyre", "manufactured", "2019-W48")
    assert verdict.grade is Grade.UNGRADED
    assert "week 48 of 2019" in verdict.message
