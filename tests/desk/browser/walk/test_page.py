"""The walk page itself: its words, its size, and what it keeps to itself."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from playwright.sync_api import Browser, Page, expect
from tests.desk.browser.conftest import OVER_HTTP, Visit
from tests.desk.browser.walk.walking import (
    DIRECT,
    end,
    pause,
    sha256,
    start,
    understanding,
    whole,
)
from tests.desk.conftest import PASSWORD

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role


def test_what_was_understood_stands_there_large(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    understanding(page)
    start(page)
    expect(page.locator(".says")).to_have_text("Rear tyre: pressure 22 psi", timeout=10_000)
    questions = (
        page.get_by_role("heading", name="To settle: say it again")
        .locator("xpath=..")
        .get_by_role("listitem")
    )
    expect(questions).to_have_text(["Rear tyre: pressure 22 psi?", "Fork seal: left or right?"])
    expect(page.get_by_text("Chain", exact=True)).to_be_hidden()
    page.get_by_text("Not said yet: 2").click()
    expect(page.get_by_text("Chain", exact=True)).to_be_visible()
    expect(page.get_by_text("Machine: KX21 WPT")).to_be_visible()
    expect(page.locator("#notices")).to_be_empty()


def test_what_is_told_again_stays_the_same_node(visit: Visit) -> None:
    """A live region that is written anew each time would be read out each time."""
    page = visit("/walk", "technician", **DIRECT)
    understanding(page)
    start(page)
    expect(page.locator(".asked li").first).to_be_visible(timeout=10_000)
    page.evaluate(
        "new MutationObserver((all) => (window.changes = all.length))"
        ".observe(document.getElementById('live'), {subtree: true, childList: true, characterData: true})"
    )
    page.wait_for_timeout(4500)
    assert page.evaluate("window.changes ?? 0") == 0


def test_without_encryption_files_still_go(
    app: FastAPI, address: str, chromium: Browser, voice: Path
) -> None:
    with app.state.desk.own.writing() as db:
        people.add(db, "Robin Ash", Role.TECHNICIAN, PASSWORD)
    with chromium.new_context(base_url=address.replace("localhost", OVER_HTTP)) as context:
        page = context.new_page()
        page.goto("/sign-in?to=/walk")
        page.get_by_label("Name").fill("Robin Ash")
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_text("The microphone stays closed because")).to_be_visible()
        expect(page.get_by_role("button", name="Start the walk")).to_be_hidden()
        page.locator("#file").set_input_files(voice)
        expect(page.locator("#walk-list")).to_contain_text("Being read", timeout=20_000)
        (row,) = page.evaluate("async () => (await fetch('/api/walks')).json()")
    assert sha256(whole(app, row["id"])) == sha256(voice.read_bytes())


def test_hashes_are_those_of_the_standard(visit: Visit) -> None:
    """Examples of FIPS 180-4 (NIST, Secure Hash Standard, examples with intermediate values)."""
    page = visit("/walk", "technician", **DIRECT)
    ours = """async ([few, times, step]) => {
      const { Sha256, hex } = await import("/static/walk/sha256.js");
      const bytes = Array(times).fill(few).flat();
      const hash = new Sha256();
      for (let at = 0; at < bytes.length; at += step)
        hash.update(Uint8Array.from(bytes.slice(at, at + step)));
      return hex(hash.digest());
    }"""
    published = {
        b"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": (
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
        ),
        b"a" * 1000: "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
    }
    for message, digest in published.items():
        times = 1000 if len(message) == 1000 else 1  # the standard's million letters
        assert page.evaluate(ours, [list(message), times, 4096]) == digest
    for length in (0, 1, 55, 56, 63, 64, 65, 119, 120, 1000):
        message = bytes(at % 251 for at in range(length))
        assert page.evaluate(ours, [list(message), 1, 17]) == hashlib.sha256(message).hexdigest()


def test_nothing_is_fetched_from_elsewhere_and_the_console_is_clean(address: str, visit: Visit) -> None:
    page = visit("/walk", "technician")
    asked: list[str] = []
    said: list[str] = []
    page.context.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.reload()
    start(page)
    page.wait_for_timeout(3000)
    end(page)
    expect(page.locator("#after-title")).to_have_text("Being read", timeout=15_000)
    page.wait_for_timeout(2500)
    assert said == []
    assert {urlsplit(url).netloc for url in asked if not url.startswith("blob:")} == {
        urlsplit(address).netloc
    }


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1600])
def test_axe_finds_nothing_and_nothing_is_small(visit: Visit, width: int, scheme: str) -> None:
    page = visit(
        "/walk", "technician", viewport={"width": width, "height": 900}, color_scheme=scheme, **DIRECT
    )
    understanding(page)
    page.locator("#machine summary").click()
    fit(page, width)
    start(page)
    expect(page.locator(".asked")).to_be_visible(timeout=10_000)
    fit(page, width)
    pause(page)
    fit(page, width)
    page.route("**/end", lambda route: route.fulfill(status=410, body=json.dumps({"detail": "Gone."})))
    end(page)
    expect(page.locator("#after-title")).to_have_text("Not taken", timeout=10_000)
    fit(page, width)
    page.get_by_role("button", name="Another walk").click()
    expect(page.locator("#walk-list > li")).to_have_count(1)
    fit(page, width)


def fit(page: Page, width: int) -> None:
    assert Axe().run(page).response["violations"] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    targets = page.locator("#walk :is(button, summary, select, label:has(input)):visible")
    for target in targets.all():
        box = target.bounding_box()
        assert box
        assert box["height"] >= 72, target.inner_text()
    letters = page.locator("#walk :is(p, li, label, button, h2, h3, small, span, strong):visible")
    sizes = letters.evaluate_all("(all) => all.map((one) => parseFloat(getComputedStyle(one).fontSize))")
    assert min(sizes) >= 20
