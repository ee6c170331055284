"""VIN: ISO 3779 letters and 49 CFR 565.15. Registrations: leaflet INF104 and a history of marks."""

from __future__ import annotations

from datetime import date

import pytest

from witnessmark.assess import assess
from witnessmark.assess.identity import check_digit, form_of, issued, model_years, vin_fault
from witnessmark.knowledge.limits import rules
from witnessmark.types import Draft, Grade, Machine

ON = date(2026, 5, 21)


@pytest.mark.parametrize(
    ("vin", "digit", "fits"),
    [
        ("1G4AH59H45G118341", "4", True),  # official worked sample, sum 411
        ("1M8GDM9AXKP042788", "X", True),  # worked sample, sum 351, remainder 10
        ("11111111111111111", "1", True),  # computed, sum 89
        ("5GZCZ43D13S812715", "1", True),  # computed, sum 408
        ("1M8GDM9A0KP042788", "X", False),  # position 9 altered
        ("1G4AH59H54G118341", "6", False),  # two characters exchanged, sum 402
        ("00000000000000000", "0", True),  # sum 0
    ],
)
def test_check_digits(vin, digit, fits):
    assert check_digit(vin) == digit
    assert (vin[8] == digit) == fits


@pytest.mark.parametrize(
    ("vin", "fault"),
    [("1M8GDM9AXKP04278I", "1"), ("1M8GDM9AXKP04278O", "0"), ("1M8GDM9AXKP04278Q", "0 or 9"),
     ("1M8GDM9AXKP04278", "16"), ("1M8GDM9AXKP0427888", "18"), ("1M8GDM9AXKP042788", "")],
)  # fmt: skip
def test_what_no_vin_is(vin, fault):
    """ISO 3779: 17 characters, never I, O or Q."""
    assert fault in vin_fault(vin)
    assert bool(vin_fault(vin)) == bool(fault)


@pytest.mark.parametrize(
    ("symbol", "years"),  # 49 CFR 565.15 Table VII (from memory)
    [
        ("K", (1989, 2019)),
        ("A", (1980, 2010)),
        ("Y", (2000,)),
        ("1", (2001,)),
        ("9", (2009,)),
        ("V", (1997, 2027)),
        ("0", ()),
        ("U", ()),
        ("Z", ()),
    ],
)
def test_model_years(symbol, years):
    """30 years apart and never told apart for motorcycles: position 7 speaks for cars only."""
    assert model_years(f"1M8GDM9AX{symbol}P042788", 2027) == years


def verdicts(country: str | None, **machine: str):
    draft = Draft(id="d", text="", machine=Machine(**machine))
    return assess(draft, rules(country), None, ON).verdicts_of("machine")


@pytest.mark.parametrize(
    ("country", "grade"), [("US", Grade.ADVISORY), ("GB", Grade.UNGRADED), ("DE", Grade.UNGRADED)]
)
def test_a_failed_check_digit_is_information_outside_north_america(country, grade):
    (verdict,) = verdicts(country, vin="1M8GDM9A0KP042788")
    assert verdict.grade is grade
    assert ("information" in verdict.message) == (country != "US")


def test_a_sum_that_fits_with_no_year_is_read_again():
    (verdict,) = verdicts("GB", vin="00000000000000000")
    assert verdict.grade is Grade.UNGRADED
    assert "stands for no year" in verdict.message


def test_nothing_said_of_the_machine_has_no_verdict():
    assert verdicts("GB") == ()


@pytest.mark.parametrize(
    ("mark", "form", "when"),
    [
        ("AB12CDE", "current", "March to August 2012"),
        ("DE51YRE", "current", "September 2001 to February 2002"),
        ("SK54MPK", "current", "September 2004 to February 2005"),
        ("AB12CDZ", "current", "2012"),
        ("K50WTB", "prefix", "1992"),
        ("X666EON", "prefix", "2000"),
        ("Q123ABC", "prefix Q, age unknown", ""),
        ("EDW412D", "suffix", "1966"),
        ("A1", "dateless", ""),
        ("1234AB", "dateless", ""),
        ("ABC123", "dateless", ""),
        ("IAZ1234", "Northern Ireland", ""),
        ("123D456", "diplomatic", ""),
    ],
)
def test_british_registrations(mark, form, when):
    found = form_of(f"{mark[:4]} {mark[4:]}".lower(), "GB")
    assert found.name == form
    assert when in issued(found, mark)
    assert bool(issued(found, mark)) == bool(when)


@pytest.mark.parametrize("mark", ["AB01CDE", "IB12CDE", "AZ12CDE", "AB12CDI", "U12ABC", "I5ABC"])
def test_marks_that_were_never_issued_are_read_again(mark):
    assert form_of(mark, "GB") is None
    (verdict,) = verdicts("GB", registration=mark)
    assert verdict.grade is Grade.UNGRADED
    assert "Read it again" in verdict.message


def test_another_country_has_no_form_here():
    assert verdicts("DE", registration="B-AB 123") == ()
