"""Tyre markings. Load indices: five published tables that agree (the ISO and ETRTO scale)."""

from __future__ import annotations

import pytest

from witnessmark.assess.sizes import Marking, differences, explained, implausible, parse
from witnessmark.knowledge.tyres import tyres
from witnessmark.types import Grade
from witnessmark.units import convert

from .making import LARKSPUR, of_reading


@pytest.mark.parametrize(
    ("text", "expected", "kg", "km_h"),
    # Size grammar: definitions of UN regulation 75, ISO 4249 and 5751 (from memory)
    [
        ("120/70 ZR 17 M/C 58W", Marking("metric", "120", "70", "R", "17", 58, "W", "Z"), 236, 270),
        ("180/55 ZR17 M/C (73W)", Marking("metric", "180", "55", "R", "17", 73, "W", "Z", True), 365, 270),
        ("110/80-17 54H", Marking("metric", "110", "80", "-", "17", 54, "H"), 212, 210),
        ("120/90-18 65S", Marking("metric", "120", "90", "-", "18", 65, "S"), 290, 180),
        ("MT90B16", Marking("alpha", "T", "90", "B", "16"), None, None),
        ("3.00-18", Marking("inch", "3.00", None, "-", "18"), None, None),
        ("4.10H-18", Marking("inch", "4.10", None, "-", "18", None, None, "H"), None, 210),
        ("150/70 R 17 69V", Marking("metric", "150", "70", "R", "17", 69, "V"), 325, 240),
        ("120/90-V18", Marking("metric", "120", "90", "-", "18", None, None, "V"), None, 240),
        ("190/50ZR17", Marking("metric", "190", "50", "R", "17", None, None, "Z"), None, 240),
        ("130/80B17 65H", Marking("metric", "130", "80", "B", "17", 65, "H"), 290, 210),
        ("120/70 17", Marking("metric", "120", "70", None, "17"), None, None),
        ("73W", Marking("service", load=73, speed="W"), 365, 270),
    ],
)
def test_markings(text, expected, kg, km_h):
    mark = parse(text)
    assert mark == expected
    assert (mark.kg, mark.km_h) == (kg, km_h)


def test_the_table_of_load_indices_is_whole_and_rises():
    kg = tyres().load_index.kg
    assert sorted(kg) == list(range(20, 101))
    assert [kg[index] for index in sorted(kg)] == sorted(kg.values())


@pytest.mark.parametrize(("index", "lb"), [(58, 520), (73, 805), (80, 992)])  # figures of the same tables
def test_load_indices_in_pounds(index, lb):
    assert tyres().load_index.kg[index] / 0.45359237 == pytest.approx(lb, abs=0.6)


@pytest.mark.parametrize(
    ("symbol", "mph"),
    [("J", 62), ("H", 130), ("V", 149), ("W", 168), ("Y", 186)],  # old tables
)
def test_speeds_in_miles_an_hour(symbol, mph):
    assert convert(tyres().speed.km_h[symbol], "km", "mi") == pytest.approx(mph, abs=0.6)


def test_h_is_faster_than_u_though_it_comes_first():
    """Published tables: H 210, U 200 km/h."""
    assert tyres().speed.km_h["H"] == 210 > tyres().speed.km_h["U"] == 200


def test_brackets_mean_beyond():
    assert "W is over 270 km/h" in explained(parse("180/55 ZR17 (73W)"))
    assert "W is 270 km/h" in explained(parse("180/55 ZR17 73W"))


def test_symbols_from_memory_say_so():
    """C, D, E and G were not seen in a table."""
    assert "(from memory)" in explained(parse("3.00-18 42G"))


def test_an_alphanumeric_size_has_a_metric_one_near_it():
    """Comparison table: MT90 is about 130/90."""
    assert "130/90" in explained(parse("MT90B16"))
    assert "not to replace by" in explained(parse("MT90B16"))


@pytest.mark.parametrize(
    ("text", "wrong"),  # usual spans (from memory)
    [("720/70-17", "width 720"), ("120/17-70", "aspect 17 and rim 70"), ("120/70-17 12H", "load index 12"),
     ("120/70-17 58O", "speed symbol O")],
)  # fmt: skip
def test_what_no_tyre_has_is_read_again(text, wrong):
    assert implausible(parse(text)) == wrong
    verdict = of_reading("GB", "tyre", "size_marking", text, end="front", card=LARKSPUR)
    assert verdict.grade is Grade.UNGRADED
    assert "read it again" in verdict.message


@pytest.mark.parametrize(
    ("said", "card", "found"),
    [
        ("140/70-17 69H", "140/70-17 66H", []),
        ("140/70-17 66V", "140/70-17 66H", []),
        ("140/70-17 66S", "140/70-17 66H", ["good for 180 km/h and not 210 km/h"]),
        ("140/70-17 60H", "140/70-17 66H", ["carries 250 kg and not 300 kg"]),
        ("66U", "140/70-17 66H", ["good for 200 km/h and not 210 km/h"]),  # U is slower than H
        ("140/70R17 66H", "140/70-17 66H", ["radial and not diagonal"]),
        ("MT90B16", "130/90-16", None),  # never by the table of equivalents
    ],
)
def test_against_the_card(said, card, found):
    assert differences(parse(said), parse(card)) == found


def test_a_load_index_said_by_itself_is_held_against_the_size_on_the_card():
    """Annex I item 5.2.3 a to Directive 2014/45/EU (from memory): wrong load or speed, major."""
    low = of_reading("IE", "tyre", "grade_marking", "54H", end="rear", card=LARKSPUR)
    fits = of_reading("IE", "tyre", "grade_marking", "69V", end="rear", card=LARKSPUR)
    assert (low.grade, fits.grade) == (Grade.MAJOR, Grade.SOUND)
    assert "212 kg" in low.message


def test_a_dash_that_nobody_said_is_asked_for():
    words = "the rear tyre is one forty seventy seventeen"
    asked = of_reading("GB", "tyre", "size_marking", "140/70-17", end="rear", card=LARKSPUR, words=words)
    said = of_reading("GB", "tyre", "size_marking", "140/70-17", end="rear", card=LARKSPUR, words="140/70-17")
    assert asked.grade is Grade.UNGRADED
    assert "R for radial" in asked.message
    assert said.grade is Grade.SOUND


def test_without_a_card_a_marking_is_explained_and_not_judged():
    verdict = of_reading("GB", "tyre", "size_marking", "120/70 ZR 17 M/C 58W")
    assert verdict.grade is Grade.UNGRADED
    assert "236 kg (520 lb)" in verdict.message
