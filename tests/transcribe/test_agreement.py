"""Where two readings of the same sound differ in what matters, the words are in doubt."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.knowledge.speech import speech
from witnessmark.transcribe.agreement import dispute, leaves_out
from witnessmark.transcribe.words import Piece

COMPARE = speech().compare


def doubted(mine: str, other: str | None) -> list[str]:
    """The words that the other reading brings into doubt."""
    words = [Piece(t, float(i), i + 0.5, 0.9) for i, t in enumerate(mine.split())]
    after = dispute(words, other, COMPARE)
    assert [w.text for w in after] == mine.split()
    return [w.text for w in after if w.probability < 0.5]


@pytest.mark.parametrize(
    ("mine", "other"),
    [
        ("Tread is 2.5mm, pads 4.", "thread is 2.5 millimetres pads 4"),
        ("gap is .25, limit 0.3", "Gap is 0.25 limit .3."),
        ("14,612 miles", "14612 miles"),
        ("Rear tyre, 1.6.", "Rare tire 1.6"),
        ("No cracks, no play.", "no cracks no play"),
        ("Size 120/70", "size 120/70."),
        ("Pads at five, rear 0.8", "pads at 5 rear 0.8"),
    ],
)
def test_two_spellings_agree(mine: str, other: str) -> None:
    assert doubted(mine, other) == []


@pytest.mark.parametrize(
    ("mine", "other", "doubtful"),
    [
        ("Tread is 2.5 mm", "Tread is 3.5 mm", ["2.5"]),
        ("Date code 2217, fine", "date code 2.17 fine", ["2217,"]),
        ("Limit 0.3", "limit 3", ["0.3"]),
        ("There's no play", "There's play", ["no"]),
        ("It isn't cracked", "it is cracked", ["isn't"]),
        ("Left pad 2.5, right pad 3", "right pad 3", ["Left", "2.5,"]),
        ("41,888 on it", "41,800 and 88 on it", ["41,888"]),
        ("Front 4", "", ["4"]),
    ],
)
def test_a_figure_or_a_no_that_only_one_has(mine: str, other: str, doubtful: list[str]) -> None:
    assert doubted(mine, other) == doubtful


def test_nothing_to_hold_it_against() -> None:
    assert doubted("Tread is 2.5", None) == []


def test_an_improbable_word_gets_no_more_probable() -> None:
    (word,) = dispute([Piece("2.5", 0.0, 1.0, 0.1)], "3.5", COMPARE)
    assert word.probability == 0.1


def test_a_reading_that_lacks_much() -> None:
    plain = "Reg is Mike Echo 16, X-ray Tango Uniform, and it's done 27,904 miles. Front tyre is good."
    assert leaves_out("And it's done 27,904 miles. Front tyre is good.", plain, COMPARE)
    assert not leaves_out(plain, plain, COMPARE)
    assert not leaves_out(plain.replace("Reg is", "Reg's"), plain, COMPARE)
    assert not leaves_out("Stanchions", "stations", COMPARE)


TEXT = st.lists(st.sampled_from(["no", "2.5", "3", "tyre", "is", "good."]), max_size=20).map(" ".join)


@given(TEXT)
def test_a_reading_agrees_with_itself(text: str) -> None:
    assert doubted(text, text) == []
    assert not leaves_out(text, text, COMPARE)


@given(TEXT, TEXT)
def test_only_weighty_words_are_doubted(mine: str, other: str) -> None:
    assert set(doubted(mine, other)) <= {"no", "2.5", "3"}
