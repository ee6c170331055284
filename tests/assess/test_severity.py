"""Findings graded. EU: Annex I to Directive 2014/45/EU; GB: inspection manual for motorcycles."""

from __future__ import annotations

import pytest

from witnessmark.knowledge.limits import rules
from witnessmark.knowledge.severity import severity
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Grade

from .making import LARKSPUR, of_finding, of_reading


@pytest.mark.parametrize(
    ("component", "condition", "words", "grade", "item"),
    [
        ("wheel_bearing", "play", "front wheel bearing has a bit of play", "major", "5.1.3 a"),
        ("wheel_bearing", "play", "bearing about to let go, wheel wobbling", "dangerous", "5.1.3"),
        ("axle", "missing", "spindle nut split pin missing", "major", "5.2.1 d"),
        ("brake_lever", "play", "brake lever comes right back to the bar", "major", "1.1.2 a"),
        ("brake_lever", "loose", "brake lever loose, can't get it to bite", "dangerous", "1.1.2 e"),
        ("headlight_dip", "inoperative", "one of four LEDs dead in the headlight", "minor", "4.1.1 a"),
        ("headlight_dip", "inoperative", "the headlight's dead", "major", "4.1.1 a"),
    ],
)
def test_british_grades_read_in_the_manual(component, condition, words, grade, item):
    verdict = of_finding("GB", component, condition, words)
    assert verdict.grade == grade
    assert verdict.source.endswith(f"§ {item}")
    assert (verdict.basis, verdict.sureness) == (Basis.LAW, "read")


@pytest.mark.parametrize(
    ("component", "condition", "words", "grade", "item"),
    [
        ("wheel_bearing", "play", "rear wheel bearing has a bit of play", "major", "5.1.3 a"),
        ("number_plate", "missing", "the number plate is missing", "major", "0.1 a"),
        ("brake_fluid", "low", "brake fluid a touch under the minimum", "minor", "1.1.10 d"),
        ("brake_fluid", "low", "brake fluid is way under", "major", "1.1.10 d"),
        ("brake_fluid", "low", "the reservoir is empty", "dangerous", "1.1.10 d"),
        ("brake_fluid", "low", "it's not empty but it's low", "minor", "1.1.10 d"),
        ("brake_light", "inoperative", "no brake light from either control", "dangerous", "4.3.2 a"),
        ("brake_light_switch", "inoperative", "nothing from the pedal", "major", "4.3.2 a"),
        ("brake_pads", "worn", "the pads are worn", "major", "1.1.13 a"),
        ("brake_pads", "worn", "down to the backing plate", "dangerous", "1.1.13 a"),
        ("wheel", "crack", "cracked rim", "dangerous", "5.2.2 a"),
    ],
)
@pytest.mark.parametrize("country", ["EU", "IE", "DE"])
def test_grades_of_the_annex(country, component, condition, words, grade, item):
    verdict = of_finding(country, component, condition, words)
    assert verdict.grade == grade
    assert item in verdict.source
    assert verdict.basis is Basis.LAW


@pytest.mark.parametrize("country", ["US-MD", "IN", None, "GB"])
def test_a_grade_borrowed_from_the_annex_is_common_practice(country):
    """Annex I item 1.1.13 a; the British section was not seen."""
    verdict = of_finding(country, "brake_pads", "worn")
    assert (verdict.grade, verdict.basis) == (Grade.MAJOR, Basis.COMMON_PRACTICE)


def test_a_pitted_stanchion_is_no_failure_by_itself():
    """Former GB manual § 2.3."""
    assert (
        of_finding("GB", "stanchion", "pitting", "pitting on the stanchion, seals dry").grade
        is Grade.ADVISORY
    )


def test_oil_from_a_fork_on_the_caliper_is_two_faults():
    """Former GB manual § 2.3 and Annex I item 1.1.13 b (from memory)."""
    assert of_finding("GB", "fork_seal", "leak", "oil running down the left fork leg").grade is Grade.MAJOR
    assert of_finding("GB", "brake_caliper", "contamination", "oil on the caliper").grade is Grade.MAJOR


