"""Floors under what docs/accuracy.md says of the public suites; skipped where the suites are not."""

from __future__ import annotations

import pytest

from . import corpora, corrections, maintenance, negation, numbers, quantities

pytestmark = [
    pytest.mark.full,
    pytest.mark.skipif(corpora.folder() is None, reason="the public suites are not on this machine"),
]


@pytest.mark.parametrize("kind", numbers.CLASSES)
def test_spoken_numbers_and_units(kind: str) -> None:
    """NeMo; the best general library measured gets 96, 79 and 82 % of the values."""
    figures = numbers.measure()
    for name in (kind, f"{kind}_cased"):
        assert figures[f"{name}: value right"] >= 0.98
    if kind == "measure":
        assert figures["measure: value and unit right"] >= 0.98
        assert figures["measure: unit right, of units the product reads"] == 1


def test_values_and_units_in_sentences() -> None:
    """CQE; published F1 of value and unit .792 (dimension) and .928 (temperature)."""
    figures = quantities.measure()
    assert figures["dimension: F1, value and unit"] > 0.94
    assert figures["temperature: F1, value and unit"] > 0.928


def test_negation_with_the_concept_given() -> None:
    """NegEx; published F1 .947, any negation word in the sentence .854."""
    figures = negation.measure()
    assert figures["sentences"] == 2376
    assert figures["F1"] >= 0.955
    assert figures["precision"] >= 0.98


def test_corrections_are_found_and_take_words_back() -> None:
    """Disfl-QA; nothing comparable is published."""
    figures = corrections.measure()
    assert all(figures[f"{phrase}: cue found"] == 1 for phrase in corrections.PHRASES)
    assert figures["all: replaced words gone"] >= 0.8


@pytest.mark.parametrize(("name", "least"), [("maintie", 0.9), ("mwo2kg", 0.88)])
def test_defects_that_our_words_claim_are_found(name: str, least: float) -> None:
    """MaintIE and MWO2KG; a dictionary learnt from MaintIE itself has F1 .75 for states."""
    figures = maintenance.measure()
    assert figures[f"{name}, defects: recall of those claimed"] >= least
    assert figures[f"{name}, defects: recall"] >= 0.65
