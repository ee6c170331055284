"""What the owner reads is near a twelve-year-old's reading, by textstat's measures."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from tests.summarise.reading import prose
from tests.summarise.scenario import calm, grave, past

from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.paper import paper_words
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.standing import standings
from witnessmark.summarise import Summary, summarise

WORDS, PAPER = plain_words(), paper_words()
PAGES = {"calm": summarise(calm(), WORDS, past(), date(2026, 5, 22)),
         "grave": summarise(grave(), WORDS, past(), date(2026, 5, 22))}  # fmt: skip


def year(texts: list[str]) -> float:
    """School year by Flesch and Kincaid (1975), of the texts as sentences."""
    textstat = pytest.importorskip("textstat")
    whole = " ".join(text if text.endswith((".", "!", "?")) else f"{text}." for text in texts)
    return float(textstat.flesch_kincaid_grade(whole))


def ease(texts: list[str]) -> float:
    """Flesch's reading ease (1948): 70 to 80 is fairly easy, US grade 7."""
    textstat = pytest.importorskip("textstat")
    return float(textstat.flesch_reading_ease(" ".join(texts)))


def sentences(texts: list[str]) -> list[str]:
    return [part for text in texts for part in re.split(r"(?<=[.!?:])\s+", text)]


def read_by_owner(page: Summary) -> Iterator[str]:
    """The prose of a page: what is told, not names, figures and sources."""
    yield page.verdict
    yield from (*page.notice, *page.together, page.coverage, page.certificate, *page.look)
    for section in page.graded:
        yield section.holds
        for entry in section.items:
            yield from (entry.purpose, *entry.leads, *entry.advised)
    yield from page.cautions.items
    yield from (grade.detail for grade in page.grades)


def words_of(name: str) -> list[str]:
    sections: dict[str, Any] = {
        "plain": prose(WORDS),
        "labels": PAPER.labels.values(),
        "jobsheet": PAPER.jobsheet.values(),
        "estimate": PAPER.estimate.values(),
        "fleet": PAPER.fleet.values(),
        "ahead": read_yaml("wear.yaml")["words"].values(),
        "reasons": read_yaml("wear.yaml")["reasons"].values(),
        "standing": (standings().first, standings().together, standings().note),
    }
    return [re.sub(r"\{\w+\}", "it", text) for text in sections[name] if len(text.split()) > 4]


def test_textstat_agrees_with_the_formula() -> None:
    """0.39 words/sentences + 11.8 syllables/words - 15.59 (Kincaid and others 1975), counted by hand:
    12 words, 2 sentences, 12 syllables."""
    texts = ["The rear tyre is worn out.", "Have a new one put on."]
    assert year(texts) == pytest.approx(0.39 * 12 / 2 + 11.8 * 12 / 12 - 15.59, abs=0.1)


@pytest.mark.parametrize(
    "name", ["plain", "labels", "jobsheet", "estimate", "fleet", "ahead", "reasons", "standing"]
)
def test_the_words_are_easy(name: str) -> None:
    texts = words_of(name)
    assert texts
    assert year(texts) < PAPER.reading.year
    assert [one for one in sentences(texts) if len(one.split()) > PAPER.reading.longest] == []


@pytest.mark.parametrize("name", PAGES)
def test_a_whole_page_is_easy(name: str) -> None:
    texts = [text for text in read_by_owner(PAGES[name]) if text]
    assert len(texts) > 10
    assert year(texts) < PAPER.reading.year
    assert ease(texts) > 70
