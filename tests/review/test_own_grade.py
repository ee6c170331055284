"""A grade that a reviewer gives himself: with a reason, beside what the rules say, never in their place."""

from __future__ import annotations

import pytest

from helpers_walkround import decision, walkround
from witnessmark.errors import DecisionError
from witnessmark.review import apply, check
from witnessmark.run import judged_again
from witnessmark.types import Basis, Grade


def test_a_grade_needs_a_reason() -> None:
    about = walkround()
    with pytest.raises(DecisionError, match="needs a reason"):
        check(about, decision(about, about.draft.findings[0].key, grade=Grade.MAJOR))


@pytest.mark.parametrize("kind", ["reject", "postpone"])
def test_what_is_not_let_in_has_no_grade(kind: str) -> None:
    about = walkround()
    with pytest.raises(DecisionError, match="let in"):
        check(about, decision(about, about.draft.findings[0].key, kind, grade=Grade.MAJOR, why="so it is"))


def test_an_identity_has_no_grade() -> None:
    about = walkround()
    with pytest.raises(DecisionError, match="let in"):
        check(about, decision(about, "machine", grade=Grade.MAJOR, why="so it is"))


def test_it_decides_and_the_rules_stand_beside_it() -> None:
    about = walkround()
    key = about.draft.findings[0].key
    given = decision(about, key, grade=Grade.ADVISORY, why="seen by me, only a stain")
    plain = judged_again(apply(about, [decision(about, key)])).walkround.assessment.verdicts_of(key)
    ours = judged_again(apply(about, [given])).walkround.assessment.verdicts_of(key)
    assert (ours[0].grade, ours[0].basis) == (Grade.ADVISORY, Basis.REVIEWER)
    assert "only a stain" in ours[0].message
    assert "Ada Foreman" in ours[0].message
    assert ours[1:] == plain
