"""Dates, sizes, grades and fault codes."""

from __future__ import annotations

import pytest
from num2words import num2words

from witnessmark.extract import extract

from .forms import code
from .reading import Case, cases, lines_of, params


@pytest.mark.parametrize("case", cases("codes"))
def test_the_marking(case: Case) -> None:
    case.check()


DATES = {
    # week and year as on the sidewall (49 CFR 574.5, four digits since 2000); examples from published guides
    "0109": ("2009-W01", None),
    "3109": ("2009-W31", None),
    "3500": ("2000-W35", None),
    "0712": ("2012-W07", None),
    "4819": ("2019-W48", None),
    # a year may have 53 weeks by the rule of 49 CFR 574.5
    "5317": ("2017-W53", None),
    # no such week
    "5419": ("2019-W54", "impossible_date"),
    "0019": ("2019-W00", "impossible_date"),
    # three digits, before 2000: week 43 of a year that ends in 9
    "439": ("W43-9", "three_digit_date"),
    "317": ("W31-7", "three_digit_date"),
}


@pytest.mark.parametrize("digits", DATES)
def test_date_code(digits: str) -> None:
    (reading,) = extract(f"Front tyre date code {digits}.", jurisdiction="GB").findings
    value, doubt = DATES[digits]
    assert getattr(reading, "value", None) == value
    assert [d.kind for d in reading.doubts] == ([doubt] if doubt else [])


def test_a_code_that_looks_like_a_year() -> None:
    assert code("Front tyre date code 2015.") == "2015-W20"
    assert code("Front tyre was made in 2015.") == "2015"


@pytest.mark.parametrize("week", range(1, 54))
def test_ordinal_weeks(week: int) -> None:
    """Ordinals in words are num2words'."""
    said = num2words(week, to="ordinal")
    assert code(f"Front tyre, the {said} week of 2017.") == f"2017-W{week:02d}"
    assert code(f"Front tyre, the {num2words(week, to='ordinal_num')} week of 2017.") == f"2017-W{week:02d}"


@pytest.mark.parametrize("year", range(1990, 2027))
def test_years(year: int) -> None:
    """Years in words are num2words'."""
    assert code(f"Rear tyre was made in {num2words(year, to='year')}.") == str(year)
    assert code(f"Rear tyre was made in {year}.") == str(year)


SIZES = {
    # forms of UN Regulation 75 and ISO 4249, 5751
    "120/70 ZR 17 M/C 58W": ("120/70ZR17", "58W"),
    "180/55 ZR17 M/C (73W)": ("180/55ZR17", "73W"),
    "110/80-17 54H": ("110/80-17", "54H"),
    "120/90-18 65S": ("120/90-18", "65S"),
    "MT90B16": ("MT90B16", None),
    "MT90-16": ("MT90-16", None),
    "3.00-18": ("3.00-18", None),
    "4.10H-18": ("4.10H-18", None),
    "one twenty seventy seventeen": ("120/70-17", None),
    "150/70 R 17 69V": ("150/70R17", "69V"),
    "120/90-V18": ("120/90V18", None),
    "190/50ZR17": ("190/50ZR17", None),
    "130/80B17 65H": ("130/80B17", "65H"),
}


@pytest.mark.parametrize("marking", SIZES)
def test_tyre_size(marking: str) -> None:
    size, grade = SIZES[marking]
    right = [f"tyre front - size_marking {size} found"]
    right += [f"tyre front - grade_marking {grade} found"] if grade else []
    assert lines_of(f"Front tyre is {marking}.") == right


FAULT = ("P oh one seven one", "pee oh one seven one", "P zero one seven one", "P0171")


@pytest.mark.parametrize("said", params(FAULT, "pee oh one seven one"))
def test_fault_code_spoken(said: str) -> None:
    """SAE J2012 and ISO 15031-6: a letter and four characters."""
    assert lines_of(f"Engine light is on, fault code {said}.") == ["warning_lamp - - fault_code P0171 found"]


def test_fault_code_with_hexadecimal_digits() -> None:
    """The last three characters run from 0 to F (SAE J2012)."""
    assert lines_of("Fault code P0A0F.") == ["warning_lamp - - fault_code P0A0F found"]


@pytest.mark.parametrize("said", params(["P4123", "X0100", "P017", "P 4 1 2 3"], "P017"))
def test_no_fault_code(said: str) -> None:
    """The second character is 0 to 3, the first P, C, B or U, and there are five (SAE J2012)."""
    readings = [f for f in extract(f"Fault code {said}.").findings if hasattr(f, "value")]
    assert [r.value for r in readings if str(r.value)[:1].isalpha()] == []


@pytest.mark.parametrize(
    ("said", "codes"),
    [
        ("two long, five short", ["25"]),
        ("3 long, 2 short", ["32"]),
        ("three long flashes and two short ones", ["32"]),
        ("8 slow, 6 fast, then 5 slow, 4 fast", ["86", "54"]),
    ],
)
def test_flashes(said: str, codes: list[str]) -> None:
    """Long flashes are tens, short ones units: common practice of flash codes, no standard."""
    lines = lines_of(f"Engine light is flashing, {said}.")
    assert lines == [f"warning_lamp - - fault_code {value} found" for value in codes]
