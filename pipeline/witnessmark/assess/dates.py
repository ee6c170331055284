"""Reads dates of manufacture and says how old a part is.

Week 1 is the first full calendar week of the year, Sunday to Saturday, and the last may run up to six
days into the next year: 49 CFR 574.5(b)(3) (from memory).
"""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import NamedTuple

from witnessmark.assess.wording import place_of, sentence
from witnessmark.knowledge.figures import AgeBand
from witnessmark.knowledge.limits import Rules
from witnessmark.types import Basis, Grade, Reading, Verdict

LAST_WEEK = 53
_CENTURY = 2000
_LAST_THREE_DIGIT_YEAR = 1999


class Made(NamedTuple):
    """When a part was made. ``first`` None: only the latest day is known."""

    first: date | None
    last: date
    words: str


def week_of(week: int, year: int) -> tuple[date, date]:
    """First and last day of a manufacturing week.

    Raises:
        ValueError: when there is no such week.
    """
    if not 1 <= week <= LAST_WEEK:
        raise ValueError(f"there is no week {week:02d}; a partial code, or swapped pairs")
    new_year = date(year, 1, 1)
    sunday = new_year + timedelta(days=-new_year.isoweekday() % 7, weeks=week - 1)
    return sunday, sunday + timedelta(days=6)


def _weekly(week: int, year: int) -> Made:
    first, last = week_of(week, year)
    return Made(first, last, f"made in week {week} of {year} ({first} to {last})")


def made(text: str) -> Made:
    """Read ``2319`` (week, year), ``2019-W23``, ``2019``, ``2019-06`` or ``439`` (before 2000).

    Raises:
        ValueError: when it is none of these; the message says why.
    """
    code = re.sub(r"\s", "", text).upper()
    if found := re.fullmatch(r"(\d{4})-W(\d{1,2})", code):
        return _weekly(int(found[2]), int(found[1]))
    if re.fullmatch(r"(19|20)\d\d", code):
        return Made(date(int(code), 1, 1), date(int(code), 12, 31), f"made in {code}")
    if found := re.fullmatch(r"(\d{4})-(\d\d)", code):
        first = date(int(found[1]), int(found[2]), 1)
        return Made(first, first + timedelta(days=30), f"made in {code}")
    if re.fullmatch(r"\d{4}", code):
        return _weekly(int(code[:2]), _CENTURY + int(code[2:]))
    if re.fullmatch(r"\d{3}", code):
        week_of(int(code[:2]), _LAST_THREE_DIGIT_YEAR)
        words = (
            f"made before 2000, in week {int(code[:2])} of a year ending in {code[2]}; the decade is unknown"
        )
        return Made(None, date(_LAST_THREE_DIGIT_YEAR, 12, 31), words)
    raise ValueError("it is not a date of manufacture")


def years(when: Made, on: date) -> float:
    """Greatest age of the part on a day, in years; at least that much when only the latest day is known.

    Raises:
        ValueError: when it is made after that day.
    """
    if when.first is None:
        return on.year - _LAST_THREE_DIGIT_YEAR
    if when.first > on:
        raise ValueError(f"{when.words}, which is after the inspection on {on}")
    return (on - when.first).days / 365.2425


def age_words(when: Made, on: date) -> str:
    """``6 years and 341 to 347 days old``; ``at least 27 years old`` where the decade is unknown."""
    if when.first is None:
        return f"at least {on.year - _LAST_THREE_DIGIT_YEAR} years old"
    oldest, youngest = _years_and_days(when.first, on), _years_and_days(min(when.last, on), on)
    if oldest[0] == youngest[0]:
        days = f"{oldest[1]} days" if oldest == youngest else f"{youngest[1]} to {oldest[1]} days"
        return f"{oldest[0]} years and {days} old"
    return f"{youngest[0]} years and {youngest[1]} days to {oldest[0]} years and {oldest[1]} days old"


def _years_and_days(made_on: date, on: date) -> tuple[int, int]:
    """Whole years, and the days since the last anniversary (of 29 February: 1 March)."""
    whole = on.year - made_on.year - ((on.month, on.day) < (made_on.month, made_on.day))
    try:
        anniversary = made_on.replace(year=made_on.year + whole)
    except ValueError:
        anniversary = date(made_on.year + whole, 3, 1)
    return whole, (on - anniversary).days


def assess_date(reading: Reading, rules: Rules, on: date | None) -> Verdict:
    """The verdict on a date of manufacture: sound or advisory by age, never a failure; never raises."""
    value = reading.value if isinstance(reading.value, str) else f"{reading.value:04.0f}"
    try:
        when = made(value)
        age = years(when, on) if on else None
    except (ValueError, OverflowError) as error:
        return _ungraded(reading, f"{value}: {error}", "read the code again")
    bands = [band for band in rules.practice.ages if band.component == reading.component]
    if on is None or age is None or not bands:
        reason = "no day of inspection was given" if age is None else "no age is declared for it"
        return _ungraded(reading, when.words, f"{reason}, so its age is not judged")
    band = max((band for band in bands if band.from_years <= age), key=lambda band: band.from_years)
    return _aged(reading, when, on, band)


def _aged(reading: Reading, when: Made, on: date, band: AgeBand) -> Verdict:
    return Verdict(
        item=reading.key,
        grade=band.grade,
        basis=Basis.COMMON_PRACTICE,
        rule=band.id,
        source=band.source,
        sureness=band.sureness,
        message=sentence(f"{place_of(reading)}: {when.words}, {age_words(when, on)}", band.says),
    )


def _ungraded(reading: Reading, *parts: str) -> Verdict:
    head, *rest = parts
    return Verdict(
        item=reading.key,
        grade=Grade.UNGRADED,
        basis=Basis.NONE,
        message=sentence(f"{place_of(reading)}: {head}", *rest),
    )
