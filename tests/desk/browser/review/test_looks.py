"""Every state of the page is accessible and fits, light and dark, small and wide."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from playwright.sync_api import expect
from tests.desk.browser.review.hands import Review, look_and

SIZES = {"phone": {"width": 360, "height": 740}, "wide": {"width": 1600, "height": 1000}}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "wide"])
def test_every_state_of_the_page_is_accessible_and_fits(
    app: FastAPI, review: Review, scheme: str, size: str
) -> None:
    page = review(viewport=SIZES[size], color_scheme=scheme)

    def fine() -> None:
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size]["width"]

    fine()
    page.keyboard.press("c")
    expect(page.locator(".preview")).to_contain_text("Nothing would change")
    page.get_by_role("combobox", name="Quantity").click()
    fine()
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    page.keyboard.press("r")
    expect(page.get_by_role("listbox", name="Why is it wrong?")).to_be_visible()
    fine()
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    page.keyboard.press("a")
    fine()
    page.get_by_role("button", name="Leave it").click()
    look_and(page, "y")
    page.keyboard.press("?")
    fine()
    page.get_by_role("button", name="Close").click()
    page.goto("/review")
    fine()
