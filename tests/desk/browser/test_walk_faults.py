"""Whatever breaks between phone and desk, nothing that was said is lost, and the page says what happened."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from playwright.sync_api import Page, Route, expect
from tests.desk.browser.conftest import PASSWORD, Visit
from tests.desk.browser.walking import (
    chunks,
    end,
    hashes,
    kept,
    patient_desk,
    pause,
    sha256,
    start,
    until,
    walk_of,
    whole,
)

DIRECT: dict[str, object] = {"service_workers": "block"}
SLOW = 30_000
"""Milliseconds for what is tried again after growing pauses."""


@pytest.fixture
def app(tmp_path: Path) -> Iterator[FastAPI]:
    app = patient_desk(tmp_path)
    yield app
    app.state.speech.may.set()


def refusal(route: Route, status: int, **more: object) -> None:
    body = {"title": "No", "status": status, "detail": "the desk is not well.", "remedy": None, **more}
    route.fulfill(status=status, content_type="application/problem+json", body=json.dumps(body))


def ended_whole(app: FastAPI, page: Page) -> None:
    """End, and see that all arrives as it was kept."""
    pause(page)
    walk, here = walk_of(page), hashes(page, walk_of(page))
    end(page)
    arrives(app, page, walk, here)


def arrives(app: FastAPI, page: Page, walk: str, here: list[str]) -> None:
    expect(page.locator("#after-title")).to_have_text("Being read", timeout=SLOW)
    joined, at = whole(app, walk), 0
    with app.state.desk.own.reading() as db:
        sizes = db.execute("SELECT size, sha256 FROM walk_chunks WHERE walk = ? ORDER BY number", [walk])
        for size, digest in sizes.fetchall():
            assert sha256(joined[at : at + size]) == digest
            at += size
            here = here[1:] if here[:1] == [digest] else here
    assert at == len(joined)
    assert here == []
    assert kept(page)["walks"] == []


def test_the_network_goes_and_comes_back(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(2500)
    page.context.set_offline(True)
    page.wait_for_timeout(6000)
    expect(page.locator("#sent")).to_contain_text("No network – kept on this phone")
    expect(page.locator("#spoken")).to_have_text("No network – kept on this phone")
    walk = walk_of(page)
    assert len(chunks(app, walk)) < len(hashes(page, walk))
    page.context.set_offline(False)
    expect(page.locator("#sent")).to_have_text("All sent so far", timeout=SLOW)
    assert [sha256(one) for one in chunks(app, walk)] == hashes(page, walk)
    ended_whole(app, page)


def test_a_walk_that_ends_without_a_network_arrives_later(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.set_offline(True)
    start(page)
    page.wait_for_timeout(3000)
    pause(page)
    walk, here = walk_of(page), hashes(page, walk_of(page))
    end(page)
    expect(page.locator("#after-state")).to_contain_text("No network: kept on this phone")
    page.context.set_offline(False)
    arrives(app, page, walk, here)


def test_a_reload_breaks_off_and_loses_nothing_that_was_kept(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.route("**/chunks/*", lambda route: route.abort())
    start(page)
    page.wait_for_timeout(6000)
    walk, here = walk_of(page), hashes(page, walk_of(page))
    assert here
    page.unroute("**/chunks/*")
    page.reload()
    expect(page.locator("#notices")).to_contain_text("was broken off at 0:0")
    expect(page.locator("#walk-list")).to_contain_text("Being read", timeout=SLOW)
    joined = whole(app, walk)
    with app.state.desk.own.reading() as db:
        rows = db.execute("SELECT sha256 FROM walk_chunks WHERE walk = ? ORDER BY number", [walk]).fetchall()
    assert [digest for (digest,) in rows][: len(here)] == here
    assert joined
    page.get_by_role("button", name="Go on in a new walk").click()
    expect(page.locator("#state")).to_have_text("Recording")


def test_the_page_opens_and_records_without_a_network(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician")
    until(page, "navigator.serviceWorker.controller !== null")
    until(page, "caches.match('/static/walk/page.js').then(Boolean)")
    page.context.set_offline(True)
    start(page)
    page.wait_for_timeout(6000)
    page.reload()
    expect(page.locator("#notices")).to_contain_text("was broken off at 0:0")
    start(page)
    page.wait_for_timeout(2500)
    pause(page)
    end(page)
    assert len(kept(page)["walks"]) == 2
    page.context.set_offline(False)
    expect(page.locator("#after-title")).to_have_text("Being read", timeout=SLOW)
    until(
        page,
        "async () => (await (await fetch('/api/walks')).json())"
        ".filter((one) => ['waiting', 'reading'].includes(one.state)).length === 2",
    )
    assert kept(page)["walks"] == []


@pytest.mark.parametrize("status", [409, 422, 429, 500, 503])
def test_a_desk_that_is_unwell_for_a_while_gets_it_all(app: FastAPI, visit: Visit, status: int) -> None:
    page = visit("/walk", "technician", **DIRECT)
    tries = []

    def unwell(route: Route) -> None:
        tries.append(route.request.url)
        if len(tries) > 2:
            route.continue_()
        else:
            refusal(route, status)

    page.route("**/chunks/1", unwell)
    start(page)
    expect(page.locator("#sent")).to_contain_text("the desk is not well – kept on this phone", timeout=SLOW)
    expect(page.locator("#sent")).to_have_text("All sent so far", timeout=SLOW)
    assert len(tries) == 3
    ended_whole(app, page)


def test_answers_that_are_lost_make_nothing_twice(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    lost: list[str] = []

    def lose(route: Route) -> None:
        if route.request.method == "GET" or lost.count(route.request.url):
            route.continue_()
        else:
            lost.append(route.request.url)
            route.fetch()
            route.abort()

    page.route("**/api/walks/**", lose)
    start(page)
    page.wait_for_timeout(4000)
    expect(page.locator("#sent")).to_have_text("All sent so far", timeout=SLOW)
    ended_whole(app, page)
    assert {url.rpartition("/")[2] for url in lost} >= {"0", "end"}


def test_what_the_desk_misses_at_the_end_is_sent_again(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.route("**/chunks/0", lambda route: route.fulfill(status=201), times=1)
    start(page)
    page.wait_for_timeout(3000)
    ended_whole(app, page)


def test_a_walk_that_the_desk_will_not_have_goes_under_another_name(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.route("**/chunks/0", lambda route: refusal(route, 410))
    start(page)
    page.wait_for_timeout(3000)
    pause(page)
    first, here = walk_of(page), hashes(page, walk_of(page))
    end(page)
    expect(page.locator("#after-title")).to_have_text("Not taken")
    assert hashes(page, first)[: len(here)] == here
    page.unroute("**/chunks/0")
    page.get_by_role("button", name="Send as a new walk").click()
    rows = page.locator("#walk-list")
    expect(rows).to_contain_text("Being read", timeout=SLOW)
    with app.state.desk.own.reading() as db:
        found = db.execute("SELECT w.id, c.sha256 FROM walks AS w JOIN walk_chunks AS c ON c.walk = w.id")
        sent = [digest for walk, digest in found.fetchall() if walk != first]
    assert sent[: len(here)] == here


def test_signing_in_again_goes_on(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(1500)
    page.context.clear_cookies()
    page.wait_for_timeout(3000)
    pause(page)
    expect(page.locator("#sent")).to_contain_text("Nobody is signed in here any more – kept on this phone")
    walk, here = walk_of(page), hashes(page, walk_of(page))
    end(page)
    page.get_by_role("button", name="Sign in").first.click()
    page.get_by_label("Name").fill("Robin Technician")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.locator("#walk-list")).to_contain_text("Being read", timeout=SLOW)
    assert here
    assert whole(app, walk)


def test_a_walk_is_sent_by_who_spoke_it_only(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.set_offline(True)
    start(page)
    page.wait_for_timeout(1500)
    end(page)
    page.context.clear_cookies()
    page.context.set_offline(False)
    page.goto("/sign-in?to=/walk")
    visit("/sign-in", "reviewer").close()
    page.get_by_label("Name").fill("Robin Reviewer")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.locator("#walk-list")).to_contain_text("This walk was spoken by Robin Technician.")
    page.wait_for_timeout(1500)
    assert page.evaluate("async () => (await fetch('/api/walks')).json()") == []
    assert len(kept(page)["walks"]) == 1
