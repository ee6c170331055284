"""The printed summary: the same words as the page, tagged in reading order, with title and language."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from itertools import pairwise
from typing import Any

import pytest
from tests.summarise.printed import body, figures, reader, tags, text_of_pdf, words
from tests.summarise.reading import parsed, text_of
from tests.summarise.scenario import before, calm, grave, outcome, past

from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import Summary, render, render_pdf, summarise

WORDS = plain_words()
PAGES = {
    "calm": summarise(calm(), WORDS, past(), date(2026, 5, 22)),
    "grave": summarise(grave(), WORDS, past(), date(2026, 5, 22)),
    "again": summarise(calm(), WORDS, before=before("P0118")),
    "german": summarise(grave(), plain_words("de"), past(), date(2026, 5, 22)),
    "empty": summarise(outcome([], machine=None), WORDS),
}
PDF = {name: render_pdf(page) for name, page in PAGES.items()}
EVERY = pytest.mark.parametrize("name", PAGES)
UNSEEN = {
    "id",
    "grade",
    "urgency",
    "state",
    "kind",
    "anchor",
    "language",
    "places",
    "title",
    "labels",
    "says",
    "alt",
}
"""What a page does not show as text: ids, names of rows, words for what is drawn."""


def told(value: Any, key: str = "") -> Iterator[str]:
    """Every text that the page's values tell."""
    if isinstance(value, str) and key not in UNSEEN:
        yield value
    if isinstance(value, dict):
        for name, one in value.items():
            if name != "labels" and not ("items" in value and not value["items"]):
                yield from told(one, name)
    if isinstance(value, list | tuple):
        for one in value:
            yield from told(one, key)


def visible(page: Summary) -> list[str]:
    values = page.model_dump(mode="json", exclude={"because": True, "made": True, "drawing": {"places"}})
    return [text for text in told(values) if text]


@EVERY
def test_the_print_and_the_page_tell_the_same(name: str) -> None:
    printed, page = words(text_of_pdf(PDF[name])), words(text_of(parsed(render(PAGES[name]))))
    texts = visible(PAGES[name])
    assert len(texts) > 10
    assert [text for text in texts if words(text) not in printed] == []
    assert [text for text in texts if words(text) not in page] == []


@EVERY
def test_the_parts_stand_in_the_order_of_the_page(name: str) -> None:
    page = PAGES[name]
    heads = [
        page.verdict,
        *(head for _, head, _ in page.sections),
        page.cautions.heading,
        page.people.heading,
    ]
    places = [body(PDF[name]).index(words(head)) for head in heads]
    assert places == sorted(places)


@EVERY
def test_title_language_and_tags(name: str) -> None:
    root = reader(PDF[name]).trailer["/Root"]
    assert root["/Lang"] == PAGES[name].language
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712 - a PDF object
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712
    assert reader(PDF[name]).metadata.title == PAGES[name].title
    assert "pdfuaid:part" in root["/Metadata"].get_object().get_data().decode()


@EVERY
def test_headings_go_down_one_step_at_a_time(name: str) -> None:
    levels = [int(tag[1]) for tag in tags(PDF[name]) if re.fullmatch("H[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_the_table_and_the_drawings_have_their_words() -> None:
    found = list(tags(PDF["calm"]))
    assert found.count("TH") == 3
    assert found.count("TR") == 1 + len(PAGES["calm"].readings.items)
    drawn = [row.scale.says for row in PAGES["calm"].readings.items if row.scale]
    assert len(drawn) == 6
    alts = figures(PDF["calm"])
    assert [alt for alt in alts if alt in drawn] == drawn
    assert PAGES["calm"].drawing.says in alts
    assert PAGES["calm"].genuine.alt in alts


def test_it_never_says_safe() -> None:
    assert not re.search(r"\bun?safe|\bsafe", "".join(map(text_of_pdf, PDF.values())), re.IGNORECASE)


def test_one_to_three_pages_for_a_usual_walkround() -> None:
    assert len(reader(PDF["empty"]).pages) == 1
    assert len(reader(PDF["calm"]).pages) <= 3


def test_the_same_values_give_the_same_bytes() -> None:
    assert render_pdf(PAGES["calm"]) == PDF["calm"]


def test_letter_paper_where_people_use_it() -> None:
    page = summarise(outcome([], jurisdiction="US-MD"), WORDS)
    sides = reader(render_pdf(page)).pages[0].mediabox
    assert (round(sides.width), round(sides.height)) == (612, 792), (
        "ANSI Letter, 8.5 by 11 inches of 72 points"
    )
    sides = reader(PDF["calm"]).pages[0].mediabox
    assert (round(sides.width), round(sides.height)) == (595, 842), "ISO 216 A4, 210 by 297 mm"


def test_typst_is_loaded_only_for_a_print() -> None:
    heavy = ("typst", "babel", "PIL", "segno")
    code = f"import sys, witnessmark.summarise; sys.exit(any(x in sys.modules for x in {heavy}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