def test_a_misting_fork_is_no_leak():
    """Former GB manual § 2.3: a light film does not fail."""
    assert of_finding("GB", "fork_seal", "leak", "just a light film of oil").grade is Grade.ADVISORY


def test_a_notchy_head_bearing_fails_and_is_not_play():
    """Former GB manual § 2.2."""
    verdict = of_finding("GB", "head_bearing", "notchy", "notchy in the middle")
    assert (verdict.grade, verdict.rule) == (Grade.MAJOR, "head.rough")


@pytest.mark.parametrize(
    ("condition", "state", "grade"),
    [
        ("sound", "present", Grade.SOUND),
        ("crack", "absent", Grade.SOUND),
        ("crack", "unsure", Grade.ADVISORY),
        ("sound", "unsure", Grade.ADVISORY),
        ("sound", "absent", Grade.ADVISORY),
        (None, "unseen", Grade.NOT_SEEN),
        ("crack", "unseen", Grade.NOT_SEEN),
    ],
)
def test_states(condition, state, grade):
    assert of_finding("GB", "brake_disc", condition, state=state).grade is grade


def test_age_alone_is_advisory():
    assert of_finding("DE", "tyre", "aged", "that tyre is too old").grade is Grade.ADVISORY


def test_every_pair_of_the_vocabulary_is_graded():
    for component in vocabulary().components:
        for condition in set(vocabulary().conditions) - {"sound"}:
            verdict = of_finding("GB", component, condition)
            assert verdict.grade not in (Grade.UNGRADED, Grade.SOUND)
            assert verdict.rule is not None


def test_every_row_grades_what_it_names():
    """With its own first phrase a row, or a graver one, decides: nothing laxer hides it."""
    order = list(Grade)
    for row in severity().conditions:
        for component in row.component:
            for condition in row.condition:
                verdict = of_finding("EU", component, condition, row.said[0] if row.said else "")
                letters = [
                    row.grades[code].grade for code in (*rules("EU").chain, "GB") if code in row.grades
                ]
                assert order.index(verdict.grade) <= order.index(letters[0]), (row.id, verdict.rule)


@pytest.mark.parametrize(
    ("fluid", "grade"),  # 49 CFR 571.116: DOT 5 is silicone, 3, 4 and 5.1 are not
    [("DOT 5", Grade.MAJOR), ("DOT 5.1", Grade.SOUND), ("DOT 4", Grade.SOUND), ("DOT 3", Grade.MAJOR)],
)
def test_brake_fluids_of_different_families_never_mix(fluid, grade):
    assert of_reading("GB", "brake_fluid", "grade_marking", fluid, card=LARKSPUR).grade is grade


@pytest.mark.parametrize(
    ("oil", "grade"),  # JASO T903: MB is not for wet clutches; MA2 is of the MA family
    [
        ("10W-40", Grade.SOUND),
        ("10W40 MA2", Grade.SOUND),
        ("10W-40 MB", Grade.ADVISORY),
        ("20W-50", Grade.ADVISORY),
    ],
)
def test_oil_grades(oil, grade):
    assert of_reading("GB", "engine_oil", "grade_marking", oil, card=LARKSPUR).grade is grade


@pytest.mark.parametrize(
    ("size", "grade"),  # Annex I item 5.2.3 a (from memory); size grammar of UN regulation 75
    [
        ("140/70-17 66H", Grade.SOUND),
        ("140/70 - 17 M/C 69H", Grade.SOUND),
        ("140/70-17 60H", Grade.MAJOR),
        ("150/70-17", Grade.MAJOR),
        ("140/70R17", Grade.MAJOR),
        ("140/70 17", Grade.UNGRADED),
        ("4.10-18", Grade.UNGRADED),
    ],
)
def test_tyre_sizes(size, grade):
    assert of_reading("IE", "tyre", "size_marking", size, card=LARKSPUR, end="rear").grade is grade


def test_a_fault_code_is_a_thing_to_look_up():
    assert of_reading("GB", "warning_lamp", "fault_code", "P0135").grade is Grade.ADVISORY
    assert (
        of_reading("IE", "abs", "fault_code", "C0035").grade is Grade.MAJOR
    )  # Annex I item 1.6 (from memory)
