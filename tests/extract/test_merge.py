"""Repetition and contradiction."""

from __future__ import annotations

import pytest

from witnessmark.extract.merge import merge
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Target
from witnessmark.types import Limit, State

from .reading import Case, cases

LEFT, RIGHT = Target("fork_seal", None, "left"), Target("fork_seal", None, "right")


@pytest.mark.parametrize("case", cases("merge"))
def test_one_finding_each(case: Case) -> None:
    case.check()


def observed(target: Target, at: int, condition: str | None, state: State) -> Raw:
    return Raw(target, at, at + 1, at, condition=condition, state=state, words=condition or "")


def read(value: float, at: int, **more: object) -> Raw:
    return Raw(Target("chain"), at, at + 1, at, quantity="slack", value=value, unit="mm", **more)  # type: ignore[arg-type]


def test_the_same_thing_twice_is_kept_once() -> None:
    first, second = observed(LEFT, 0, "leak", "present"), observed(LEFT, 9, "leak", "present")
    assert merge([first, second]) == [first]
    assert merge([read(45, 0), read(45, 9)]) == [read(45, 0)]


def test_what_differs_in_place_or_kind_is_kept() -> None:
    raws = [
        observed(LEFT, 0, "leak", "present"),
        observed(RIGHT, 1, "leak", "present"),
        observed(LEFT, 2, "crack", "present"),
        read(45, 3),
        read(30, 4),
        read(30, 5, phase="left"),
    ]
    assert merge(raws) == raws


def test_a_later_word_wins_and_the_first_is_kept_beside_it() -> None:
    (raw,) = merge([observed(LEFT, 0, "leak", "absent"), observed(LEFT, 9, "leak", "present")])
    assert (raw.state, raw.said_first) == ("present", "absent")


def test_unseen_is_lifted_by_a_look() -> None:
    unseen = observed(LEFT, 0, None, "unseen")
    assert merge([unseen, observed(LEFT, 9, "leak", "absent")]) != [unseen]
    assert [r.state for r in merge([unseen, observed(LEFT, 9, "leak", "absent")])] == ["absent"]
    assert merge([unseen, observed(RIGHT, 9, "leak", "absent")])[0] == unseen


def test_a_repeated_reading_brings_its_limit() -> None:
    limit = Limit(low=25, high=35)
    (raw,) = merge([read(45, 0), read(45, 9, limit=limit)])
    assert raw.limit == limit


def test_findings_come_in_the_order_of_the_talk_and_work_last() -> None:
    work = Raw(LEFT, 0, 1, 0, action="clean", status="done")
    late, early = observed(RIGHT, 9, "leak", "present"), read(45, 3)
    assert merge([work, late, early]) == [early, late, work]
