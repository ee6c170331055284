"""What a printed number may have been, by sound."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.knowledge.speech import speech
from witnessmark.transcribe.neighbours import joined, neighbours

NUMBERS = speech().numbers


@pytest.mark.parametrize(
    ("printed", "may_be"),
    [
        ("15", "50"),
        ("50.", "15."),
        ("115", "150"),
        ("13.5", "30.5"),
        ("1.1", "1.9"),
        ("2.5mm,", "25mm,"),
        ("25", "2.5"),
        ("2.5", "2"),
        ("one", "nine"),
        ("Nine,", "one,"),
        ("fifteen", "fifty"),
        ("seventy.", "seventeen."),
        ("12.4", "12.5"),
        ("two.", "due."),
        ("5,", "fine,"),
    ],
)
def test_numbers_that_are_taken_for_one_another(printed: str, may_be: str) -> None:
    assert may_be in neighbours(printed, NUMBERS)


@given(st.from_regex(r"\A[a-z]?\d{1,5}(?:\.\d{1,2})?(?:mm|%)?[.,]?\Z"))
def test_neighbours_are_other_numbers_in_the_same_dress(word: str) -> None:
    found = neighbours(word, NUMBERS)
    assert word not in found
    assert len(set(found)) == len(found)
    figures = [other for other in found if any(c.isdigit() for c in other)]
    assert all(strip(other) == strip(word) for other in figures)
    assert len(figures) == len(found) or sum(c.isdigit() for c in word) == 1


def strip(word: str) -> str:
    """The word without its figures and the points between them."""
    head = word.rstrip(".,")
    return "".join(c for c in head if c.isalpha() or c == "%") + word[len(head) :]


@pytest.mark.parametrize("word", ["tyre", "the", "", ".", "often", "bone"])
def test_other_words_have_none(word: str) -> None:
    assert neighbours(word, NUMBERS) == ()


@pytest.mark.parametrize(
    ("one", "other", "whole"),
    [
        ("4,", "5", "4.5"),
        ("4", "5mil", "4.5mil"),
        ("12.", "4", "12.4"),
        ("2.", "Nine", "2.9"),
        ("four,", "five", "4.5"),
        ("200,", "210.", None),
        ("4,", "5.5", None),
        ("4.5", "5", None),
        ("left,", "5", None),
        ("4,", "left", None),
    ],
)
def test_two_numbers_that_may_be_one(one: str, other: str, whole: str | None) -> None:
    assert joined(one, other) == whole
