"""A walk that a phone left open is ended at the desk, and the phone that comes back loses nothing."""

from __future__ import annotations

from fastapi import FastAPI
from playwright.sync_api import Page, expect
from tests.desk.browser.conftest import Visit
from tests.desk.browser.walk.walking import DIRECT, chunks, end, hashes, kept, pause, sha256, start, walk_of

SLOW = 30_000


def row(page: Page) -> str:
    """The one walk of the list, once it is there."""
    expect(page.locator("#walk-list > li")).to_have_count(1, timeout=SLOW)
    return page.locator("#walk-list > li").inner_text()


def test_a_reviewer_ends_it_and_the_phone_sends_the_whole_later(app: FastAPI, visit: Visit) -> None:
    phone = visit("/walk", "technician", **DIRECT)
    start(phone)
    phone.wait_for_timeout(4000)
    expect(phone.locator("#sent")).to_have_text("All sent so far", timeout=SLOW)
    walk = walk_of(phone)
    phone.context.set_offline(True)
    desk = visit("/walk", "reviewer", **DIRECT)
    assert "Robin Technician" in row(desk)
    expect(desk.locator("#walk-list")).to_contain_text("Being recorded or sent just now.")

    desk.get_by_role("button", name="End it with what has come").click()
    expect(desk.get_by_role("button", name="Leave it open")).to_be_focused()
    expect(desk.locator("#walk-list")).to_contain_text("Only what has come is read.")
    desk.get_by_role("button", name="Leave it open").click()
    assert chunks(app, walk)
    desk.get_by_role("button", name="End it with what has come").click()
    came = len(chunks(app, walk))
    desk.get_by_role("button", name="End it with what has come: yes").click()
    expect(desk.locator("#walk-list")).to_contain_text("Being read", timeout=SLOW)
    app.state.speech.may.set()
    expect(desk.locator("#walk-list")).to_contain_text("Read.", timeout=SLOW)
    desk.get_by_role("button", name="Open").click()
    expect(desk.locator(".came")).to_contain_text("Robin Reviewer ended this at the desk")
    expect(desk.locator(".came")).to_contain_text(f"the first {came} parts")

    phone.context.set_offline(False)
    expect(phone.locator("#sent")).to_contain_text("was ended at the desk with the first", timeout=SLOW)
    expect(phone.locator("#sent")).to_contain_text("kept on this phone")
    pause(phone)
    here = hashes(phone, walk)
    assert len(here) > came
    end(phone)
    expect(phone.locator("#after-title")).to_have_text("Not taken")
    expect(phone.locator("#after-state")).to_contain_text("Send all of it as a new walk")
    phone.get_by_role("button", name="Send as a new walk").click()
    expect(phone.locator("#after-title")).to_have_text("Read", timeout=SLOW)
    expect(phone.locator("#after-remedy")).to_contain_text("came before as a walk of its own")
    assert kept(phone)["walks"] == []
    whole_came(app, walk, here)


def whole_came(app: FastAPI, first: str, here: list[str]) -> None:
    """Two walkrounds, the second of all that the phone had."""
    with app.state.desk.own.reading() as db:
        rows = db.execute("SELECT id, walkround, chunks FROM walks ORDER BY came_at").fetchall()
    (before, early, few), (_, late, all_of_it) = rows
    assert before == first
    assert early != late
    assert few < len(here) <= all_of_it
    with app.state.desk.record() as store:
        lengths = [store.walkround(one).transcript.recording.duration for one in (early, late)]
    assert lengths[0] < lengths[1]


def test_the_speaker_ends_it_on_another_device(app: FastAPI, visit: Visit) -> None:
    phone = visit("/walk", "technician", **DIRECT)
    start(phone)
    phone.wait_for_timeout(3000)
    pause(phone)
    expect(phone.locator("#sent")).to_have_text("All sent so far", timeout=SLOW)
    walk = walk_of(phone)
    sent = [sha256(one) for one in chunks(app, walk)]
    phone.context.close()
    app.state.speech.may.set()
    other = visit("/walk", "technician", **DIRECT)
    row(other)
    other.get_by_role("button", name="End it with what has come").click()
    other.get_by_role("button", name="End it with what has come: yes").click()
    expect(other.locator("#walk-list")).to_contain_text("Read.", timeout=SLOW)
    with app.state.desk.own.reading() as db:
        ((chunks_in_all, notes),) = db.execute("SELECT chunks, notes FROM walks").fetchall()
    assert chunks_in_all == len(sent) > 0
    assert "Robin Technician ended this at the desk" in notes


def test_where_nothing_came_it_can_only_be_dropped(app: FastAPI, visit: Visit) -> None:
    phone = visit("/walk", "technician", **DIRECT)
    phone.route("**/chunks/*", lambda route: route.abort())
    start(phone)
    phone.wait_for_timeout(2000)
    desk = visit("/walk", "reviewer", **DIRECT)
    row(desk)
    expect(desk.locator("#walk-list")).to_contain_text("Begun; nothing of it has come yet.")
    expect(desk.get_by_role("button", name="Drop")).to_be_visible()
    expect(desk.get_by_role("button", name="End it with what has come")).to_have_count(0)
