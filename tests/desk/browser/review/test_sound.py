"""One key plays exactly that moment."""

from __future__ import annotations

import io
import wave

import numpy as np
from fastapi import FastAPI
from playwright.sync_api import Page, expect
from tests.desk.browser.review.hands import TREAD, Review, look_and
from tests.desk.review.talk import outcome
from tests.desk.review.test_clips import whole

from witnessmark.types import SAMPLE_RATE

LISTEN = """(() => {
  window.played = [];
  const made = new Map(), make = URL.createObjectURL, play = HTMLMediaElement.prototype.play;
  URL.createObjectURL = (blob) => { const url = make(blob); made.set(url, blob); return url; };
  window.bytes = async (url) => Array.from(new Uint8Array(await made.get(url).arrayBuffer()));
  HTMLMediaElement.prototype.play = function () {
    window.played.push({ src: this.src, rate: this.playbackRate, pitch: this.preservesPitch });
    return play.call(this);
  };
})()"""


def listening(page: Page) -> Page:
    """The page, noting what it plays."""
    page.add_init_script(LISTEN)
    page.reload()
    expect(page.locator("#says")).to_be_focused()
    return page


def samples(page: Page, src: str) -> np.ndarray:
    with wave.open(io.BytesIO(bytes(page.evaluate("(url) => window.bytes(url)", src)))) as sound:
        assert sound.getframerate() == SAMPLE_RATE
        return np.frombuffer(sound.readframes(sound.getnframes()), "<i2")


def test_one_key_plays_exactly_that_moment(app: FastAPI, id: str, review: Review) -> None:
    page = listening(review())
    (piece,) = next(one for one in outcome(app, id).walkround.draft.items if one.key == TREAD).evidence
    assert piece.start is not None
    assert piece.end is not None
    for number, (key, rate, wider) in enumerate((("l", 1, 0), ("s", 0.7, 0), ("w", 1, 1), ("l", 1, 0))):
        page.keyboard.press(key)
        page.wait_for_function("(n) => window.played.length === n", arg=number + 1)
        played = page.evaluate("window.played.at(-1)")
        assert (played["rate"], played["pitch"]) == (rate, True)
        first = round((piece.start - wider - 0.4) * SAMPLE_RATE)
        last = round((piece.end + wider + 0.4) * SAMPLE_RATE)
        heard = samples(page, played["src"])
        assert heard.size == last - first
        np.testing.assert_array_equal(heard, whole(app, id)[first:last])


def test_the_next_moment_is_there_before_it_is_asked_for(app: FastAPI, id: str, review: Review) -> None:
    page = listening(review())
    page.wait_for_timeout(500)
    asked: list[str] = []
    page.on("request", lambda request: "clip" in request.url and asked.append(request.url))
    page.keyboard.press("n")
    page.keyboard.press("l")
    page.wait_for_function("() => window.played.length === 1")
    second = next(one for one in outcome(app, id).walkround.draft.items if one.key == "tyre.front.pressure")
    assert all(f"start={second.evidence[0].start:.3f}" not in url for url in asked)


def test_each_is_played_as_it_comes_where_that_is_wanted(review: Review) -> None:
    page = listening(review())
    page.get_by_label("Play each as it comes").check()
    page.locator("#says").focus()
    look_and(page, "y")
    page.wait_for_function("() => window.played.length === 1")


def test_a_browser_without_a_way_to_play_says_so(review: Review) -> None:
    page = review()
    page.context.add_init_script(
        "{ const Real = Audio; window.Audio = function () { return (window.player = new Real()); }; }"
    )
    page.reload()
    expect(page.locator("#says")).to_be_focused()
    page.keyboard.press("l")
    expect(page.locator("#review")).to_have_class("playing")
    page.evaluate("player.dispatchEvent(new Event('error'))")  # as where the loudspeaker is gone
    expect(page.locator("#sound-note")).to_have_text("The browser does not play this.")
