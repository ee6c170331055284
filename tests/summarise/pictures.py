"""Draws the papers as they are: ``python -m tests.summarise.pictures docs/pictures``. Needs Chromium.

Prints are the first page of each PDF, pages are what a browser shows.
"""

from __future__ import annotations

import shutil
import sys
from datetime import date
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from PIL import Image
from tests.summarise.golden_pages import papers
from tests.summarise.scenario import calm, grave, past

from witnessmark.knowledge.cards import card_for
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.prices import read_prices
from witnessmark.summarise import Summary, jobsheet, render, summarise
from witnessmark.summarise.estimate import estimate
from witnessmark.summarise.pdf import Printable, pictures, printable
from witnessmark.types import Answer, Frozen

MADE = date(2026, 5, 22)
PRICES = Path(__file__).with_name("prices.yaml")


class Shot(NamedTuple):
    """What a browser shows of a page."""

    html: str
    width: int
    height: int | None = None
    """None: all of it."""


def prints() -> dict[str, Printable]:
    words = plain_words()
    said = [Answer("w-0123456789ab", "tyre:rear/replace", "go", "B. Hale", MADE)]
    found = {f"paper-{name}": _printable(page, "fleet.typ") for name, page in papers().items()}
    bench = jobsheet(grave(), words, card_for("KX21 WPT"), said)
    bill = estimate(grave(), words, read_prices(PRICES), MADE, said)
    return {
        **found,
        "paper-german": printable(summarise(grave(), plain_words("de"), past(), MADE)),
        "paper-jobsheet": _printable(bench, "jobsheet.typ"),
        "paper-estimate": _printable(bill, "estimate.typ"),
    }


def _printable(page: Frozen, template: str) -> Printable:
    if isinstance(page, Summary):
        return printable(page)
    return Printable(template, page.model_dump(mode="json"), "en-GB")


def shots() -> dict[str, Shot]:
    pages = {name: papers()[name] for name in ("calm", "dangerous")}
    html = {name: render(page) for name, page in pages.items() if isinstance(page, Summary)}
    worked = render(summarise(calm(), plain_words(), past(), MADE))
    return {
        "page": Shot(worked, 860, 1500),
        "summary": Shot(html["calm"], 900),
        "summary-grave": Shot(html["dangerous"], 900),
        "summary-phone": Shot(html["dangerous"], 390, 1800),
    }


def main(folder: Path) -> None:
    for name, paper in prints().items():
        _write(pictures(paper, ppi=100)[0], folder / f"{name}.png")
    _shoot(folder)


def _write(png: bytes, path: Path) -> None:
    """In few colours, for the papers have no more."""
    with Image.open(BytesIO(png)) as picture:
        picture.convert("RGB").quantize(96, method=Image.Quantize.MAXCOVERAGE).save(path, optimize=True)


def _shoot(folder: Path) -> None:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play, TemporaryDirectory() as temporary:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for name, shot in shots().items():
            file = Path(temporary) / f"{name}.html"
            file.write_text(shot.html, "utf-8")
            page = browser.new_page(viewport={"width": shot.width, "height": shot.height or 1000})
            page.goto(file.as_uri())
            _write(page.screenshot(full_page=shot.height is None), folder / f"{name}.png")
        browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
