"""German is a file: every row is there with its blanks, no English is left on a page, figures have commas."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from tests.summarise.printed import reader, text_of_pdf, words
from tests.summarise.reading import parsed, prose, text_of
from tests.summarise.scenario import calm, grave, past
from tests.summarise.test_carried import PUT_OFF, earlier

from helpers_cli import Run
from witnessmark.knowledge import files, paper
from witnessmark.knowledge.files import models_dir, read_yaml
from witnessmark.knowledge.paper import languages, paper_words
from witnessmark.knowledge.plain import FILE, RULES, plain_words, untranslated
from witnessmark.knowledge.prices import Prices
from witnessmark.summarise import Before, Summary, jobsheet, render, render_pdf, summarise
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.estimate import estimate
from witnessmark.summarise.fleet import fleet
from witnessmark.summarise.render import render_paper
from witnessmark.summarise.words import lowered, percent
from witnessmark.types import Answer, Grade

WORDS, MADE = plain_words("de"), date(2026, 5, 22)
NO_WORDS = {
    "includes",
    "when",
    "language",
    "locale",
    "reading",
    *(key for keys in RULES.values() for key in keys),
}


def english() -> dict[str, Any]:
    """All English rows, laid out as the file of a language has them."""
    wear, standing = read_yaml("wear.yaml"), read_yaml("standing.yaml")
    own = read_yaml("words/en.yaml")
    return own | {
        "plain": read_yaml(FILE),
        "ahead": {**wear["words"], **own["ahead"]},
        "reasons": wear["reasons"],
        "standing": {key: standing[key] for key in ("first", "together", "note")},
    }


def rows(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Path and text of every row that holds words."""
    if isinstance(value, dict):
        for key, one in value.items():
            if key not in NO_WORDS:
                yield from rows(one, f"{path}.{key}")
    elif isinstance(value, list):
        for place, one in enumerate(value):
            yield from rows(one, f"{path}[{place}]")
    elif isinstance(value, str) and value:
        yield path, value


ENGLISH, GERMAN = dict(rows(english())), dict(rows(read_yaml("words/de.yaml")))


def test_every_row_is_there_with_its_blanks() -> None:
    new = tuple(f".plain.{row}" for row in untranslated("de"))
    assert [path for path in ENGLISH if path not in GERMAN and not path.startswith(new)] == []
    blanks = {
        path: (re.findall(r"\{\w+\}", text), re.findall(r"\{\w+\}", GERMAN[path]))
        for path, text in ENGLISH.items()
        if path in GERMAN
    }
    assert {path: two for path, two in blanks.items() if sorted(two[0]) != sorted(two[1])} == {}


def test_all_of_the_trade_is_translated_but_what_is_new() -> None:
    """A word of the trade may come in English first; one in twenty at most waits for its German."""
    assert len(untranslated("de")) <= 0.05 * (len(WORDS.components) + len(WORDS.conditions))
    assert untranslated("en") == ()


