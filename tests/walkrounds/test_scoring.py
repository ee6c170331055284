"""The scorer counts what the rules say it should."""

from __future__ import annotations

from typing import Any

import pytest

from .scoring import Row, Tally, line, pair, safety_misses, same_limit, same_reading


def seen(component: str, condition: str | None, state: str, **place: str) -> Row:
    return {"component": component, "end": None, "side": None, "condition": condition, "state": state} | place


def reading(value: Any, unit: str | None = "mm", **more: Any) -> Row:
    row = {
        "component": "tyre",
        "end": "front",
        "side": None,
        "quantity": "tread_depth",
        "value": value,
        "unit": unit,
    }
    return row | {"limit": None, "phase": "found"} | more


@pytest.mark.parametrize(
    ("gold", "drafted", "same"),
    [
        (reading(2.5), reading(2.5), True),
        (reading(2.0), reading(2.011), True),
        (reading(2.0), reading(2.013), False),
        (reading(2.0), reading(1.9), False),
        (reading(4 / 32, "in"), reading(3.175), True),
        (reading(2.5), reading(2.5, "in"), False),
        (reading(2.5), reading(2.5, "psi"), False),
        (reading(2.5), reading(2.5, phase="left"), False),
        (reading(2.5), reading(2.5, end="rear"), False),
        (reading(2.5), reading(2.5, quantity="thickness"), False),
        (reading(36, "psi", quantity="pressure"), reading(248.2, "kPa", quantity="pressure"), True),
        (
            reading("2017-W22", None, quantity="manufactured"),
            reading("2017-W22", None, quantity="manufactured"),
            True,
        ),
        (
            reading("120/70ZR17", None, quantity="size_marking"),
            reading("120/70 zr17", None, quantity="size_marking"),
            True,
        ),
        (
            reading("2017", None, quantity="manufactured"),
            reading(2017.0, None, quantity="manufactured"),
            False,
        ),
    ],
)
def test_readings_are_the_same_within_six_in_a_thousand(gold: Row, drafted: Row, same: bool) -> None:
    assert same_reading(gold, drafted) is same


@pytest.mark.parametrize(
    ("gold", "drafted", "same"),
    [
        ({"low": 1}, {"low": 1.0, "high": None, "target": None}, True),
        ({"low": 1}, {"low": None, "high": 1.0, "target": None}, False),
        ({"low": 25, "high": 35}, {"low": 25.0, "high": None, "target": None}, False),
        (None, {"low": 1.0, "high": None, "target": None}, False),
        ({"low": 1}, None, False),
        (None, None, True),
    ],
)
def test_limits_agree(gold: object, drafted: object, same: bool) -> None:
    assert same_limit(reading(2, limit=gold), reading(2, limit=drafted)) is same


def test_a_limit_is_compared_after_conversion() -> None:
    assert same_limit(reading(0.1, "in", limit={"low": 0.05}), reading(2.54, limit={"low": 1.27}))


def test_each_row_answers_for_one() -> None:
    twice = [reading(2), reading(2)]
    pairs, missed, extra = pair(twice, [reading(2)], same_reading)
    assert (len(pairs), len(missed), len(extra)) == (1, 1, 0)
    pairs, missed, extra = pair([reading(2)], twice, same_reading)
    assert (len(pairs), len(missed), len(extra)) == (1, 0, 1)


def test_the_twin_with_the_gold_limit_is_taken() -> None:
    limit = {"low": 1.0, "high": None, "target": None}
    pairs, _, _ = pair([reading(2, limit=limit)], [reading(2), reading(2, limit=limit)], same_reading)
    assert pairs[0][1]["limit"] == limit


@pytest.mark.parametrize(
    ("drafted", "unsafe"),
    [
        ([], False),
        ([seen("brake_hose", "sound", "present")], True),
        ([seen("brake_hose", "leak", "absent", end="front")], True),
        ([seen("brake_hose", "crack", "absent", end="front")], False),
        ([seen("brake_hose", "sound", "present", end="rear")], False),
        (
            [seen("brake_hose", "sound", "present"), seen("brake_hose", "perished", "present", end="front")],
            False,
        ),
        ([seen("brake_hose", "sound", "present"), seen("brake_hose", "leak", "unsure")], False),
        ([seen("brake_hose", None, "unseen", end="front")], False),
        ([seen("brake_caliper", "sound", "present", end="front")], False),
        ([seen("brake_hose", "leak", "present", end="front")], False),
    ],
)
def test_a_defect_explained_away_is_a_safety_miss(drafted: list[Row], unsafe: bool) -> None:
    gold = [seen("brake_hose", "leak", "present", end="front")]
    assert bool(safety_misses(gold, drafted)) is unsafe


def test_what_is_no_defect_cannot_be_one() -> None:
    gold = [
        seen("tyre", "sound", "present"),
        seen("tyre", "cut", "absent"),
        seen("tyre", None, "unseen"),
        reading(2),
    ]
    assert safety_misses(gold, [seen("tyre", "sound", "present")]) == []


def test_figures() -> None:
    tally = Tally(right=8, missed=2, extra=0)
    assert (tally.precision, tally.recall) == (1.0, 0.8)
    assert tally.f1 == pytest.approx(2 * 0.8 / 1.8)
    assert (Tally().precision, Tally().recall, Tally(0, 1, 1).f1) == (1.0, 1.0, 0.0)


def test_a_row_reads_as_one_line() -> None:
    assert line(seen("tyre", "cut", "absent", end="rear")) == "tyre rear - cut absent"
    assert line(reading(2.5, limit={"low": 1, "high": None})) == "tyre front - tread_depth 2.5 mm found low 1"
    work = {"component": "chain", "end": None, "side": None, "kind": "adjust", "status": "done"}
    assert line(work) == "! chain - - adjust done"
