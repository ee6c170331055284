"""A language is a file: with another one, no English word is left on the page but what was read or quoted."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from tests.summarise.printed import reader, text_of_pdf
from tests.summarise.reading import parsed, text_of
from tests.summarise.scenario import calm, grave, past

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge import files, paper, plain
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.paper import languages, locale_of, paper_words, units_of
from witnessmark.knowledge.plain import PlainWords, plain_words
from witnessmark.knowledge.prices import Prices
from witnessmark.knowledge.standing import standings
from witnessmark.summarise import jobsheet, render, render_pdf, summarise
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.estimate import estimate
from witnessmark.summarise.fleet import fleet
from witnessmark.summarise.render import render_paper
from witnessmark.types import Answer, Outcome

MADE_UP = "qaa"
"""ISO 639-2: reserved for private use."""
AS_THEY_ARE = {"settles", "includes", "fault", "language", "locale", "when", "year", "longest"}
"""Keys of the files whose values are not words for a reader."""
KEPT = {
    "KX", "WPT", "A", "Fenwick",  # what was confirmed
    "mm", "psi", "V",  # units
    "Mai", "Oktober", "März", "und",  # months and lists of the locale
    "WITNESSMARK", "SUMMARY", "MADE", "IN", "SHA", "qaa", "w",  # the code
    "Construction", "and", "Use", "Regulations", "reg", "as", "restated", "by", "the", "police",  # sources
    "Directive", "EU", "Annex", "I", "item", "said", "with", "reading", "handbook", "of", "Larkspur",
    "common", "practice", "no", "source", "e", "a", "b", "c",
}  # fmt: skip


def turned(value: Any, key: str = "") -> Any:
    """The words in other letters, placeholders and numbers as they are."""
    if isinstance(value, dict):
        return {name: one if name in AS_THEY_ARE else turned(one, name) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [turned(one, key) for one in value]
    if not isinstance(value, str):
        return value
    parts = re.split(r"(\{\w*\})", value)
    return "".join(part if part.startswith("{") else part.translate(LETTERS) for part in parts)


LETTERS = {ord(c): chr(0x0430 + n % 32) for n, c in enumerate("abcdefghijklmnopqrstuvwxyz")}
LETTERS |= {ord(c): chr(0x0410 + n % 32) for n, c in enumerate("ABCDEFGHIJKLMNOPQRSTUVWXYZ")}


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> PlainWords:
    """The English files in other letters, as the file of a language."""
    file = turned(read_yaml("words/en.yaml"))
    file |= {"language": MADE_UP, "locale": "de_DE", "plain": turned(read_yaml(plain.FILE))}
    rows = standings()
    file["standing"] = turned({"first": rows.first, "together": rows.together, "note": rows.note})
    file["ahead"] = turned(read_yaml("wear.yaml")["words"])
    file["reasons"] = turned(read_yaml("wear.yaml")["reasons"])
    file["countries"] = {"GB": turned("Great Britain")}
    real = files.read_yaml
    monkeypatch.setattr(
        paper, "read_yaml", lambda name: file if name == f"words/{MADE_UP}.yaml" else real(name)
    )
    for cached in (paper_words, plain_words, locale_of):
        cached.cache_clear()
    yield plain_words(MADE_UP)
    for cached in (paper_words, plain_words, locale_of):
        cached.cache_clear()


def left(text: str) -> set[str]:
    """Words in the letters of English."""
    return set(re.findall(r"[^\W\d_]*[A-Za-z][^\W\d_]*", re.sub(r"\b[0-9a-f]{12,64}\b", "", text))) - KEPT


@pytest.mark.parametrize("made", [calm, grave])
def test_no_english_is_left(made: Any, made_up: PlainWords) -> None:
    outcome: Outcome = made()
    page = summarise(outcome, made_up, past(), date(2026, 5, 22))
    root = parsed(render(page))
    for style in [node for node in root.iter() if node.tag == "style"]:
        style.text = ""
    assert left(text_of(root)) == set()
    assert left(" ".join(node.get("aria-label", "") for node in root.iter())) == set()
    printed = render_pdf(page)
    assert left(text_of_pdf(printed).partition("WITNESSMARK")[0]) == set()
    assert root.get("lang") == reader(printed).trailer["/Root"]["/Lang"]


def test_no_english_is_left_on_the_other_papers(made_up: PlainWords) -> None:
    said = [Answer("w-0123456789ab", "tyre:rear/replace", "go", "Fenwick", date(2026, 5, 22))]
    before = [Earlier(said[0]._replace(kind="not_now"), date(2026, 5, 21))]
    prices = Prices(currency="EUR", rate=Decimal(60), tax=Decimal(19), tax_name="VAT")
    papers = {
        "jobsheet.html": jobsheet(grave(), made_up, None, said, before),
        "estimate.html": estimate(grave(), made_up, prices, date(2026, 5, 22), said, before),
        "fleet.html": fleet([], made_up, date(2026, 5, 22), prices, [("KX", "WPT")]),
    }
    for template, page in papers.items():
        root = parsed(render_paper(template, page))
        for style in [node for node in root.iter() if node.tag == "style"]:
            style.text = ""
        assert left(text_of(root)) - {"VAT"} == set(), template


def test_figures_and_dates_go_by_its_locale(made_up: PlainWords) -> None:
    page = summarise(calm(), made_up, past(), date(2026, 5, 22))
    text = text_of(parsed(render(page)))
    assert "17.930" in text
    assert "2,8 mm" in text
    assert "21. Mai 2026" in text


def test_a_file_with_a_gap_is_refused(made_up: PlainWords, monkeypatch: pytest.MonkeyPatch) -> None:
    file = paper_words(MADE_UP).model_dump(mode="json")
    del file["labels"]["found"]
    real = files.read_yaml
    monkeypatch.setattr(
        paper, "read_yaml", lambda name: file if name == f"words/{MADE_UP}.yaml" else real(name)
    )
    paper_words.cache_clear()
    with pytest.raises(KnowledgeError, match=r"no row for labels\.found"):
        paper_words(MADE_UP)


def test_english_is_there() -> None:
    assert "en" in languages()


@pytest.mark.parametrize(
    ("country", "distance", "day"),
    [
        ("GB", "17,930 miles", "21 May 2026"),
        ("US-MD", "17,930 miles", "May 21, 2026"),
        ("IN", "17,930 miles", "21 May 2026"),
        ("DE", "17,930 miles", "21 May 2026"),
        ("ZZ", "17,930 miles", "21 May 2026"),
    ],
)
def test_the_country_decides_how_figures_are_written(country: str, distance: str, day: str) -> None:
    """Unicode CLDR: en-GB d MMMM y, en-US MMMM d, y. Where a country writes decimals
    otherwise, figures go by the language, for 17.930 miles would be read as eighteen."""
    outcome = calm()
    draft = outcome.walkround.draft.model_copy(update={"jurisdiction": country})
    assessment = outcome.walkround.assessment.model_copy(update={"draft": draft})
    walkround = outcome.walkround.model_copy(update={"assessment": assessment})
    page = summarise(outcome.model_copy(update={"walkround": walkround}), plain_words())
    assert (page.distance, page.inspected) == (distance, day)


def test_a_reading_stays_and_the_unit_of_the_country_stands_beside_it() -> None:
    outcome = calm()
    draft = outcome.walkround.draft.model_copy(update={"jurisdiction": "FR"})
    assessment = outcome.walkround.assessment.model_copy(update={"draft": draft})
    page = summarise(
        outcome.model_copy(
            update={"walkround": outcome.walkround.model_copy(update={"assessment": assessment})}
        ),
        plain_words(),
    )
    pressure = next(row for row in page.readings.items if row.quantity == "Pressure")
    # 1 psi = 6.894757 kPa (NIST SP 811, appendix B.8), so 34 psi = 2.344 bar and 36 psi = 2.482 bar.
    assert [(one.text, one.beside) for one in pressure.figures] == [
        ("34 psi as found", "about 2.34 bar"),
        ("36 psi as left", "about 2.48 bar"),
    ]
    tread = next(row for row in page.readings.items if row.quantity == "Tread depth")
    assert tread.figures[0].beside == ""


def test_units_of_a_country_without_a_row() -> None:
    assert units_of("FR")["pressure"] == "bar"
    assert units_of("US")["pressure"] == "psi"


def test_every_word_of_the_file_is_used() -> None:
    """By its key, in a page or in the program; those that a key is put together for are named here."""
    made = {"drawing_", "answered_", "earlier_", "level_", "caution_", "look_then", "both", "left_and_right",
            "front_and_rear", "stop", "due", "cost"}  # fmt: skip
    package = Path(plain.__file__).parents[1]
    source = "".join(path.read_text("utf-8") for path in package.rglob("*") if path.suffix in SOURCES)
    english = paper_words()
    for section in (english.labels, english.names, english.values, english.jobsheet, english.estimate,
                    english.fleet, english.ahead):  # fmt: skip
        for key in section:
            used = re.search(rf"(?:say\.|[\"']){key}\b", source)
            assert used or key.startswith(tuple(made)), key


SOURCES = {".py", ".html", ".typ"}
