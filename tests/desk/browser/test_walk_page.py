"""The walk page itself: its words, its size, its voice, and what it keeps to itself."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from playwright.sync_api import Browser, Page, Route, expect
from tests.desk.browser.conftest import OVER_HTTP, PASSWORD, Visit
from tests.desk.browser.walking import (
    end,
    hold,
    kept,
    patient_desk,
    pause,
    sha256,
    start,
    until,
    walk_of,
    whole,
)

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role

DIRECT: dict[str, object] = {"service_workers": "block"}
UNDERSTOOD = {
    "seconds": 31.0,
    "text": "the rear tyre is at twenty two psi",
    "last": [
        {
            "says": "Rear tyre: pressure 22 psi",
            "heard": "the rear tyre is at twenty two psi",
            "doubts": ["?"],
        },
        {"says": "Front disc: thickness 4.8 mm", "heard": "the disc is four point eight", "doubts": []},
    ],
    "doubts": [
        {"says": "Rear tyre: pressure 22 psi", "doubt": "low", "question": "Rear tyre: pressure 22 psi?"},
        {"says": "Fork seal: leak", "doubt": "side", "question": "Fork seal: left or right?"},
    ],
    "machine": "KX21 WPT",
    "not_mentioned": ["Steering head bearings", "Chain"],
    "count": 2,
}
VOICE = """
window.spoken = [];
const track = () => window.microphone.getAudioTracks()[0];
const real = MediaDevices.prototype.getUserMedia;
MediaDevices.prototype.getUserMedia = async function (...how) {
  return (window.microphone = await real.apply(this, how));
};
Object.defineProperty(window, "speechSynthesis", { value: {
  speak(words) {
    window.spoken.push({ text: words.text, deaf: !track().enabled });
    setTimeout(() => { words.onend(); window.spoken.at(-1).after = track().enabled; }, 300);
  },
  cancel() {},
} });
"""


@pytest.fixture
def app(tmp_path: Path) -> Iterator[FastAPI]:
    app = patient_desk(tmp_path, names=(OVER_HTTP,))
    yield app
    app.state.speech.may.set()


def understanding(page: Page) -> None:
    """The desk understands something of every walk."""

    def answer(route: Route) -> None:
        if route.request.method != "GET":
            return route.continue_()
        real = route.fetch()
        return route.fulfill(response=real, json={**real.json(), "understood": UNDERSTOOD})

    page.route("**/api/walks/*", answer)


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


def test_doubtful_numbers_are_read_back_while_nothing_is_heard(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(VOICE)
    page.reload()
    understanding(page)
    page.get_by_label("Read doubtful numbers back").check()
    page.reload()
    assert page.get_by_label("Read doubtful numbers back").is_checked()
    start(page)
    until(page, "window.spoken.length > 0", 40)
    page.wait_for_timeout(4000)
    assert page.evaluate("window.spoken") == [
        {"text": "Rear tyre: pressure 22 psi?", "deaf": True, "after": True}
    ]


def test_nothing_is_read_back_unless_asked_for(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(VOICE)
    page.reload()
    understanding(page)
    start(page)
    page.wait_for_timeout(8000)
    assert page.evaluate("window.spoken") == []


LOUDNESS: list[tuple[list[int], float, str]] = [
    ([-70] * 80 + [-20] * 20, 0, "hearing you"),
    ([-20] * 20 + [-70] * 80, 8, "listening"),
    ([-55] * 100, 0, "very quiet – come closer"),
    ([-30] * 100, 0, "listening"),
    ([-90] * 100, 19.9, "listening"),
    ([-90] * 100, 20, "no sound for 20 s"),
    ([-90] * 100, 47, "no sound for 40 s"),
    ([], 0, "listening"),
]
"""Decibels each 100 ms, seconds without any sound, what the page says."""


def test_loudness_in_words(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    judge = "async ([history, silent]) => (await import('/static/walk/level.js')).judge(history, silent)"
    said = [page.evaluate(judge, [decibels, silent]) for decibels, silent, _ in LOUDNESS]
    assert said == [says for _, _, says in LOUDNESS]


def test_the_meter_hears_the_microphone_and_its_silence(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(VOICE)
    page.reload()
    start(page)
    expect(page.locator("#level-word")).to_have_text("hearing you", timeout=8000)
    page.evaluate("window.microphone.getAudioTracks()[0].enabled = false")
    expect(page.locator("#level-word")).to_have_text("no sound for 20 s", timeout=25_000)
    expect(page.locator("#spoken")).to_have_text("no sound for 20 s")


def test_a_recorder_that_the_phone_stops_is_told_loudly(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(VOICE)
    page.reload()
    start(page)
    page.wait_for_timeout(2500)
    page.evaluate("window.microphone.getTracks().forEach((track) => track.stop())")
    alarm = page.get_by_role("alert")
    expect(alarm).to_contain_text("The phone stopped the recording at 0:0")
    expect(page.locator("#after-title")).to_have_text("Being read", timeout=15_000)
    alarm.get_by_role("button", name="Go on in a new walk").click()
    expect(page.locator("#state")).to_have_text("Recording")
    expect(alarm).to_have_count(0)


def test_a_full_phone_is_told_at_once_and_what_is_said_still_arrives(app: FastAPI, visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(
        "const put = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put = function (...what) {"
        "if (this.name === 'bytes') throw new DOMException('full', 'QuotaExceededError');"
        "return put.apply(this, what); };"
    )
    page.reload()
    start(page)
    expect(page.get_by_role("alert")).to_contain_text("This phone is full.", timeout=8000)
    page.get_by_role("button", name="Close").click()
    page.wait_for_timeout(1000)
    walk = walk_of(page)
    assert kept(page)["parts"] == []
    end(page)
    expect(page.locator("#after-title")).to_have_text("Being read", timeout=15_000)
    assert whole(app, walk)


def test_a_microphone_that_is_refused_is_told_with_a_remedy(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(
        "MediaDevices.prototype.getUserMedia = async () => {"
        "throw new DOMException('no', 'NotAllowedError'); };"
    )
    page.reload()
    page.get_by_role("button", name="Start the walk").click()
    expect(page.get_by_role("alert")).to_contain_text("allow the microphone, then start again")
    expect(page.get_by_role("button", name="Start the walk")).to_be_enabled()


def test_a_browser_that_cannot_record_says_so(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script("MediaRecorder.isTypeSupported = () => false;")
    page.reload()
    expect(page.get_by_text("This browser records neither Opus nor AAC.")).to_be_visible()
    expect(page.get_by_role("button", name="Start the walk")).to_be_hidden()


def test_the_screen_stays_on_while_recording(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(
        "window.locks = [];"
        "Object.defineProperty(navigator, 'wakeLock', { value: { request: async (kind) => {"
        "const lock = { kind, released: false, release: async () => (lock.released = true) };"
        "window.locks.push(lock); return lock; } } });"
    )
    page.reload()
    start(page)
    page.evaluate(
        "() => { locks[0].released = true; document.dispatchEvent(new Event('visibilitychange')); }"
    )
    until(page, "locks.length === 2")
    end(page)
    assert page.evaluate("locks.map((lock) => [lock.kind, lock.released])") == [["screen", True]] * 2


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
    ours = """async ([bytes, step]) => {
      const { Sha256, hex } = await import("/static/walk/sha256.js");
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
        b"a" * 1_000_000: "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
    }
    for message, digest in published.items():
        assert page.evaluate(ours, [list(message), 4096]) == digest
    for length in (0, 1, 55, 56, 63, 64, 65, 119, 120, 1000):
        message = bytes(at % 251 for at in range(length))
        assert page.evaluate(ours, [list(message), 17]) == hashlib.sha256(message).hexdigest()


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


def test_hold_is_filled_and_let_go(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    start(page)
    filling = page.locator("#end.filling")
    box = page.locator("#end").bounding_box()
    assert box
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    expect(filling).to_have_count(1)
    page.mouse.move(box["x"] + 20, box["y"] - 200)
    page.mouse.up()
    expect(filling).to_have_count(0)
    expect(page.locator("#state")).to_have_text("Recording")
    hold(page)
    expect(page.locator("#after-title")).to_be_visible()
