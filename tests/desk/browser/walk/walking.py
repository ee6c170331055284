"""A desk whose speech model waits until it is let go, and hands for the walk page."""

from __future__ import annotations

import hashlib
import re
import threading
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from playwright.sync_api import Page, Route, expect

from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings
from witnessmark.transcribe import Transcriber
from witnessmark.types import Sound, Transcript, Word

DIRECT: dict[str, object] = {"service_workers": "block"}
"""Settings of a browser whose requests come straight from the page, where a test can bend them."""
SAID = "The rear tyre tread is four millimetres. The front pads are two millimetres."
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
"""What the desk may tell of a walk."""
KEPT = """async () => {
  const open = indexedDB.open("witnessmark-walks");
  const db = await new Promise((done) => (open.onsuccess = () => done(open.result)));
  const all = (store) => new Promise((done) => {
    const asked = db.transaction(store).objectStore(store).getAll();
    asked.onsuccess = () => done(asked.result);
  });
  const keys = await new Promise((done) => {
    const asked = db.transaction("bytes").objectStore("bytes").getAllKeys();
    asked.onsuccess = () => done(asked.result);
  });
  const bytes = {};
  const pair = (byte) => byte.toString(16).padStart(2, "0");
  const hexadecimal = (data) => Array.from(new Uint8Array(data), pair).join("");
  for (const [at, one] of (await all("bytes")).entries())
    bytes[keys[at]] = hexadecimal(await crypto.subtle.digest("SHA-256", one));
  const [walks, parts, photos] = [await all("walks"), await all("parts"), await all("photos")];
  db.close();
  return { walks, parts, bytes, photos: photos.map(({ bytes: _, ...photo }) => photo) };
}"""


class Patient(Transcriber):
    """Prints `says` for every recording, once it may."""

    def __init__(self, says: str = SAID) -> None:
        super().__init__()
        self.may = threading.Event()
        self.says = says

    def transcribe(self, sound: Sound, *_: object, **__: object) -> Transcript:
        self.may.wait(60)
        found = list(re.finditer(r"\S+", self.says))
        step = sound.recording.duration / max(1, len(found))
        words = tuple(
            Word(
                text=match[0],
                char_start=match.start(),
                char_end=match.end(),
                start=round(at * step, 3),
                end=round((at + 1) * step, 3),
                probability=0.95,
            )
            for at, match in enumerate(found)
        )
        seconds = sound.recording.duration if words else 0.0
        return Transcript(
            recording=sound.recording, text=self.says, words=words, model="given", speech_seconds=seconds
        )


def patient_desk(folder: Path, **settings: Any) -> FastAPI:
    """A desk that reads nothing until its `app.state.speech.may` is set; files come in slices of 1 MiB."""
    speech = Patient()
    at_once = {"live": False, "largest_chunk": 1 << 20}
    app = create(
        Settings(record=folder / "shop.sqlite", jurisdiction="GB", **at_once, **settings), transcriber=speech
    )
    app.state.speech = speech
    return app


def start(page: Page) -> None:
    page.get_by_role("button", name="Start the walk").click()
    recording(page)


def recording(page: Page) -> None:
    expect(page.locator("#state")).to_be_visible()
    expect(page.locator("#state")).to_have_text("Recording")


def until(page: Page, expression: str, seconds: float = 30) -> None:
    """Wait for something in the page; Playwright's own way is not allowed by the page's policy."""
    for _ in range(int(seconds * 5)):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(200)
    raise AssertionError(f"never came: {expression}")


def hold(page: Page, milliseconds: int = 1200) -> None:
    """With the mouse, on the control that ends."""
    box = page.locator("#end").bounding_box()
    assert box
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.wait_for_timeout(milliseconds)
    page.mouse.up()


def end(page: Page) -> None:
    hold(page)
    expect(page.locator("#after-title")).to_be_visible()


def pause(page: Page) -> None:
    """So that no more parts come; the last is kept by then."""
    page.get_by_role("button", name="Pause").click()
    expect(page.locator("#state")).to_have_text("Paused")
    before = -1
    while before != (before := len(kept(page)["parts"])):
        page.wait_for_timeout(700)


def kept(page: Page) -> dict[str, Any]:
    """What the phone's store holds, bytes as their SHA-256."""
    found: dict[str, Any] = page.evaluate(KEPT)
    return found


def hashes(page: Page, walk: str) -> list[str]:
    """SHA-256 of each part of a walk in the phone's store, in order."""
    found = kept(page)
    numbers = sorted(part["n"] for part in found["parts"] if part["walk"] == walk)
    assert numbers == list(range(len(numbers)))
    return [found["bytes"][f"{walk}/{n}"] for n in numbers]


def walk_of(page: Page) -> str:
    """The id of the only walk in the phone's store."""
    (walk,) = kept(page)["walks"]
    return str(walk["id"])


def chunks(app: FastAPI, walk: str) -> list[bytes]:
    """What came to the desk, in order without a gap."""
    parts = app.state.walks.incoming.parts
    found: list[bytes] = []
    while (path := parts.chunk(walk, len(found))).exists():
        found.append(path.read_bytes())
    return found


def whole(app: FastAPI, walk: str) -> bytes:
    """The recording as the desk joined it."""
    path = app.state.walks.incoming.parts.whole(walk)
    assert path is not None
    return bytes(path.read_bytes())


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def understanding(page: Page) -> None:
    """The desk understands something of every walk."""

    def answer(route: Route) -> None:
        if route.request.method != "GET":
            return route.continue_()
        real = route.fetch()
        return route.fulfill(response=real, json={**real.json(), "understood": UNDERSTOOD})

    page.route("**/api/walks/*", answer)
