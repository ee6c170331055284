"""A whole day: the administrator lets two people in, one walks and talks, one decides, the owner reads."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from fastapi import FastAPI
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.desk.browser.walk.walking import end, start
from tests.desk.conftest import PASSWORD

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role
from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings
from witnessmark.record import Store
from witnessmark.review import apply
from witnessmark.types import Outcome

pytestmark = [pytest.mark.full, pytest.mark.speech]
TALKS = 33
"""Seconds: all that the microphone hears before it begins again."""
A_LOOK = 380
PHONE = {"width": 390, "height": 780}


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    """With the base model, and reading while somebody talks."""
    return create(Settings(record=tmp_path / "shop.sqlite", jurisdiction="GB"))


def test_from_talk_to_the_owners_page(app: FastAPI, address: str, chromium: Browser) -> None:
    boss = _signed_in(app, chromium.new_context(base_url=address))
    mechanic = _let_in(boss, chromium.new_context(base_url=address, viewport=PHONE), "technician", "Kim")
    reviewer = _let_in(boss, chromium.new_context(base_url=address), "reviewer", "Lou")

    mechanic.goto("/walk")
    start(mechanic)
    began = time.monotonic()
    expect(mechanic.locator("#live")).to_contain_text("KX21WPT", timeout=90_000)  # while he still talks
    mechanic.wait_for_timeout(max(0.0, TALKS - (time.monotonic() - began)) * 1000)
    end(mechanic)
    expect(mechanic.locator("#after-title")).to_have_text("Read", timeout=240_000)

    reviewer.goto("/review")
    reviewer.locator("main a[href^='/review/w-']").first.click()
    expect(reviewer.locator("#says")).to_be_focused()
    decided = _decide_all(reviewer)
    outcome = _outcome(app)
    assert outcome.complete
    assert len(outcome.walkround.decisions) >= decided
    assert {made.who for made in outcome.walkround.decisions} == {"Lou Reviewer"}
    quantities = {getattr(one.item, "quantity", None) for one in outcome.confirmed}
    assert "tread_depth" in quantities, "the demo's first half minute tells the tread of a tyre"

    reviewer.goto("/links")
    made = reviewer.request.post(
        f"/api/walkrounds/{outcome.walkround.id}/links",
        data={"days": 7},
        headers={"X-Form-Key": _form_key(reviewer)},
    )
    assert made.status == 201, made.text()
    owner = chromium.new_context(base_url=address, viewport=PHONE).new_page()
    owner.goto(made.json()["url"])
    expect(owner.locator("body")).to_contain_text("Lou Reviewer")
    owner.goto("/")
    assert "/sign-in" in owner.url


def _signed_in(app: FastAPI, context: BrowserContext) -> Page:
    with app.state.desk.own.writing() as db:
        people.add(db, "Sam Owner", Role.ADMINISTRATOR, PASSWORD)
    page = context.new_page()
    page.goto("/sign-in")
    page.get_by_label("Name").fill("Sam Owner")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/")
    return page


def _let_in(boss: Page, context: BrowserContext, role: str, name: str) -> Page:
    """Somebody with the link that the administrator made."""
    boss.goto("/people")
    boss.get_by_label("Comes in as").select_option(role)
    boss.get_by_role("button", name="Make a link").click()
    page = context.new_page()
    page.goto(boss.get_by_label("To copy").input_value())
    page.get_by_label("Name").fill(f"{name} {role.title()}")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_label("The same again").fill(PASSWORD)
    page.get_by_role("button", name="Come in").click()
    page.wait_for_url("**/")
    return page


def _decide_all(page: Page) -> int:
    """By keyboard: what can be confirmed is, what cannot is rejected with a reason. Returns how many."""
    decided = 0
    while page.locator("#all-done").count() == 0 and decided < 100:
        before = page.locator("#says").inner_text()
        page.wait_for_timeout(A_LOOK)
        page.keyboard.press("y")
        try:
            expect(page.locator("#says")).not_to_have_text(before, timeout=3_000)
        except AssertionError:
            if page.locator("#all-done").count():
                break
            page.keyboard.press("r")
            page.get_by_label("Why is it wrong?").fill("cannot be filed so")
            page.keyboard.press("Enter")
            page.wait_for_timeout(A_LOOK)
        decided += 1
    return decided


def _outcome(app: FastAPI) -> Outcome:
    with Store.open(app.state.desk.settings.record) as store:
        return apply(store.walkround("latest"))


def _form_key(page: Page) -> str:
    return page.locator("meta[name=form-key]").get_attribute("content") or ""
