"""A number is as sure as its lead over those that sound like it."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from witnessmark.knowledge.speech import speech
from witnessmark.transcribe.challenge import challenged, challenges, confidence
from witnessmark.transcribe.words import Piece

NUMBERS = speech().numbers


def said(text: str, probability: float = 0.9) -> list[Piece]:
    """One word each half second."""
    return [Piece(word, i / 2, i / 2 + 0.4, probability) for i, word in enumerate(text.split())]


def judge(*liked: str, lead: float = 9.0):  # type: ignore[no-untyped-def]  # a scorer
    """A scorer to which texts with one of the liked words fit better by the lead."""

    def score(trials: Sequence[tuple[float, tuple[str, ...]]]) -> list[list[float]]:
        return [[lead if set(liked) & set(text.split()) else 0.0 for text in texts] for _, texts in trials]

    return score


def test_a_number_that_fits_best_is_sure() -> None:
    """Even where the recogniser was not, because the number can be written otherwise."""
    (*_, number) = challenged(said("pads are five", 0.4), judge("five"), NUMBERS)
    assert number.probability > 0.9


def test_a_very_improbable_number_stays_so() -> None:
    (*_, number) = challenged(said("pads are five", 0.1), judge("five"), NUMBERS)
    assert number.probability == 0.1


def test_a_number_that_its_neighbour_beats_is_doubtful() -> None:
    pads, are, number = challenged(said("pads are fifteen"), judge("fifty"), NUMBERS)
    assert number.text == "fifteen"
    assert number.probability < 0.1
    assert (pads.probability, are.probability) == (0.9, 0.9)


def test_no_lead_is_a_doubt() -> None:
    (*_, number) = challenged(said("pads are 15"), judge(), NUMBERS)
    assert number.probability < 0.5


def test_two_numbers_that_may_be_one_are_both_doubtful() -> None:
    """However well they fit the sound."""
    for text in ("front has 4, 5 mil", "front has four, five mil"):
        words = challenged(said(text), judge("5", "4,", "four,", "five"), NUMBERS)
        assert [word.probability < 0.5 for word in words] == [False, False, True, True, False]


def test_a_number_beyond_doubt_is_not_challenged() -> None:
    assert list(challenges(said("pads are 15", 0.999), NUMBERS)) == []


def test_a_number_is_never_changed() -> None:
    words = said("tread 2.5 and 15 volts", 0.2)
    for scorer in (judge("2.5", "15"), judge("50", "25"), judge()):
        found = challenged(words, scorer, NUMBERS)
        assert [(w.text, w.start, w.end) for w in found] == [(w.text, w.start, w.end) for w in words]


def test_texts_are_what_was_printed_around() -> None:
    words = said("one two " * 6 + "pads are 15 now")
    (challenge,) = (c for c in challenges(words, NUMBERS) if words[c.word].text == "15")
    printed, *others = challenge.texts
    assert printed.endswith("pads are 15 now")
    assert len(printed.split()) < 12
    assert any(other.endswith("pads are 50 now") for other in others)


def test_more_lead_is_more_confidence() -> None:
    leads = [confidence(lead, NUMBERS) for lead in (-300, -5, 0, NUMBERS.lead, 5, 300)]
    assert leads == sorted(leads)
    assert confidence(NUMBERS.lead, NUMBERS) == pytest.approx(0.5)
