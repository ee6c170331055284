"""A walk spoken into the page, with a microphone that plays a demo recording."""

from __future__ import annotations

import hashlib
import io
import struct

import av
from fastapi import FastAPI
from playwright.sync_api import Page, expect
from tests.desk.browser.conftest import Visit
from tests.desk.browser.walk.walking import (
    DIRECT,
    chunks,
    end,
    hashes,
    hold,
    kept,
    pause,
    recording,
    sha256,
    start,
    until,
    walk_of,
    whole,
)


def arrived(page: Page) -> None:
    expect(page.locator("#after-title")).to_have_text("Being read", timeout=15_000)


def test_a_walk_arrives_as_it_was_kept_and_is_let_go(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(6000)
    pause(page)
    walk, here = walk_of(page), hashes(page, walk_of(page))
    expect(page.locator("#sent")).to_have_text("All sent so far")
    assert len(here) >= 2
    before = chunks(app, walk)
    assert [sha256(one) for one in before] == here
    end(page)
    arrived(page)
    joined = whole(app, walk)
    assert joined.startswith(b"".join(before))
    with av.open(io.BytesIO(joined)) as sound:
        samples = sum(frame.samples / frame.sample_rate for frame in sound.decode(audio=0))
    assert 5.5 < samples < 8
    assert kept(page) == {"walks": [], "parts": [], "bytes": {}, "photos": []}


def test_what_was_said_is_told_until_it_is_read(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(2500)
    end(page)
    arrived(page)
    app.state.speech.may.set()
    expect(page.locator("#after-title")).to_have_text("Read", timeout=20_000)
    page.get_by_role("button", name="Open the findings").click()
    page.wait_for_url("**/review/w-*")


def test_a_recording_without_speech_can_be_read_again_and_dropped(app: FastAPI, visit: Visit) -> None:
    app.state.speech.says = ""
    app.state.speech.may.set()
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(2500)
    end(page)
    expect(page.locator("#after-title")).to_have_text("Not read", timeout=20_000)
    app.state.speech.may.clear()
    page.get_by_role("button", name="Read again").click()
    arrived(page)
    app.state.speech.may.set()
    expect(page.locator("#after-title")).to_have_text("Not read", timeout=20_000)
    page.get_by_role("button", name="Drop", exact=True).click()
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("button", name="Drop", exact=True).click()
    page.get_by_role("button", name="Drop: yes").click()
    expect(page.locator("#after-title")).to_have_text("Dropped")


def test_machine_and_country_go_with_the_walk_and_the_country_is_remembered(
    app: FastAPI, visit: Visit
) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.locator("#machine summary").click()
    page.get_by_label("Search or type").fill("kx21 wpt")
    page.get_by_label("kx21 wpt not known here yet").check()
    page.get_by_label("Country").select_option("DE")
    page.reload()
    assert page.get_by_label("Country").input_value() == "DE"
    page.locator("#machine summary").click()
    page.get_by_label("Search or type").fill("kx21 wpt")
    page.get_by_label("Search or type").press("Enter")
    expect(page.locator("#machine-chosen")).to_have_text("kx21 wpt")
    start(page)
    page.wait_for_timeout(1500)
    pause(page)
    expect(page.locator("#sent")).to_have_text("All sent so far")
    (row,) = page.evaluate("async () => (await fetch('/api/walks')).json()")
    assert (row["machine"], row["jurisdiction"], row["who"]) == ("kx21 wpt", "DE", "Robin Technician")


def test_a_pause_stops_the_clock_and_the_sound(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(2200)
    pause(page)
    clock, parts = page.locator("#clock").inner_text(), len(kept(page)["parts"])
    page.wait_for_timeout(2500)
    assert page.locator("#clock").inner_text() == clock
    assert len(kept(page)["parts"]) == parts
    page.get_by_role("button", name="Go on").click()
    page.wait_for_timeout(1500)
    assert page.locator("#clock").inner_text() > clock


def test_a_short_touch_ends_nothing_and_a_second_does(visit: Visit) -> None:
    page = visit(
        "/walk", "technician", has_touch=True, is_mobile=True, viewport={"width": 360, "height": 740}
    )
    start(page)
    page.locator("#end").tap()
    expect(page.locator("#end")).to_have_text("Hold for one second")
    recording(page)
    hold(page, 500)
    recording(page)
    box = page.locator("#end").bounding_box()
    assert box
    finger = {"x": box["x"] + 40, "y": box["y"] + 40}
    touch = page.context.new_cdp_session(page)
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [finger]})
    page.wait_for_timeout(1200)
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(page.locator("#after-title")).to_be_visible()


def test_the_keyboard_asks_before_it_ends(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(600)
    page.locator("#end").press("Enter")
    expect(page.locator("#end")).to_have_text("End the walk? Press again")
    expect(page.locator("#state")).to_be_visible()
    page.locator("#end").press("Enter")
    expect(page.locator("#after-title")).to_be_visible()


def test_a_photo_arrives_with_its_second(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.wait_for_timeout(2000)
    picture = page.screenshot()
    with page.expect_file_chooser() as chosen:
        page.get_by_role("button", name="Photo").click()
    chosen.value.set_files({"name": "pad.png", "mimeType": "image/png", "buffer": picture})
    expect(page.get_by_role("img", name="Photo at 0:02")).to_be_visible()
    pause(page)
    walk, digest = walk_of(page), hashlib.sha256(picture).hexdigest()
    until(page, "async () => (await (await fetch('/api/walks')).json())[0].photos.length")
    assert app.state.walks.incoming.parts.photo(walk, digest).read_bytes() == picture
    with app.state.desk.own.reading() as db:
        ((at,),) = db.execute("SELECT at FROM walk_photos").fetchall()
    assert 1.5 < at < 4


def test_a_picture_of_another_kind_arrives_as_jpeg(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    header = struct.pack("<2sIHHI", b"BM", 58, 0, 0, 54)
    bitmap = header + struct.pack("<IiiHHIIiiII", 40, 1, 1, 1, 24, 0, 4, 0, 0, 0, 0) + b"\x10\x20\x30\x00"
    page.locator("#camera").set_input_files({"name": "a.bmp", "mimeType": "image/bmp", "buffer": bitmap})
    expect(page.get_by_role("img", name="Photo at")).to_be_visible()
    until(page, "async () => (await (await fetch('/api/walks')).json())[0]?.photos.length")
    with app.state.desk.own.reading() as db:
        assert db.execute("SELECT media_type FROM walk_photos").fetchall() == [("image/jpeg",)]


def test_a_picture_that_is_none_is_told(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    page.locator("#camera").set_input_files({"name": "a.gif", "mimeType": "image/gif", "buffer": b"GIF89a?"})
    expect(page.get_by_role("alert")).to_contain_text("This picture cannot be used")
    recording(page)
