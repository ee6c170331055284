"""The microphone of the walk page, its level, its ends, and the voice that reads back."""

from __future__ import annotations

from fastapi import FastAPI
from playwright.sync_api import expect
from tests.desk.browser.conftest import Visit
from tests.desk.browser.walk.walking import (
    DIRECT,
    end,
    hold,
    kept,
    recording,
    start,
    understanding,
    until,
    walk_of,
    whole,
)

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


def test_a_voice_that_never_ends_does_not_keep_the_recording_deaf(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(VOICE.replace("words.onend();", ""))
    page.reload()
    understanding(page)
    page.get_by_label("Read doubtful numbers back").check()
    start(page)
    deaf = "window.spoken.length > 0 && !window.microphone.getAudioTracks()[0].enabled"
    until(page, deaf, 40)
    until(page, f"!({deaf})", 8)
    expect(page.locator("#level-word")).not_to_contain_text("not listening")


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
    recording(page)
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
    recording(page)
    hold(page)
    expect(page.locator("#after-title")).to_be_visible()


def test_a_phone_that_will_lock_is_told_of(visit: Visit) -> None:
    page = visit("/walk", "technician", **DIRECT)
    page.context.add_init_script(
        "Object.defineProperty(navigator, 'wakeLock', { value: { request: async () => {"
        "throw new DOMException('low battery', 'NotAllowedError'); } } });"
    )
    page.reload()
    start(page)
    expect(page.locator("#notices")).to_contain_text("The phone will not keep its screen on.")
