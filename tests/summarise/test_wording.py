"""Names, dates, values and limits as people write them."""

from __future__ import annotations

from datetime import date

import pytest

from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise.limits import limit_in, standing
from witnessmark.summarise.words import (
    amount,
    and_list,
    distance_text,
    limit_beside,
    limit_text,
    name_of,
    value_text,
    written,
)
from witnessmark.types import Limit, Odometer

WORDS = plain_words()
FRONT, REAR, LEFT, RIGHT = ("front", None), ("rear", None), (None, "left"), (None, "right")
FL, FR, RL, RR = ("front", "left"), ("front", "right"), ("rear", "left"), ("rear", "right")


@pytest.mark.parametrize(
    ("component", "spots", "name"),
    [
        ("tyre", [REAR], "rear tyre"),
        ("tyre", [REAR, FRONT], "front and rear tyres"),
        ("tyre", [(None, None)], "tyre"),
        ("brake_pads", [FRONT, REAR], "front and rear brake pads"),
        ("horn", [(None, None)], "horn"),
        ("fork_seal", [RIGHT], "right fork oil seal"),
        ("fork_seal", [RIGHT, LEFT], "both fork oil seals"),
        ("bodywork", [LEFT, RIGHT], "left and right body panels"),
        ("brake_lever", [("front", None)], "front brake lever"),
        ("indicator", [FR, FL], "both front indicators"),
        ("indicator", [RL, FL], "front and rear left indicators"),
        ("indicator", [FL, RR], "front left and rear right indicators"),
        ("indicator", [FL, FR, RL], "front left, front right and rear left indicators"),
        ("indicator", [FL, FR, RL, RR], "all four indicators"),
        ("tyre", [(None, None), FRONT], "tyre and front tyre"),
    ],
)
def test_places_are_named_as_people_name_them(component, spots, name) -> None:
    assert name_of(WORDS, component, spots) == name


def test_lists_end_in_and() -> None:
    assert [and_list(WORDS, list(letters)) for letters in ("", "a", "ab", "abc")] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]


def test_dates_are_written_out() -> None:
    assert written(WORDS, date(2026, 3, 3)) == "3 March 2026"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (3.1, "mm", "3.1 mm"),
        (12.0, "%", "12%"),
        (0.0625, "in", "1/16 in"),
        (1.375, "in", "1 3/8 in"),
        (2.0, "in", "2 in"),
        (0.3, "in", "0.3 in"),
        ("2021-W11", None, "week 11 of 2021 (March 2021)"),
        # ISO 8601:2004 3.2.2: week 01 of a year holds its first Thursday; 2009-W53 ends on 3 January 2010.
        ("2009-W53", None, "week 53 of 2009 (December 2009)"),
        ("2009-W01", None, "week 1 of 2009 (January 2009)"),
        ("2021-W60", None, "2021-W60"),
        ("P0118", None, "P0118"),
    ],
)
def test_values(value, unit, text) -> None:
    assert value_text(WORDS, value, unit) == text


def test_distances_keep_every_figure() -> None:
    assert distance_text(WORDS, Odometer(value=117930, unit="mi")) == "117,930 miles"
    assert distance_text(WORDS, Odometer(value=830.5, unit="km")) == "830.5 kilometres"


@pytest.mark.parametrize(
    ("bounds", "text"),
    [
        ({"low": 1}, "at least 1 mm"),
        ({"high": 3}, "at most 3 mm"),
        ({"low": 25, "high": 35}, "25 to 35 mm"),
        ({"target": 36}, "36 mm"),
        ({"low": 33, "high": 39, "target": 36}, "36 mm, 33 to 39 mm"),
    ],
)
def test_limits(bounds, text) -> None:
    assert limit_text(WORDS, Limit(**bounds), "mm") == text


@pytest.mark.parametrize(
    ("value", "bounds", "where"),
    [
        (0.9, {"low": 1.0}, "below"),
        (1.0, {"low": 1.0}, "at"),
        (1.1, {"low": 1.0}, "within"),
        (36, {"low": 25, "high": 35}, "above"),
        (34, {"target": 36}, "below"),
        (36, {"target": 36}, "at"),
        (1, {}, "no_limit"),
    ],
)
def test_where_a_value_lies(value, bounds, where) -> None:
    assert standing(value, Limit(**bounds)) == where


def test_a_limit_in_another_unit_stands_as_it_was_laid_down() -> None:
    assert limit_beside(WORDS, Limit(low=1.8, high=3), "bar", "psi") == "1.8 to 3 bar, about 26.1 to 43.5 psi"
    assert limit_beside(WORDS, Limit(low=2 / 32), "in", "mm") == "at least 1/16 in, about 1.59 mm"
    assert limit_beside(WORDS, Limit(high=0.3), "mm", "mm") == "at most 0.3 mm"
    assert limit_text(WORDS, Limit(low=1.375, high=1.75), "in") == "1 3/8 to 1 3/4 in"


def test_a_converted_limit_is_still_met_when_it_is_reached() -> None:
    """1/32 in is 0.79375 mm exactly (NIST SP 811 B.8: 1 in = 25.4 mm)."""
    limit = limit_in(Limit(low=1 / 32), "in", "mm")
    assert limit is not None
    assert limit.low == pytest.approx(0.79375)
    assert standing(0.79375, limit) == "at"
    assert limit_in(Limit(low=1), "mm", "psi") is None


def test_a_figure_that_nobody_measured_stands_as_it_is() -> None:
    assert amount(WORDS, 1e30, "mm") == "1e+30 mm"
    assert amount(WORDS, -1.7e308, "in") == "-1.7e+308 in"
    assert amount(WORDS, 999_999_999_999_999, "mi").startswith("999,999,999,999,999 ")
