"""Which readings count, when there is no estimate, and when to look again. Policy of the project."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.forecast import due_work, forecast, next_look
from witnessmark.knowledge.cards import Interval
from witnessmark.types import Evidence, Forecast, Grade, Limit, Odometer, PastAction, PastReading, Verdict

from .making import RULES, START, limit, only, read, reason, replaced

LATER, LAST = date(2025, 7, 1), date(2026, 1, 1)
NEW = [read(5.0, 14_000, LATER), read(4.2, 18_000, LAST)]


def used(found: Forecast) -> list[Any]:
    return [one.reading.value for one in found.readings]


# ── what counts ──────────────────────────────────────────────────────────────────────────────


def test_the_readings_before_a_replacement_are_of_another_part() -> None:
    found = only([read(4.6, 10_000), *NEW], [replaced(date(2025, 3, 1))])
    assert used(found) == [5.0, 4.2]
    assert found.renewed == date(2025, 3, 1)


def test_a_jump_upward_is_a_new_part_though_nobody_said_so() -> None:
    found = only([read(2.0, 10_000), *NEW])
    assert used(found) == [5.0, 4.2]
    assert found.renewed == LATER


def test_found_is_of_the_old_part_and_left_of_the_new() -> None:
    left = read(5.0, 14_000, LATER, phase="left")
    found = only([read(3.0, 10_000), read(1.9, 14_000, LATER), left, NEW[1]], [replaced(LATER)])
    assert used(found) == [5.0, 4.2]


def test_a_better_reading_found_on_the_day_of_the_work_is_of_the_new_part() -> None:
    """``Were 1.2, so I've replaced them, the new ones are 5 mm``: both are read as found."""
    past = [read(3.0, 10_000), read(1.2, 14_000, LATER), read(5.0, 14_000, LATER), NEW[1]]
    found = only(past, [replaced(LATER)])
    assert used(found) == [5.0, 4.2]
    assert found.renewed == LATER


@pytest.mark.parametrize(
    "work",
    [replaced(date(2025, 3, 1), end="front"), replaced(date(2025, 3, 1), status="wanted"),
     replaced(date(2025, 3, 1), "brake_pads")],
)  # fmt: skip
def test_other_work_renews_nothing(work: PastAction) -> None:
    assert used(only([read(5.8, 10_000), *NEW], [work])) == [5.8, 5.0, 4.2]


def test_a_replacement_that_names_no_end_may_have_been_here() -> None:
    assert used(only([read(5.8, 10_000), *NEW], [replaced(date(2025, 3, 1), end=None)])) == [5.0, 4.2]


def test_a_part_replaced_since_its_last_reading_is_not_at_its_limit() -> None:
    found = only([read(3.0, 10_000), read(0.9, 14_000, LATER)], [replaced(LATER)])
    assert (found.state, reason(found)) == ("none", "none_since_new")


def test_the_worst_of_several_readings_of_a_day_counts() -> None:
    found = only([read(3.4, 10_000), read(3.2, 10_000), read(2.2, 14_000, LATER), read(2.9, 14_000, LATER)])
    assert used(found) == [3.2, 2.2]


def test_front_and_rear_are_different_parts() -> None:
    past = (read(3.2, 10_000), read(2.2, 14_000, LATER, end="front"))
    found = forecast(past, (), lambda one: limit(), RULES, "GB")
    assert [(one.end, len(one.readings), reason(one)) for one in found] == [
        ("rear", 1, "one_reading"),
        ("front", 1, "one_reading"),
    ]


@pytest.mark.parametrize("doubt", RULES.unsure)
def test_a_figure_that_the_technician_was_not_sure_of_makes_no_forecast(doubt: str) -> None:
    unsure = read(2.2, 14_000, LATER, doubts=[doubt])
    assert used(only([read(3.2, 10_000), unsure])) == [3.2]
    assert reason(only([read(3.2, 10_000, doubts=[doubt]), unsure])) == "unsure"
    below = only([read(0.5, 14_000, LATER, doubts=[doubt])])
    assert (below.state, reason(below)) == ("none", "unsure")


