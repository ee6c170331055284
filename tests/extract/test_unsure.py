"""What the recogniser was not sure of: points lost between figures, limits, parts and places.

The printed forms are those that the base model gave for synthetic voices other than the demo's.
"""

from __future__ import annotations

import re

import pytest

from witnessmark.extract import extract
from witnessmark.types import Draft, Limit, Reading, Recording, Transcript, Word


def printed(text: str, unsure: str = "") -> Draft:
    """A draft of a printed text whose words in ``unsure`` (separated by blanks) have a low probability."""
    words = tuple(
        Word(
            text=m.group(),
            char_start=m.start(),
            char_end=m.end(),
            start=float(n),
            end=n + 0.9,
            probability=0.2 if m.group().strip(",.") in unsure.split() else 0.9,
        )
        for n, m in enumerate(re.finditer(r"\S+", text))
    )
    recording = Recording(sha256="0" * 64, name="talk", duration=60)
    transcript = Transcript(recording=recording, text=text, words=words, model="test")
    return extract(text, jurisdiction="GB", transcript=transcript)


def readings(draft: Draft) -> list[Reading]:
    return [item for item in draft.findings if isinstance(item, Reading)]


def kinds(reading: Reading) -> set[str]:
    return {doubt.kind for doubt in reading.doubts}


@pytest.mark.parametrize(
    ("text", "unsure", "value"),
    [
        ("Front tyre, hot, 2, 1 bar.", "2 1", 2.1),
        ("Both tyres are fine, the front has four, five mill.", "four five", 4.5),
        ("Plug gap set to 0, 7.", "0 7", 0.7),
        ("Battery is twelve, six volts.", "six", 12.6),
    ],
)
def test_a_pair_that_was_doubted_is_one_figure_with_its_point_lost(
    text: str, unsure: str, value: float
) -> None:
    (found,) = readings(printed(text, unsure))
    assert found.value == value
    assert "digits_run_together" in kinds(found)


@pytest.mark.parametrize(
    ("text", "unsure"),
    [
        ("Front pads, 5, 4 mil.", ""),  # a list, and heard well
        ("Torques 8, 9, 10 newton metres.", "8 9 10"),  # more than two
    ],
)
def test_a_list_stays_a_list(text: str, unsure: str) -> None:
    assert all(float(found.value).is_integer() for found in readings(printed(text, unsure)))


def test_a_limit_that_was_not_heard_well_marks_its_reading() -> None:
    (found,) = readings(printed("Chain elongation 1.2 percent, maximum too."))
    assert found.limit == Limit(high=2)
    assert "limit_unsure" in kinds(found)
    (sure,) = readings(printed("Chain elongation 1.2 percent, maximum 2."))
    assert not sure.doubts


def test_a_lost_point_in_the_limit_of_both_sides() -> None:
    text = "Front discs. Runout left 0.08, right 0.15, maximum zero, one for both."
    left, right = readings(printed(text, "zero one"))
    assert (left.side, left.value, right.side, right.value) == ("left", 0.08, "right", 0.15)
    assert left.limit == right.limit == Limit(high=0.1)
    assert "limit_unsure" in kinds(left) & kinds(right)


def test_a_figure_on_a_part_that_is_not_measured_so_is_doubted() -> None:
    (found,) = readings(printed("Horn works. Right footrest gap 0.9."))
    assert "odd_part" in kinds(found)
    (usual,) = readings(printed("Plug gap 0.9."))
    assert "odd_part" not in kinds(usual)


def test_a_figure_of_a_tyre_is_doubted_where_its_end_was_not_understood() -> None:
    (found,) = readings(printed("Square tyre 24 psi."))
    assert "place_unsaid" in kinds(found)
    (usual,) = readings(printed("Rear tyre 24 psi."))
    assert not usual.doubts


def test_a_side_after_each_figure() -> None:
    found = readings(printed("Front pads 5.2 left 5 right."))
    assert [(one.side, one.value) for one in found] == [("left", 5.2), ("right", 5.0)]


def test_the_other_end_of_a_family_that_could_not_be_seen() -> None:
    draft = printed("Rear sprocket's good; couldn't see the front one for the cover.")
    assert [(f.component, getattr(f, "state", "")) for f in draft.findings] == [
        ("rear_sprocket", "present"),
        ("front_sprocket", "unseen"),
    ]


def test_a_year_printed_as_two_thousand_and() -> None:
    (found,) = readings(printed("Rear tyre, week 9 of 2000 and 22."))
    assert found.value == "2022-W09"
