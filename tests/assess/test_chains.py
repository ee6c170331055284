"""Elongation from counted pitches. Sizes: ISO 10190 and JIS names, in two explanations; lengths computed."""

from __future__ import annotations

import pytest

from witnessmark.assess.chains import counted, elongation
from witnessmark.assess.words import tokens
from witnessmark.knowledge.chains import chains
from witnessmark.types import Grade

from .making import LARKSPUR, machine, of_reading

PITCH = {row.id: row.pitch_mm for row in chains().chains}


@pytest.mark.parametrize(
    ("size", "pitches", "length", "per_cent"),
    [
        ("520", 20, 320.0, 0.787),  # computed
        ("525", 20, 322.0, 1.417),  # computed
        ("530", 20, 323.85, 2.000),  # computed
        ("520", 20, 324.5, 2.205),  # computed
        ("428", 20, 259.0, 1.969),  # computed
    ],
)
def test_elongation(size, pitches, length, per_cent):
    assert elongation(length, pitches, PITCH[size]) == pytest.approx(per_cent, abs=0.001)


def test_the_handbook_example():
    """Chain handbook: 24 pitches of 1 in, new 24 in, change at 24.75 in."""
    assert elongation(24.75 * 25.4, 24, 25.4) == pytest.approx(3.125)


@pytest.mark.parametrize(
    ("pitch", "new", "longer"), [(12.7, 254.0, 259.08), (15.875, 317.5, 323.85), (19.05, 381.0, 388.62)]
)
def test_twenty_pitches_new_and_two_per_cent_longer(pitch, new, longer):
    """Computed from pitches of 1/2, 5/8 and 3/4 in."""
    assert elongation(new, 20, pitch) == pytest.approx(0)
    assert elongation(longer, 20, pitch) == pytest.approx(2)


@pytest.mark.parametrize(("teeth", "ceiling"), [(45, 4.44), (67, 2.99)])
def test_the_geometric_ceiling(teeth, ceiling):
    """Chain makers' pages: 200 divided by the teeth; it reaches 3 % at 67."""
    assert chains().ceiling / teeth == pytest.approx(ceiling, abs=0.005)


@pytest.mark.parametrize(
    ("words", "pitches"),  # a maker's manual: pin 1 to pin 21 is 20 pitches
    [
        ("twenty links measure 320", 20),
        ("over 20 pitches", 20),
        ("pin one to pin twenty one", 20),
        ("pin 1 to pin 20", 19),
        ("twenty links, pin one to pin twenty", 19),
        ("across twenty pins", 19),
        ("twenty four pitches", 24),
        ("the chain is fine", None),
    ],
)
def test_the_count(words, pitches):
    found = counted(tokens(words))
    assert (found.pitches if found else None) == pitches


def test_the_counting_trap_is_told():
    verdict = of_reading(
        "GB", "chain", "length", 302.0, "mm", words="520 chain, twenty links, pin one to pin twenty, 302"
    )
    assert "pin 1 to pin 20 are 19 pitches" in verdict.message
    assert "0.12 % longer" in verdict.message


def test_a_length_that_fits_another_count_is_not_judged():
    """20 pitches of 5/8 in are 317.5 mm: 303 mm is 19 of them."""
    verdict = of_reading("GB", "chain", "length", 303.0, "mm", words="520, twenty links are 303 millimetres")
    assert verdict.grade is Grade.UNGRADED
    assert "it fits 19" in verdict.message


@pytest.mark.parametrize(
    ("length", "words", "grade"),
    [
        (320.0, "five twenty chain, twenty links, 320", Grade.SOUND),
        (322.5, "five twenty five chain, twenty links, 322.5", Grade.ADVISORY),  # advice from 1.5 %
        (323.85, "530 chain, twenty links", Grade.MINOR),  # replace at 2 %: an off-road maker's manual
        (327.1, "twenty links", Grade.MAJOR),  # 3 %: industrial practice after ANSI B29.1; 5/8 in alone fits
    ],
)
def test_a_length_is_graded_as_the_elongation_it_is(length, words, grade):
    assert of_reading("GB", "chain", "length", length, "mm", words=words).grade is grade


def test_millimetres_and_inches_give_one_grade_and_the_limit_is_told_as_a_length():
    words = "520 chain, twenty links"
    metric = of_reading("GB", "chain", "length", 324.5, "mm", words=words)
    inch = of_reading("GB", "chain", "length", 324.5 / 25.4, "in", words=words)
    assert metric.grade is inch.grade is Grade.MINOR
    assert metric.unit == "mm"
    assert metric.limit.high == pytest.approx(323.85)


def test_the_size_on_the_card_is_taken():
    verdict = of_reading("GB", "chain", "length", 320.0, "mm", words="twenty links", card=LARKSPUR)
    assert "on the machine card" in verdict.message


def test_a_limit_said_with_the_length_goes_first():
    verdict = of_reading("GB", "chain", "length", 321, "mm", words="520, twenty links", limit={"high": 320})
    assert "given with the reading" in verdict.message


def test_without_a_count_it_is_asked_for():
    verdict = of_reading("GB", "chain", "length", 320.0, "mm")
    assert verdict.grade is Grade.UNGRADED
    assert "how many pitches" in verdict.message


def test_many_teeth_lower_what_a_chain_may_stretch():
    """200 / 70 is 2.86 %, under the 3 % of industrial practice."""
    words = "520 chain, twenty links"
    verdict = of_reading("GB", "chain", "length", 326.7, "mm", words=words, card=machine(rear_teeth=70))
    assert "70 teeth bear at most 2.86 %" in verdict.message