def test_a_word_of_the_trade_that_a_language_lacks_is_shown_in_marked_english(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    file = read_yaml("words/de.yaml")
    del file["plain"]["conditions"]["leak"]
    del file["plain"]["actions"]["replace"]
    real = files.read_yaml
    monkeypatch.setattr(paper, "read_yaml", lambda name: file if name == "words/de.yaml" else real(name))
    for cached in (paper_words, plain_words):
        cached.cache_clear()
    lacking = plain_words("de")
    assert untranslated("de") == ("conditions.leak", "actions.replace")
    for cached in (paper_words, plain_words):
        cached.cache_clear()
    assert lacking.pick(lacking.conditions["leak"].found, "fork_seal") == "leaking (englisch)"
    assert lacking.actions["replace"].puts_right("tyre", "worn")
    assert lacking.part("fork_seal").one == "Gabeldichtring"


def test_no_row_was_left_in_english() -> None:
    same = {text for path, text in ENGLISH.items() if GERMAN.get(path) == text and len(text.split()) > 1}
    worded = {text for text in same if re.search("[a-z]{3}", re.sub(r"\{\w+\}", "", text))}
    assert worded == {"{minutes} min"}, "a unit"


def test_cautions_are_called_for_by_the_same_things() -> None:
    assert [row.when for row in WORDS.cautions] == [row.when for row in plain_words().cautions]


def test_rules_are_those_of_the_english_file() -> None:
    for key, action in plain_words().actions.items():
        assert WORDS.actions[key].settles == action.settles
    assert WORDS.includes == plain_words().includes
    assert WORDS.conditions["inoperative"].shows
    assert WORDS.quantities["fault_code"].fault


def test_translated_sources_are_sources_of_the_models() -> None:
    known = "".join(path.read_text("utf-8") for path in (models_dir() / "limits").glob("*.yaml"))
    known += "said with the reading"  # of a limit that was spoken
    assert [source for source in WORDS.paper.sources if source not in known] == []


SENTENCES = {
    part.strip(" .,:;")
    for text in ENGLISH.values()
    for part in re.split(r"\{\w+\}", text)
    if len(part.split()) > 2
}
"""Stretches of the English catalogue between its blanks."""


def pages() -> list[Summary]:
    before = Before((earlier(Grade.MAJOR),), {}, (Earlier(PUT_OFF),))
    return [
        summarise(calm(), WORDS, past(), MADE),
        summarise(grave(), WORDS, past(), MADE),
        summarise(calm(), WORDS, past(), MADE, before=before),
    ]


def spoken(html: str) -> str:
    """What a page says to eye and ear."""
    root = parsed(html)
    for node in root.iter("style"):
        node.text = ""
    named = [node.get(name, "") for node in root.iter() for name in ("aria-label", "alt")]
    return " ".join((text_of(root), *named))


def test_there_are_sentences_to_look_for() -> None:
    assert len(SENTENCES) > 500


@pytest.mark.parametrize("page", pages(), ids=["calm", "grave", "again"])
def test_no_english_sentence_is_left_on_page_or_print(page: Summary) -> None:
    html, printed = spoken(render(page)), words(text_of_pdf(render_pdf(page)))
    assert [text for text in SENTENCES if text in html] == []
    assert [text for text in SENTENCES if words(text) in printed] == []
    assert words(page.verdict) in printed


def other_papers() -> dict[str, Any]:
    said = [Answer("w-0123456789ab", "tyre:rear/replace", "go", "B. Hale", MADE)]
    before = [Earlier(said[0]._replace(kind="not_now"), date(2026, 5, 21)), Earlier(PUT_OFF)]
    prices = Prices(currency="EUR", rate=Decimal("62.10"), tax=Decimal(19))
    return {
        "jobsheet.html": jobsheet(grave(), WORDS, None, said, before),
        "estimate.html": estimate(grave(), WORDS, prices, MADE, said, before),
        "fleet.html": fleet([], WORDS, MADE, prices, [("KX", "x")]),
    }


@pytest.mark.parametrize("template", ["jobsheet.html", "estimate.html", "fleet.html"])
def test_no_english_sentence_is_left_on_the_other_papers(template: str) -> None:
    html = render_paper(template, other_papers()[template])
    assert [text for text in SENTENCES if text in spoken(html)] == []
    assert parsed(html).get("lang") == "de-DE"


def test_page_and_print_say_their_language() -> None:
    page = summarise(calm(), WORDS, past(), MADE)
    assert parsed(render(page)).get("lang") == "de-DE"
    assert reader(render_pdf(page)).trailer["/Root"]["/Lang"] == "de-DE"


def test_figures_dates_and_money_are_as_germans_write_them() -> None:
    """DIN 5008: a decimal comma, a space before the percent sign. Unicode CLDR has the same."""
    page = summarise(grave(), WORDS, past(), MADE)
    text = text_of(parsed(render(page)))
    assert "0,9 mm" in text
    assert "17.930 Meilen" in text
    assert "21. Mai 2026" in text
    assert not re.search(r"\d\.\d+ (mm|V|psi)", text)
    assert percent(WORDS, 19) == "19\u00a0%"
    assert "62,10\u00a0€" in "".join(
        parsed(render_paper("estimate.html", other_papers()["estimate.html"])).itertext()
    )


@pytest.mark.parametrize(
    ("text", "inside"),
    [("Reifen hinten", "Reifen hinten"), ("Beide Blinker vorn", "beide Blinker vorn"), ("Undicht", "undicht"),
     ("Profiltiefe 2 mm", "Profiltiefe 2 mm"), ("Spröde: hart", "spröde: hart")],
)  # fmt: skip
def test_nouns_keep_their_capital_inside_a_sentence(text: str, inside: str) -> None:
    assert lowered(WORDS, text) == inside
    assert lowered(plain_words(), "Rear tyre") == "rear tyre"


def test_it_is_easy_to_read() -> None:
    """Amstad 1978: 180 - words a sentence - 58.5 x syllables a word; 60 and more is plain German."""
    textstat = pytest.importorskip("textstat")
    textstat.set_lang("de")
    try:
        texts = [text for text in prose(WORDS) if len(text.split()) > 4]
        assert textstat.flesch_reading_ease(" ".join(texts)) > 60
    finally:
        textstat.set_lang("en_US")
    longest = paper_words("de").reading.longest
    parts = [part for text in texts for part in re.split(r"(?<=[.!?:])\s+", text)]
    assert [part for part in parts if len(part.split()) > longest] == []


def test_nothing_is_called_without_danger() -> None:
    told = " ".join(GERMAN.values())
    assert not re.search(r"(?<!nicht )\bsicher\b|verkehrstauglich|unbedenklich|ungefährlich", told, re.I)


def test_the_commands_write_it(run: Run, store: Path, tmp_path: Path) -> None:
    assert languages() == ("de", "en")
    for name in ("page.html", "page.pdf"):
        run("summarise", "latest", "--language", "de", "--store", store, "--out", tmp_path / name)
    html = (tmp_path / "page.html").read_text("utf-8")
    assert (
        "Fahren Sie dieses Motorrad nicht, auch kein kurzes Stück, bis das behoben ist: Reifen vorn" in html
    )
    assert words("bis das behoben ist: Reifen vorn") in words(
        text_of_pdf((tmp_path / "page.pdf").read_bytes())
    )
    assert run("summarise", "--store", store, "--check", tmp_path / "page.pdf").status == 0
    bench = run("jobsheet", "latest", "--language", "de", "--store", store, "--out", "-")
    assert "Arbeitsblatt" in bench.out
    assert run("summarise", "latest", "--language", "xx", "--store", store).status == 2
