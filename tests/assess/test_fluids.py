"""Fluids: 49 CFR 571.116 by a file that quotes it; SAE J300 of 2015, JASO T903 and M345 by pages."""

from __future__ import annotations

from itertools import pairwise

import pytest

from witnessmark.assess import assess
from witnessmark.assess.fluids import brake_words, clutch_words, viscosity_words
from witnessmark.knowledge.fluids import fluids
from witnessmark.knowledge.limits import rules
from witnessmark.types import Draft, Grade, Reading
from witnessmark.units import convert

from .making import LARKSPUR, machine, of_reading


@pytest.mark.parametrize(
    ("grade", "dry_c", "dry_f", "wet_c", "wet_f"),  # S5.1.1, S5.1.2
    [
        ("DOT 3", 205, 401, 140, 284),
        ("DOT 4", 230, 446, 155, 311),
        ("DOT 5", 260, 500, 180, 356),
        ("DOT 5.1", 260, 500, 180, 356),
    ],
)
def test_boiling_points(grade, dry_c, dry_f, wet_c, wet_f):
    row = fluids().brake_fluid(grade)
    assert (row.dry_degC, row.wet_degC) == (dry_c, wet_c)
    assert convert(dry_c, "degC", "degF") == pytest.approx(dry_f)
    assert convert(wet_c, "degC", "degF") == pytest.approx(wet_f)
    assert f"{wet_c} °C wet" in brake_words(grade)


def test_dry_and_wet_of_dot_4_are_75_degrees_apart():
    """An interval converts by 9/5 alone: 135 °F."""
    row = fluids().brake_fluid("DOT 4")
    assert row.dry_degC - row.wet_degC == 75
    assert convert(230, "degC", "degF") - convert(155, "degC", "degF") == pytest.approx(135)


@pytest.mark.parametrize(
    ("one", "two", "clash"),  # DOT 5 is silicone and must not meet the others
    [
        ("DOT 5", "DOT 4", True),
        ("DOT 5.1", "DOT 4", False),
        ("DOT 3", "DOT 5.1", False),
        ("DOT 5", "DOT 5.1", True),
    ],
)
def test_fluids_that_must_not_meet(one, two, clash):
    readings = tuple(
        Reading(key=key, component="brake_fluid", quantity="grade_marking", value=grade)
        for key, grade in (("a", one), ("b", two))
    )
    verdict = assess(Draft(id="d", text="", findings=readings), rules("GB")).verdicts_of("a")[0]
    assert (verdict.grade is Grade.MAJOR) == clash
    assert ("Never mix" in verdict.message) == clash


@pytest.mark.parametrize(
    ("degc", "words", "grade"), [(200, "", Grade.SOUND), (200, "fresh from the bottle", Grade.MINOR)]
)
def test_new_fluid_is_held_to_the_dry_point(degc, words, grade):
    assert of_reading("GB", "brake_fluid", "temperature", degc, "degC", words=words).grade is grade


def test_the_grade_said_beside_a_boiling_point_is_taken():
    """160 °C is over the wet point of DOT 4 (155) and under that of DOT 5.1 (180)."""
    readings = (
        Reading(key="g", component="brake_fluid", quantity="grade_marking", value="DOT 5.1"),
        Reading(key="t", component="brake_fluid", quantity="temperature", value=160, unit="degC"),
    )
    both = assess(Draft(id="d", text="", findings=readings), rules("GB")).verdicts_of("t")[0]
    assert both.grade is Grade.MINOR
    assert of_reading("GB", "brake_fluid", "temperature", 160, "degC").grade is Grade.SOUND


@pytest.mark.parametrize(
    ("grade", "words"),
    [
        ("10W-40", ("7000 mPa·s", "-25 °C", "12.5 to under 16.3", "HTHS at least 3.5")),
        ("20W-50", ("16.3 to under 21.9", "9500 mPa·s", "-15 °C", "HTHS at least 3.7")),
        ("15W-40", ("HTHS at least 3.7",)),
        ("0W-20", ("6200 mPa·s", "-35 °C", "6.9 to under 9.3", "HTHS at least 2.6")),
    ],
)
def test_viscosities(grade, words):
    assert all(part in viscosity_words(grade) for part in words)


def test_grades_at_100_degrees_follow_one_another():
    """In SAE J300 a grade begins where the last one ends, from 16 on they only touch or overlap."""
    spans = [row.kv for row in fluids().sae.grades.values()]
    assert all(low[1] >= high[0] for low, high in pairwise(spans))
    assert [low for low, _ in spans] == sorted(low for low, _ in spans)


@pytest.mark.parametrize(
    ("text", "clutch", "against"),  # JASO T903: MB (from memory) is of low friction
    [
        ("10W-40 MB", "wet", True),
        ("10W-40 MB", None, True),
        ("10W-40 MB", "dry", False),
        ("10W-40 MA2", "wet", False),
        ("10W-40 MA", "wet", False),
    ],
)
def test_oil_for_a_wet_clutch(text, clutch, against):
    assert clutch_words(text, clutch)[0] == against


def test_an_oil_that_makes_the_clutch_slip_is_told_with_and_without_a_card():
    for card in (LARKSPUR, machine(clutch="wet"), None):
        verdict = of_reading("GB", "engine_oil", "grade_marking", "10W-40 MB", card=card)
        assert verdict.grade is Grade.ADVISORY
        assert "not for a wet clutch" in verdict.message


def test_letters_said_beside_the_grade_count():
    words = "ten W forty, M A two"
    verdict = of_reading("GB", "engine_oil", "grade_marking", "10W-40", card=LARKSPUR, words=words)
    assert verdict.grade is Grade.SOUND
    assert "JASO MA2 suits a wet clutch" in verdict.message


@pytest.mark.parametrize(("oil", "grade"), [("FC", Grade.ADVISORY), ("FD", Grade.SOUND)])
def test_a_two_stroke_oil_below_what_the_card_wants(oil, grade):
    """JASO M345: FD asks more detergency than FC."""
    wanted = LARKSPUR.markings[0].model_copy(
        update={"id": "two-stroke", "component": "two_stroke_oil", "quantity": "grade_marking", "end": None,
                "text": "JASO FD"}
    )  # fmt: skip
    card = LARKSPUR.model_copy(update={"markings": (wanted,)})
    assert of_reading("GB", "two_stroke_oil", "grade_marking", f"JASO {oil}", card=card).grade is grade