@pytest.mark.parametrize(
    ("said", "counts"),
    [
        ("Rear tread is 2.2", True),
        ("Rear tread is about 2.2", False),
        ("Rear tread, I think it’s 2.2", False),
        ("Rear tread just under 2.2", False),
        ("Roundabout tread 2.2", True),
    ],
)
def test_a_figure_that_was_given_roughly_makes_no_forecast(said: str, counts: bool) -> None:
    evidence = (Evidence(text=said, char_start=0, char_end=len(said)),)
    found = only([read(3.2, 10_000), read(2.2, 14_000, LATER, evidence=evidence)])
    assert (found.state == "estimate") is counts


def test_what_a_reviewer_settles_by_confirming_counts() -> None:
    heard = read(2.2, 14_000, LATER, doubts=["low_probability", "corrected_in_speech"])
    assert only([read(3.2, 10_000), heard]).state == "estimate"


@pytest.mark.parametrize(
    "one",
    [
        read("bald", 14_000),
        read(2.0, 14_000, unit="V"),
        read(30, 14_000, component="chain", quantity="slack"),
    ],
)
def test_what_does_not_wear_is_passed_over(one: PastReading) -> None:
    assert forecast([one], (), lambda one: limit(), RULES, "GB") == ()


# ── no estimate, and why ─────────────────────────────────────────────────────────────────────

NONE = [
    ([read(3.2, 10_000)], "one_reading"),
    ([read(2.0, 10_000), read(5.0, 14_000, LATER)], "one_since_new"),
    ([read(3.2, 10_000, end=None), read(2.2, 14_000, LATER, end=None)], "no_end"),
    ([read(3.2, None), read(2.2, None, LATER)], "no_distance"),
    ([read(3.2, None), read(2.2, 14_000, LATER)], "one_reading"),
    ([read(3.2, 14_000), read(2.2, 10_000, LATER)], "clock_back"),
    ([read(3.2, 10_000), read(2.2, 10_400, LATER)], "too_close"),
    ([read(3.2, 10_000), read(3.0, 14_000, LATER)], "no_wear"),
    ([read(3.2, 10_000), read(3.2, 14_000, LATER)], "no_wear"),
    ([read(5.0, 10_000), read(2.4, 14_000, LATER), read(3.2, 18_000, LAST)], "uneven"),
]


@pytest.mark.parametrize(("past", "why"), NONE)
def test_no_estimate_and_the_reason(past: list[PastReading], why: str) -> None:
    found = only(past)
    assert found.state == "none"
    assert reason(found) == why
    assert found.left is None
    assert found.day is None
    assert "{" not in found.reason


@pytest.mark.parametrize(("country", "why"), [("GB", "no_limit"), (None, "no_country")])
def test_without_a_limit_only_the_wear_is_told(country: str | None, why: str) -> None:
    (found,) = forecast([read(3.2, 10_000), read(2.2, 14_000, LATER)], (), lambda one: None, RULES, country)
    assert (found.state, reason(found)) == ("none", why)
    assert found.rate is not None


def test_a_limit_of_the_other_side_is_no_limit_of_wear() -> None:
    assert (
        reason(only([read(3.2, 10_000), read(2.2, 14_000, LATER)], held=limit(9, side="high"))) == "no_limit"
    )


def test_the_limit_is_asked_for_a_fresh_part_with_what_was_said_of_this_one() -> None:
    asked: list[PastReading] = []

    def limit_of(one: PastReading) -> Verdict:
        asked.append(one)
        return limit()

    stamped = read(4.8, 10_000, component="brake_disc", quantity="thickness", limit=Limit(low=4.5))
    later = read(4.7, 14_000, LATER, component="brake_disc", quantity="thickness")
    forecast([stamped, later], (), limit_of, RULES, "GB")
    assert [(one.on, one.reading.value, one.reading.limit) for one in asked] == [(LATER, 10, Limit(low=4.5))]


