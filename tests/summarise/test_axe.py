"""axe-core, in Chromium, finds no fault with the pages at any width, in print and with hostile text."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from tests.summarise.pictures import PRICES
from tests.summarise.scenario import before, calm, grave, past
from tests.summarise.test_fleet import letter
from tests.summarise.test_hostile import HOSTILE, holding
from tests.summarise.test_photographs import picture

from witnessmark.knowledge.cards import card_for
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.prices import read_prices
from witnessmark.summarise import jobsheet, render, summarise
from witnessmark.summarise.estimate import estimate
from witnessmark.summarise.render import render_paper
from witnessmark.types import Answer

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium on this machine"),
]
WORDS = plain_words()
SAID = [Answer("w-0123456789ab", "tyre:rear/replace", "go", "B. Hale", date(2026, 5, 22))]
PAGES = {
    "calm": render(summarise(calm(), WORDS, past())),
    "grave": render(summarise(grave(), WORDS, past(), photos=[(picture(), "Tyre"), (picture("PNG"), "")])),
    "markup": render(summarise(holding(HOSTILE["markup"]), WORDS)),
    "again": render(summarise(calm(), WORDS, before=before(HOSTILE["markup"]))),
    "german": render(summarise(grave(), plain_words("de"), past())),
    "long": render(summarise(holding("W" * 300), WORDS)),
    "jobsheet": render_paper("jobsheet.html", jobsheet(grave(), WORDS, card_for("KX21 WPT"), SAID)),
    "estimate": render_paper("estimate.html", estimate(grave(), WORDS, read_prices(PRICES), None, SAID)),
    "fleet": render_paper("fleet.html", letter()),
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def page(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    name, width = request.param
    context = browser.new_context(viewport={"width": width, "height": 900}, bypass_csp=True)
    opened = context.new_page()
    opened.set_content(PAGES[name])
    yield opened
    context.close()


def violations(page: Page) -> list[dict[str, Any]]:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(
        page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
    )
    return [
        {"id": one["id"], "nodes": [n["html"][:120] for n in one["nodes"]]}
        for one in found.response["violations"]
    ]


@pytest.mark.parametrize(
    "page", [(name, width) for name in PAGES for width in (360, 1200)], indirect=True, ids=str
)
def test_axe_finds_no_violation(page: Page) -> None:
    assert violations(page) == []


@pytest.mark.parametrize("page", [("grave", 820)], indirect=True, ids=str)
def test_axe_finds_what_is_wrong(page: Page) -> None:
    """The check itself works: a picture without words for it is found."""
    page.evaluate("document.querySelector('img').removeAttribute('alt')")
    assert [one["id"] for one in violations(page)] == ["image-alt"]


@pytest.mark.parametrize(
    "page", [(name, width) for name in PAGES for width in (320, 360, 1600)], indirect=True, ids=str
)
def test_nothing_runs_off_the_side(page: Page) -> None:
    """WCAG 2.2, success criterion 1.4.10: no sideways scrolling at 320 px."""
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize("page", [("markup", 820)], indirect=True, ids=str)
def test_no_hostile_text_runs(page: Page) -> None:
    assert page.evaluate("document.querySelectorAll('script, img[onerror]').length") == 0
    assert page.title().startswith("</title><script>")
