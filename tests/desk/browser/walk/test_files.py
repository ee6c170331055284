"""Recordings made elsewhere, sent from the walk page."""

from __future__ import annotations

from pathlib import Path

from fastapi import FastAPI
from playwright.sync_api import expect
from tests.desk.browser.conftest import Visit
from tests.desk.browser.walk.walking import (
    DIRECT,
    sha256,
    walk_of,
    whole,
)
from tests.desk.walk.sending import tone

SLOW = 30_000
"""Milliseconds for what is tried again after growing pauses."""


def test_a_file_that_is_cut_off_can_be_read_as_far_as_it_goes(
    app: FastAPI, visit: Visit, tmp_path: Path
) -> None:
    app.state.speech.may.set()
    cut = tmp_path / "cut.webm"
    cut.write_bytes(tone(cut, 4)[:14_000])
    page = visit("/walk", "technician", **DIRECT)
    page.locator("#file").set_input_files(cut)
    page.get_by_role("button", name="Read as far as it goes").click(timeout=30_000)
    expect(page.locator("#walk-list")).to_contain_text("Read.", timeout=30_000)


def test_a_recording_made_elsewhere_goes_in_slices(app: FastAPI, visit: Visit, voice: Path) -> None:
    page = visit("/walk", "technician", **DIRECT)
    with page.expect_file_chooser() as chosen:
        page.get_by_role("button", name="Choose files").click()
    chosen.value.set_files(voice)
    rows = page.locator("#walk-list > li")
    expect(rows).to_have_count(1)
    expect(rows.first).to_contain_text("voice.wav")
    expect(rows.first).to_contain_text("Being read", timeout=20_000)
    (row,) = page.evaluate("async () => (await fetch('/api/walks')).json()")
    assert row["chunks"] == 3
    assert sha256(whole(app, row["id"])) == sha256(voice.read_bytes())


def test_a_file_goes_on_after_a_reload(app: FastAPI, visit: Visit, voice: Path) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.route("**/chunks/1", lambda route: route.abort())
    page.locator("#file").set_input_files(voice)
    expect(page.locator("#walk-list")).to_contain_text("1 of 3 parts are at the desk", timeout=SLOW)
    walk = walk_of(page)
    page.unroute("**/chunks/1")
    sent = []
    page.on("request", lambda request: "chunks" in request.url and sent.append(request.url[-1]))
    page.reload()
    expect(page.locator("#walk-list")).to_contain_text("Being read", timeout=SLOW)
    assert sent == ["1", "2"]
    assert sha256(whole(app, walk)) == sha256(voice.read_bytes())


def test_a_file_too_large_to_keep_is_chosen_again(app: FastAPI, visit: Visit, voice: Path) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(
        "const put = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put = function (...what) {"
        "if (what[0].file) throw new DOMException('full', 'QuotaExceededError');"
        "return put.apply(this, what); };"
    )
    page.reload()
    page.route("**/chunks/1", lambda route: route.abort())
    page.locator("#file").set_input_files(voice)
    expect(page.locator("#walk-list")).to_contain_text("1 of 3 parts are at the desk", timeout=SLOW)
    walk = walk_of(page)
    page.unroute("**/chunks/1")
    page.reload()
    expect(page.locator("#walk-list")).to_contain_text("Choose this file again to go on.")
    page.locator("#file").set_input_files(voice)
    expect(page.locator("#walk-list")).to_contain_text("Being read", timeout=SLOW)
    assert sha256(whole(app, walk)) == sha256(voice.read_bytes())


def test_a_file_of_two_gigabytes_is_refused_before_a_byte_is_sent(visit: Visit, tmp_path: Path) -> None:
    large = tmp_path / "all day.wav"
    with large.open("wb") as file:
        file.truncate(2 << 30)
    page = visit("/walk", "technician", **DIRECT)
    asked: list[str] = []
    page.on("request", lambda request: request.method == "PUT" and asked.append(request.url))
    page.locator("#file").set_input_files(large)
    told = page.locator("#notices")
    expect(told).to_contain_text("all day.wav is larger than the desk takes (1024 MB).", timeout=SLOW)
    page.wait_for_timeout(1500)
    assert asked == []
    expect(page.locator("#walk-list > li")).to_have_count(0)


def test_a_renamed_program_is_told_and_dropped(app: FastAPI, visit: Visit, tmp_path: Path) -> None:
    app.state.speech.may.set()
    program = tmp_path / "walk.m4a"
    program.write_bytes(b"\x7fELF" + bytes(range(256)) * 400)
    page = visit("/walk", "technician", **DIRECT)
    page.locator("#file").set_input_files(program)
    expect(page.locator("#walk-list")).to_contain_text("It is no sound file", timeout=SLOW)
    page.get_by_role("button", name="Drop").click()
    page.get_by_role("button", name="Drop: yes").click()
    expect(page.locator("#walk-list > li")).to_have_count(0)
    with app.state.desk.record() as store:
        assert store.walkrounds() == []


def test_a_phone_whose_clock_is_wrong_is_told_and_its_reviewer_too(
    app: FastAPI, visit: Visit, voice: Path
) -> None:
    app.state.speech.may.set()
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script("{ const now = Date.now; Date.now = () => now() + 3 * 3600 * 1000; }")
    page.context.add_init_script(
        "{ const Real = Date; Date = class extends Real {"
        " constructor(...given) { given.length ? super(...given) : super(Real.now()); } }; }"
    )
    page.reload()
    page.locator("#file").set_input_files(voice)
    expect(page.locator("#walk-list")).to_contain_text("Read.", timeout=SLOW)
    page.get_by_role("button", name="Open").click()
    expect(page.locator(".came")).to_contain_text(
        "The recorder's clock is 3 hours ahead of the clock of this desk."
    )
