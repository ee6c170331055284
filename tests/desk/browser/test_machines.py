"""Workshop, machines, machine and search as somebody sees and uses them."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from playwright.sync_api import Page
from tests.desk.machines.making import fill

from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings

Visit = Callable[..., Page]
PAGES = ("/?period=all", "/machines", "/machine/KX21WPT", "/search?q=chain")
WIDE, NARROW = {"width": 1600, "height": 1000}, {"width": 360, "height": 740}


@pytest.fixture(scope="session")
def shop_record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    fill(create(Settings(record=folder / "shop.sqlite", jurisdiction="GB", live=False)))
    return folder


@pytest.fixture
def app(shop_record: Path, tmp_path: Path) -> FastAPI:
    shutil.copytree(shop_record, tmp_path / "rich")
    return create(Settings(record=tmp_path / "rich" / "shop.sqlite", jurisdiction="GB", live=False))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [NARROW, WIDE], ids=["narrow", "wide"])
def test_pages_are_accessible_fit_and_keep_to_themselves(
    visit: Visit, address: str, size: dict[str, int], scheme: str
) -> None:
    page = visit("/me", viewport=size, color_scheme=scheme)
    said, asked = [], []
    page.on("console", lambda message: said.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    for path in PAGES:
        page.goto(path)
        page.wait_for_load_state("networkidle")
        broken = Axe().run(page).response["violations"]
        assert [(path, one["id"], one["nodes"][0]["html"]) for one in broken] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], path
    assert said == []
    assert all(url.startswith(address) for url in asked)


def test_everything_works_without_scripts(visit: Visit, app: FastAPI, address: str) -> None:
    page = visit("/", java_script_enabled=False)
    page.get_by_label("Search all findings").fill("fork leaking")
    page.get_by_role("button", name="Search").click()
    assert page.locator("mark").all_inner_texts()[:1] == ["fork"]
    page.goto("/machines")
    page.get_by_role("link", name="Walkrounds").click()
    assert page.locator("th[aria-sort]").inner_text().startswith("Walkrounds")
    page.get_by_label("Registration or VIN").fill("kx")
    page.get_by_role("button", name="Search").click()
    page.get_by_role("link", name="KX21WPT").click()
    assert page.get_by_role("heading", level=1).inner_text() == "KX21WPT"
    assert page.get_by_role("img", name="rear tyre: tread depth").is_visible()
    page.goto("/")
    page.get_by_role("link", name="30 days").click()
    assert page.get_by_role("link", name="30 days").get_attribute("aria-current") == "true"


def test_the_keyboard_reaches_every_link_in_the_order_of_the_page(visit: Visit) -> None:
    page = visit("/", viewport=WIDE)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    reached = []
    for _ in range(8):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.innerText || document.activeElement.name"))
    assert reached[:2] == ["q", "Search"]
    assert any("Review" in text for text in reached)


def test_a_plot_draws_its_readings_where_its_table_says(visit: Visit) -> None:
    """Heights on the screen are in proportion to the values: 4.9, 3.2, 1.9 and 0.9 mm."""
    page = visit("/machine/KX21WPT", viewport=WIDE)
    figure = page.locator("figure.reading").filter(has_text="rear tyre: tread depth")
    values = [float(text.split()[0]) for text in figure.locator("tbody td:nth-of-type(2)").all_inner_texts()]
    boxes = [mark.bounding_box() for mark in figure.locator("g.marks circle").all()]
    heights = [box["y"] + box["height"] / 2 for box in boxes if box]
    assert values == [4.9, 3.2, 1.9, 0.9]
    a_mm = (heights[-1] - heights[0]) / (values[0] - values[-1])
    for value, height in zip(values, heights, strict=True):
        assert height == pytest.approx(heights[0] + (values[0] - value) * a_mm, abs=0.6)


@pytest.mark.parametrize("path", PAGES)
def test_no_table_is_cut_off_at_any_usual_width(visit: Visit, path: str) -> None:
    page = visit(path)
    cut = (
        "[...document.querySelectorAll('.wide')].filter(box => box.scrollWidth > box.clientWidth + 1).length"
    )
    for width in (360, 412, 600, 768, 1024, 1200, 1366, 1600):
        page.set_viewport_size({"width": width, "height": 900})
        assert (width, page.evaluate(cut)) == (width, 0)


def test_it_prints_without_what_is_only_for_the_screen(visit: Visit) -> None:
    a_sheet = {"width": 700, "height": 1000}  # of A4 between its margins
    page = visit("/machine/KX21WPT", viewport=a_sheet)
    page.emulate_media(media="print")
    assert page.evaluate("document.documentElement.scrollWidth") <= a_sheet["width"]
    assert not page.locator("header.bar").is_visible()
    assert page.get_by_role("img", name="rear tyre: tread depth").is_visible()
    assert page.locator("figure.reading tbody").first.is_visible()


def test_a_waiting_walkround_is_one_click_away(visit: Visit) -> None:
    page = visit("/")
    page.get_by_role("link", name="Review AB12CDE of 2026-10-02").click()
    page.wait_for_url("**/review/w-*")


def test_a_hit_opens_the_review_at_its_item(visit: Visit) -> None:
    page = visit("/search?q=horn+work")
    page.get_by_role("link", name="horn: not working").click()
    page.wait_for_url("**/review/w-*#*")
    assert page.locator("#says").inner_text().lower() == "horn: not working"