def test_too_far_to_say_but_not_before() -> None:
    found = only([read(8.0, 10_000), read(7.6, 14_000, LATER)])
    assert (found.state, reason(found)) == ("far", "too_far")
    assert found.not_before is not None
    assert 14_000 < found.not_before <= 34_000


def test_no_date_from_readings_a_few_days_apart() -> None:
    found = only([read(3.2, 10_000), read(2.2, 14_000, START + timedelta(days=20))])
    assert (found.state, reason(found)) == ("estimate", "no_date_short")
    assert found.left is not None
    assert found.day is None


def test_no_date_for_a_machine_that_hardly_moves() -> None:
    found = only([read(3.2, 10_000), read(2.2, 11_000, START + timedelta(days=3000))])
    assert (found.state, reason(found)) == ("estimate", "no_date_far")


def test_the_soonest_comes_first() -> None:
    past = (
        read(5.2, 10_000), read(4.2, 14_000, LATER),
        read(3.2, 10_000, end="front"), read(2.2, 14_000, LATER, end="front"),
        read(0.8, 14_000, LATER, component="brake_pads", quantity="thickness"),
    )  # fmt: skip
    found = forecast(past, (), lambda one: limit(), RULES, "GB")
    assert [(one.component, one.end) for one in found] == [
        ("brake_pads", "rear"), ("tyre", "front"), ("tyre", "rear")
    ]  # fmt: skip


@given(st.floats(0.1, 4.0), st.floats(0.1, 4.0))
def test_more_wear_never_lasts_longer(less: float, more: float) -> None:
    less, more = sorted((less, more))
    slow = only([read(8.0, 10_000), read(8.0 - less, 14_000, LATER)])
    fast = only([read(8.0, 10_000), read(8.0 - more, 14_000, LATER)])
    if slow.left and fast.left:
        assert fast.left.value <= slow.left.value + 1e-6
        assert fast.left.low <= slow.left.low + 1e-6


@given(
    st.lists(st.tuples(st.floats(0, 9), st.integers(0, 40_000), st.integers(0, 2000)), min_size=1, max_size=6)
)
def test_no_history_at_all_makes_it_fail(rows: list[tuple[float, int, int]]) -> None:
    past = [read(value, km, START + timedelta(days=days)) for value, km, days in rows]
    found = only(past)
    if found.left is not None:
        assert 0 <= found.left.low <= found.left.value <= found.left.high
    assert (found.state in ("none", "far")) <= bool(found.reason)


# ── look again ───────────────────────────────────────────────────────────────────────────────

NOW = (LAST, Odometer(value=18_000, unit="km"))


def test_half_way_to_the_early_bound_where_that_is_sooner() -> None:
    (found,) = forecast([read(3.2, 14_000), read(2.0, 18_000, LAST)], (), lambda one: limit(), RULES, "GB")
    assert found.left is not None
    look = next_look([found], (), NOW, RULES)
    assert look.at == pytest.approx(18_000 + found.left.low / 2)
    assert look.because == ("tyre:rear",)
    assert not look.now


def test_a_part_not_measured_again_in_time_is_told_and_sets_no_day_of_the_past() -> None:
    old = only([read(6.2, 10_000), read(5.2, 14_000, LATER)])
    assert old.at is not None
    when = (date(2026, 6, 1), Odometer(value=old.at.low - 10, unit="km"))
    look = next_look([old], (), when, RULES)
    assert (look.now, look.overdue, look.because) == (False, ("tyre:rear",), ("usual",))
    assert look.on is not None
    assert look.on > when[0]


def test_the_card_says_how_long_at_most() -> None:
    row = Interval(id="own.service", component="machine", work="look", every=3000, unit="km", months=6)
    oil = Interval(id="own.oil", component="engine_oil", work="replace", every=1000, unit="km")
    look = next_look([], (row, oil), NOW, RULES)
    assert (look.at, look.on, look.because) == (21_000, LAST + timedelta(days=183), ("own.service",))


