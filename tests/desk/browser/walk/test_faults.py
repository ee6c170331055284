"""Whatever breaks between phone and desk, nothing that was said is lost, and the page says what happened."""

from __future__ import annotations

import json

from fastapi import FastAPI
from playwright.sync_api import Page, Route, expect
from tests.desk.browser.conftest import Visit
from tests.desk.browser.walk.walking import (
    DIRECT,
    chunks,
    end,
    hashes,
    kept,
    pause,
    recording,
    sha256,
    start,
    until,
    walk_of,
    whole,
)
from tests.desk.conftest import PASSWORD

SLOW = 30_000
"""Milliseconds for what is tried again after growing pauses."""


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
    app.state.speech.may.set()
    expect(page.locator("#walk-list")).to_contain_text("Read.", timeout=SLOW)
    page.get_by_role("button", name="Go on in a new walk").click()
    recording(page)


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


def test_a_desk_that_is_unwell_for_a_while_gets_it_all(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    unwell = {0: [500, 503], 1: [409, 422], 2: [429, 507]}

    def answer(route: Route) -> None:
        left = unwell.get(int(route.request.url.rpartition("/")[2]))
        if left:
            refusal(route, left.pop())
        else:
            route.continue_()

    page.route("**/chunks/*", answer)
    start(page)
    expect(page.locator("#sent")).to_contain_text("The desk is not well – kept on this phone", timeout=SLOW)
    page.wait_for_timeout(7000)
    expect(page.locator("#sent")).to_have_text("All sent so far", timeout=SLOW)
    ended_whole(app, page)
    assert unwell == {0: [], 1: [], 2: []}


def test_answers_that_are_lost_make_nothing_twice(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    lost: list[str] = []

    def lose(route: Route) -> None:
        url = route.request.url
        enough = len(lost) > 4 and not url.endswith("/end")  # else more is said than gets through
        if route.request.method == "GET" or url in lost or enough:
            route.continue_()
        else:
            lost.append(url)
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
    expect(page.locator("#after-title")).to_have_text("Being read", timeout=SLOW)
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


def test_a_second_tab_leaves_the_recording_alone(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(6000)
    other = page.context.new_page()
    other.goto("/walk")
    expect(other.locator("#walk-list")).to_contain_text("Open in another tab of this phone.")
    assert other.locator("#notices").inner_text() == ""
    page.close()
    expect(other.locator("#notices")).to_contain_text("was broken off", timeout=SLOW)
    expect(other.locator("#walk-list")).to_contain_text("Being read", timeout=SLOW)


def test_a_walk_broken_off_at_once_leaves_nothing_behind(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.route("**/chunks/*", lambda route: route.abort())
    start(page)
    until(page, "async () => (await (await fetch('/api/walks')).json()).length === 1")
    assert kept(page)["parts"] == []
    page.reload()
    expect(page.locator("#notices")).to_contain_text("was broken off before anything of it was kept")
    until(
        page, "async () => (await (await fetch('/api/walks')).json()).every((one) => one.state === 'dropped')"
    )
    assert kept(page)["walks"] == []
