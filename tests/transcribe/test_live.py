"""A recording is read while it grows."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.transcribe import Live, Transcriber
from witnessmark.types import SAMPLE_RATE, Sound

pytestmark = pytest.mark.speech


def test_words_appear_while_he_talks(tiny: Transcriber, talk: Sound) -> None:
    live = Live(tiny)
    seen = []
    step = SAMPLE_RATE // 2
    for at in range(0, talk.samples.size, step):
        if transcript := live.feed(talk.samples[at : at + step]):
            seen.append((at / SAMPLE_RATE, transcript))
    when, first = seen[0]
    assert when < 7  # the first sentence ends at 4.73 s, the second one begins at 8.06 s
    assert "2.5" in first.text
    assert "spongy" not in first.text
    last = live.finish()
    assert last.text.startswith(first.text)
    assert "spongy" in last.text.lower()
    assert last.recording.duration == pytest.approx(talk.recording.duration)
    assert [w.start for w in last.words] == sorted(w.start for w in last.words)


def test_times_are_those_of_the_whole(tiny: Transcriber, talk: Sound) -> None:
    live, whole = Live(tiny), tiny.transcribe(talk)
    for at in range(0, talk.samples.size, SAMPLE_RATE):
        live.feed(talk.samples[at : at + SAMPLE_RATE])
    ours = {w.text.strip(".,").lower(): w.start for w in live.finish().words}
    for word in whole.words:
        if (text := word.text.strip(".,").lower()) in ("tread", "cracks", "spongy"):
            assert ours[text] == pytest.approx(word.start, abs=0.3)


def test_talk_without_a_pause_is_read_window_by_window(tiny: Transcriber, talk: Sound) -> None:
    said = talk.samples[int(0.7 * SAMPLE_RATE) : int(4.75 * SAMPLE_RATE)]
    live = Live(tiny)
    seen = [live.feed(said) for _ in range(9)]
    assert any(seen)
    assert live.finish().text.count("2.5") >= 8


def test_a_short_pause_is_enough(tiny: Transcriber, talk: Sound) -> None:
    live, seen = Live(tiny), 0
    for at in range(0, int(5.4 * SAMPLE_RATE), SAMPLE_RATE // 5):  # the first sentence ends at 4.73 s
        seen += live.feed(talk.samples[at : at + SAMPLE_RATE // 5]) is not None
    assert seen


def test_who_is_behind_reads_more_at_once(tiny: Transcriber, talk: Sound) -> None:
    step = SAMPLE_RATE // 2
    behind, on_time = (
        sum(
            live.feed(talk.samples[at : at + step], behind=is_behind) is not None
            for at in range(0, talk.samples.size, step)
        )
        for live, is_behind in ((Live(tiny), True), (Live(tiny), False))
    )
    assert behind < on_time


def test_silence_gives_nothing(tiny: Transcriber) -> None:
    live = Live(tiny, "a.wav")
    assert live.feed(np.zeros(SAMPLE_RATE, np.float32)) is None
    assert live.finish().text == ""
    assert Live(tiny).finish().words == ()