def test_without_a_card_the_usual_interval_and_without_a_distance_the_usual_time() -> None:
    look = next_look([], (), (LAST, None), RULES)
    assert (look.at, look.on, look.because) == (None, LAST + timedelta(days=365), ("usual",))
    assert next_look([], (), (LAST, Odometer(value=1000, unit="mi")), RULES).at == pytest.approx(
        4728.2, abs=0.1
    )


def test_what_is_at_its_limit_or_may_be_waits_for_nothing() -> None:
    worn = [read(0.9, 18_000, LAST)]
    assert next_look([only(worn)], (), NOW, RULES).now
    nearly = only([read(3.2, 14_000), read(1.05, 18_000, LAST)])
    assert nearly.left is not None
    assert nearly.left.low == 0
    look = next_look([nearly], (), NOW, RULES)
    assert look.now
    assert look.because == ("usual",)
    ridden = only([read(3.2, 10_000), read(2.2, 14_000, LATER)])
    assert ridden.at is not None
    assert next_look([ridden], (), (LAST, Odometer(value=ridden.at.low, unit="km")), RULES).now
    assert not next_look([ridden], (), (LATER, Odometer(value=14_000, unit="km")), RULES).now
    advice = limit().model_copy(update={"grade": Grade.ADVISORY})
    assert not next_look([only(worn, held=advice)], (), NOW, RULES).now


# ── work that the machine card wants at intervals ────────────────────────────────────────────

OIL = Interval(id="own.oil", component="engine_oil", work="replace", every=6000, unit="km", months=12)
FLUID = Interval(id="own.fluid", component="brake_fluid", work="replace", months=24)


def worked(on: date, km: float | None, component: str, end: Any = None, status: Any = "done") -> PastAction:
    clock = None if km is None else Odometer(value=km, unit="km")
    return replaced(on, component, end, status).model_copy(update={"odometer": clock})


@pytest.mark.parametrize(
    ("done", "at", "on", "overdue"),
    [
        ([worked(LATER, 14_000, "engine_oil")], 20_000, date(2026, 7, 1), False),
        ([worked(LATER, 12_000, "engine_oil")], 18_000, date(2026, 7, 1), True),
        ([worked(date(2025, 1, 1), 17_000, "engine_oil")], 23_000, date(2026, 1, 1), True),
        (
            [worked(START, 10_000, "engine_oil"), worked(LATER, None, "engine_oil")],
            None,
            date(2026, 7, 1),
            False,
        ),
    ],
)
def test_work_is_due_after_its_distance_or_its_time(done, at, on, overdue) -> None:
    (due,) = due_work([OIL], done, NOW)
    assert (due.at, due.on, due.overdue, due.done) == (at, on, overdue, done[-1])


@pytest.mark.parametrize(
    "done",
    [[], [worked(LATER, 14_000, "engine_oil", status="wanted")], [worked(LATER, 14_000, "oil_filter")]],
)
def test_work_that_the_record_has_not_is_not_known_to_be_due(done) -> None:
    (due,) = due_work([OIL], done, NOW)
    assert (due.done, due.at, due.on, due.overdue) == (None, None, None, False)


def test_of_two_brakes_the_one_done_longest_ago_counts() -> None:
    front, rear = worked(START, 10_000, "brake_fluid", "front"), worked(LATER, 14_000, "brake_fluid", "rear")
    assert due_work([FLUID], [front, rear], NOW)[0].done == front
    assert due_work([FLUID], [front], NOW)[0].done is None
    both = worked(LATER, 14_000, "brake_fluid")
    assert due_work([FLUID], [front, both], NOW)[0].done == both


def test_the_interval_between_inspections_is_no_work() -> None:
    assert due_work([Interval(id="own.service", component="machine", work="look", months=12)], [], NOW) == ()
