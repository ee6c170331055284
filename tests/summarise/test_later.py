"""What of earlier visits is open still. Own scenario; the rule for each case stands in docs/desk.md."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise.judged import Facts, Judged
from witnessmark.summarise.later import Day, troubles, wanted
from witnessmark.types import Action, Basis, Evidence, Finding, Grade, Limit, Reading, Verdict

FIRST, SECOND, THIRD = date(2024, 3, 1), date(2025, 3, 1), date(2026, 3, 1)


def found(condition: str | None, grade: str = "minor", state: Any = "present", **place: Any) -> Judged:
    item = Finding(condition=condition, state=state, **{"component": "fork_seal", "side": "left", **place})
    return Judged(item, (Verdict(item="", grade=Grade(grade), basis=Basis.COMMON_PRACTICE),))


def tread(value: float, grade: str) -> Judged:
    item = Reading(component="tyre", end="rear", quantity="tread_depth", value=value, unit="mm")
    low = Verdict(item="", grade=Grade(grade), basis=Basis.LAW, limit=Limit(low=1.0), unit="mm")
    return Judged(item, (low,))


def work(kind: str, status: Any = "done", said: int = 0, **place: Any) -> Action:
    words = (Evidence(text="it", char_start=said, char_end=said + 2),)
    place = {"component": "fork_seal", "side": "left", **place}
    return Action(kind=kind, status=status, evidence=words, **place)


def day(on: date, *things: Judged | Action) -> Day:
    judged = tuple(thing for thing in things if isinstance(thing, Judged))
    return Day(f"w-{on}", on, Facts(judged, tuple(t for t in things if isinstance(t, Action))))


def open_of(*days: Day, **more: Any) -> list[Any]:
    return [one for one in troubles(plain_words(), days, **more) if one.settled is None]


LEAK = found("leak", "major")


def test_trouble_stays_open_while_nobody_speaks_of_it() -> None:
    (one,) = open_of(day(FIRST, LEAK), day(SECOND, found("sound", "sound", side="right")))
    assert (one.since, one.last, one.judged) == (FIRST, FIRST, LEAK)


def test_trouble_found_again_is_one_trouble_with_both_days() -> None:
    (one,) = open_of(day(FIRST, LEAK), day(SECOND, LEAK))
    assert (one.since, one.last, one.walkround) == (FIRST, SECOND, f"w-{SECOND}")


def test_work_at_the_place_that_puts_it_right_settles_it() -> None:
    (one,) = troubles(plain_words(), [day(FIRST, LEAK), day(SECOND, work("replace"))])
    assert one.settled is not None
    assert (one.settled.on, one.settled.by) == (SECOND, work("replace"))


@pytest.mark.parametrize(
    "done",
    [
        work("replace", side="right"),  # the other side
        work("replace", side=None),  # nobody said which side
        work("clean"),  # no such work stops a leak
        work("replace", "wanted"),  # not done
        work("replace", component="brake_pads", side=None, end="front"),
    ],
)
def test_work_elsewhere_or_of_another_kind_settles_nothing(done: Action) -> None:
    assert len(open_of(day(FIRST, LEAK), day(SECOND, done))) == 1


def test_trouble_looked_for_and_not_found_is_settled() -> None:
    assert open_of(day(FIRST, LEAK), day(SECOND, found("leak", "sound", "absent"))) == []


@pytest.mark.parametrize(("grade", "left"), [("dangerous", 1), ("major", 1), ("minor", 0), ("advisory", 0)])
def test_a_general_in_order_settles_only_what_is_not_grave(grade: str, left: int) -> None:
    assert len(open_of(day(FIRST, found("leak", grade)), day(SECOND, found("sound", "sound")))) == left


def test_a_general_in_order_settles_nothing_beside_other_trouble_of_the_part() -> None:
    again = day(SECOND, found("sound", "sound"), found("damage", "advisory"))
    assert len(open_of(day(FIRST, found("leak", "minor")), again)) == 2


def test_what_could_not_be_seen_settles_nothing() -> None:
    assert len(open_of(day(FIRST, LEAK), day(SECOND, found(None, "not_seen", "unseen")))) == 1


def test_a_reading_is_settled_by_the_same_reading_in_order() -> None:
    days = day(FIRST, tread(0.9, "dangerous")), day(SECOND, tread(5.2, "sound"))
    assert open_of(*days) == []
    assert len(open_of(day(FIRST, tread(0.9, "dangerous")), day(SECOND, tread(0.8, "dangerous")))) == 1


def test_the_graver_of_two_readings_of_a_place_stands() -> None:
    (one,) = open_of(day(FIRST, tread(0.9, "dangerous"), tread(1.2, "advisory")))
    assert one.judged.grade is Grade.DANGEROUS


def test_readings_that_show_a_new_part_settle_what_the_old_one_had() -> None:
    worn = found("worn", "major", component="tyre", end="rear", side=None)
    days = day(FIRST, worn), day(SECOND, tread(5.2, "sound"))
    assert len(open_of(*days)) == 1
    assert open_of(*days, renewed={("tyre", "rear", None): SECOND}) == []


def test_the_gravest_is_first_and_the_settled_come_last_newest_first() -> None:
    days = (
        day(FIRST, found("leak", "minor"), found("crack", "dangerous", component="frame", side=None)),
        day(SECOND, found("loose", component="mirror"), work("tighten", component="mirror")),
        day(THIRD, work("replace")),
    )
    told = [
        (one.judged.item.component, one.settled and one.settled.on) for one in troubles(plain_words(), days)
    ]
    assert told == [("frame", None), ("fork_seal", THIRD), ("mirror", SECOND)]


def wishes(*days: Day, **more: Any) -> list[tuple[str, date]]:
    return [(one.action.kind, one.since) for one in wanted(plain_words(), days, **more)]


WISH = work("repair", "wanted", said=10)


def test_work_is_open_until_it_is_done_or_the_part_is_new() -> None:
    assert wishes(day(FIRST, WISH), day(SECOND)) == [("repair", FIRST)]
    assert wishes(day(FIRST, WISH), day(SECOND, WISH)) == [("repair", FIRST)]
    assert wishes(day(FIRST, WISH), day(SECOND, work("repair"))) == []
    assert wishes(day(FIRST, WISH), day(SECOND, work("replace"))) == []
    assert wishes(day(FIRST, WISH), day(SECOND, work("clean"))) == [("repair", FIRST)]
    assert wishes(day(FIRST, WISH), day(SECOND, work("repair", side="right"))) == [("repair", FIRST)]


def test_only_work_told_after_the_wish_settles_it_on_the_same_day() -> None:
    assert wishes(day(FIRST, work("repair", said=5), WISH)) == [("repair", FIRST)]
    assert wishes(day(FIRST, WISH, work("repair", said=20))) == []


def test_what_was_to_be_watched_is_done_with_the_next_look_at_it() -> None:
    watch = work("monitor", "wanted")
    assert wishes(day(FIRST, watch), day(SECOND, found("leak", side="right"))) == [("monitor", FIRST)]
    assert wishes(day(FIRST, watch), day(SECOND, found("leak", "sound", "absent"))) == []


def test_a_new_part_by_the_readings_settles_its_replacement() -> None:
    wish = work("replace", "wanted", component="tyre", end="rear", side=None)
    days = day(FIRST, wish), day(SECOND, tread(5.2, "sound"))
    assert wishes(*days) == [("replace", FIRST)]
    assert wishes(*days, renewed={("tyre", "rear", None): SECOND}) == []
