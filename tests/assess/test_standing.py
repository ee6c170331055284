"""What the verdicts come to for the machine as a whole."""

from __future__ import annotations

import itertools

import pytest

from witnessmark.assess.standing import standing
from witnessmark.knowledge.standing import standings
from witnessmark.types import Assessment, Basis, Draft, Finding, Grade, Verdict

ROWS = standings()
LEVELS = [
    (Grade.DANGEROUS, "stop"),
    (Grade.MAJOR, "work"),
    (Grade.MINOR, "plan"),
    (Grade.ADVISORY, "watch"),
    (Grade.SOUND, "clear"),
]
"""Directive 2014/45/EU article 7(2), from memory: dangerous may forbid use, major is mended before further
use, minor soon; advisory is common practice."""


def judged(*grades: Grade, never: tuple[str, ...] = ()) -> Assessment:
    items = tuple(
        Finding(key=str(n), component="horn", condition=None if grade is Grade.NOT_SEEN else "sound",
                state="unseen" if grade is Grade.NOT_SEEN else "present")
        for n, grade in enumerate(grades)
    )  # fmt: skip
    verdicts = tuple(Verdict(item=str(n), grade=grade, basis=Basis.LAW) for n, grade in enumerate(grades))
    return Assessment(draft=Draft(id="d", text="", findings=items), verdicts=verdicts, never_mentioned=never)


@pytest.mark.parametrize(("grade", "level"), LEVELS)
def test_one_item_makes_the_level(grade: Grade, level: str) -> None:
    found = standing(judged(Grade.SOUND, grade, Grade.NOT_SEEN), ROWS)
    assert found.level.id == level
    assert [item.key for item in found.because] == ([] if level == "clear" else ["1"])


def test_the_gravest_wins_and_names_all_that_made_it() -> None:
    order = [level for _, level in LEVELS]
    for one, two in itertools.product(LEVELS, LEVELS):
        found = standing(judged(one[0], two[0]), ROWS)
        assert found.level.id == min(one[1], two[1], key=order.index)
    both = standing(judged(Grade.MAJOR, Grade.MINOR, Grade.MAJOR), ROWS)
    assert [item.key for item in both.because] == ["0", "2"]


@pytest.mark.parametrize(
    "grades", [(), (Grade.UNGRADED,), (Grade.NOT_SEEN,), (Grade.NOT_SEEN, Grade.UNGRADED)]
)
def test_without_a_grade_nothing_is_known(grades: tuple[Grade, ...]) -> None:
    assert standing(judged(*grades), ROWS).level.id == "nothing"


def test_it_says_what_it_does_not_speak_for_and_that_it_is_no_certificate() -> None:
    found = standing(judged(Grade.SOUND, Grade.NOT_SEEN, never=("tyre", "brake_pads:rear")), ROWS)
    assert found.scope.startswith("1 could not be seen and 2 were never mentioned")
    assert "no official certificate" in found.note
    assert "as far as it was looked at" in found.level.name
    assert standing(judged(Grade.SOUND), ROWS).scope == ROWS.none


def test_nothing_is_called_safe() -> None:
    assert (
        "safe" not in " ".join([ROWS.scope, ROWS.none, ROWS.note, *(row.name for row in ROWS.levels)]).lower()
    )
