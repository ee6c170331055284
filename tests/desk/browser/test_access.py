"""People, links and tokens in a real browser: how somebody comes in, what an owner sees, who can use it."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from playwright.sync_api import Browser, Page, expect
from tests.desk.browser.conftest import Visit
from tests.desk.conftest import PASSWORD

from helpers_walkround import decision, walkround
from witnessmark.desk.access import invites
from witnessmark.record import Store
from witnessmark.review import apply

WIDTHS = """[document.documentElement.scrollWidth, innerWidth, ...[...document.querySelectorAll("body *")]
  .filter(one => one.getBoundingClientRect().right > innerWidth).map(one => one.outerHTML.slice(0, 80))]"""
"""Of the page and of the window, and what sticks out."""
SIZES = {"phone": {"width": 360, "height": 740}, "wide": {"width": 1600, "height": 900}}


@pytest.fixture
def walk(app: FastAPI) -> str:
    """A walkround with its machine and one reading confirmed."""
    one = walkround()
    with Store.open(app.state.desk.settings.record) as store:
        store.ingest(one)
        for item in ("machine", "r-tread"):
            made = decision(one, item, "confirm")
            store.decide(made, apply(store.walkround(one.id), [made]))
    return one.id


def once(page: Page) -> str:
    """What the page shows this once."""
    return page.get_by_label("To copy").input_value()


def fits(page: Page) -> None:
    """Nothing sticks out at the side, and no serious fault of access is found."""
    page.wait_for_load_state()  # a click does not wait for the styles
    width = page.evaluate(WIDTHS)
    assert width[0] <= width[1], f"{page.url} {width}"
    found = Axe().run(page).response["violations"]
    assert [one["id"] for one in found if one["impact"] in ("serious", "critical")] == [], page.url


def test_an_administrator_lets_somebody_in(visit: Visit, chromium: Browser, address: str) -> None:
    boss = visit("/people", "administrator")
    boss.get_by_label("Comes in as").select_option("reviewer")
    boss.get_by_role("button", name="Make a link").click()
    guest = chromium.new_context().new_page()
    guest.goto(once(boss))
    guest.get_by_label("Name").fill("Kim Fitter")
    guest.get_by_label("Password").fill("four tin buckets")
    guest.get_by_label("The same again").fill("four tin bucket")
    guest.get_by_role("button", name="Come in").click()
    expect(guest.get_by_role("alert")).to_contain_text("The two passwords differ.")
    expect(guest.get_by_label("Name")).to_have_value("Kim Fitter")
    guest.get_by_label("Password").fill("four tin buckets")
    guest.get_by_label("The same again").fill("four tin buckets")
    guest.get_by_role("button", name="Come in").click()
    guest.wait_for_url(f"{address}/")
    expect(guest.get_by_text("Kim Fitter, reviewer")).to_be_visible()
    boss.goto("/people")
    boss.get_by_role("button", name="Let in no more Kim Fitter").click()
    guest.goto(f"{address}/links")
    expect(guest.get_by_role("heading", name="Sign in")).to_be_visible()
    assert guest.url == f"{address}/sign-in?to=/links"
    guest.context.close()


def test_an_owner_opens_a_summary(walk: str, visit: Visit, chromium: Browser) -> None:
    reviewer = visit("/links", "reviewer")
    reviewer.get_by_role("button", name="Make a link").click()
    owner = chromium.new_context(java_script_enabled=False).new_page()
    faults: list[str] = []
    owner.on("console", lambda message: faults.append(message.text))
    owner.goto(once(reviewer))
    expect(owner.get_by_role("heading", level=1)).to_contain_text("Q24 LOT")
    assert faults == []
    reviewer.goto("/links")
    reviewer.get_by_role("button", name="End the link to Q24 LOT").click()
    owner.reload()
    expect(owner.get_by_role("heading", name="There is no summary here")).to_be_visible()
    owner.context.close()


def test_the_summary_keeps_its_looks(walk: str, visit: Visit, chromium: Browser) -> None:
    """The policy lets through the page's own styles, or its sections would have none."""
    reviewer = visit("/links", "reviewer")
    reviewer.get_by_role("button", name="Make a link").click()
    owner = chromium.new_context().new_page()
    owner.goto(once(reviewer))
    looks = "getComputedStyle(document.body).fontFamily + document.styleSheets.length"
    assert "serif" not in owner.evaluate(looks).split(",")[0]
    assert owner.evaluate("document.styleSheets.length") == 1
    owner.context.close()


def test_a_token_is_copied(visit: Visit) -> None:
    page = visit("/me", "technician", permissions=["clipboard-read", "clipboard-write"])
    page.get_by_label("For which program").fill("night script")
    page.get_by_role("button", name="Make a token").click()
    page.get_by_role("button", name="Copy").click()
    expect(page.get_by_role("button", name="Copied")).to_be_visible()
    assert page.evaluate("navigator.clipboard.readText()") == once(page)


def test_keys_alone_sign_in(address: str, visit: Visit, chromium: Browser) -> None:
    visit("/", "reader")
    page = chromium.new_context().new_page()
    page.goto(f"{address}/sign-in?to=/me")
    expect(page.get_by_label("Name")).to_be_focused()
    page.keyboard.type("Robin Reader")
    page.keyboard.press("Tab")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(f"{address}/me")
    page.context.close()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_fits_and_can_be_used(
    app: FastAPI, walk: str, visit: Visit, size: str, scheme: str
) -> None:
    with app.state.desk.own.writing() as db:
        secret = invites.make_at_the_computer(db)
    page = visit("/people", "administrator", viewport=SIZES[size], color_scheme=scheme)
    page.get_by_role("button", name="Make a link").click()
    fits(page)
    for path in ("/me", "/links", f"/welcome/{secret}", "/welcome/used", "/s/none", "/sign-in"):
        page.goto(path)
        fits(page)
    page.goto("/links")
    page.get_by_role("button", name="Make a link").click()
    fits(page)
