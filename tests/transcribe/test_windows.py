"""Windows hold all speech, end at pauses and fit the recogniser."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.transcribe.windows import Stretch, at_dips, in_pieces, trim, unread, windows

LONGEST, PAUSE, PADDING = 29.0, 4.0, 0.4


def cut(speech: list[Stretch], end: float) -> list[Stretch]:
    return windows(speech, end, LONGEST, PAUSE, PADDING)


@st.composite
def recordings(draw: st.DrawFn) -> tuple[list[Stretch], float]:
    """Stretches with silences between them, and the length of the recording."""
    now, speech = draw(st.floats(0, 10)), []
    for talk, silence in draw(st.lists(st.tuples(st.floats(0.1, 12), st.floats(0.2, 9)), max_size=40)):
        speech.append((now, now + talk))
        now += talk + silence
    return speech, speech[-1][1] + draw(st.floats(0, 5)) if speech else now


@given(recordings())
def test_each_stretch_lies_in_one_window(recording: tuple[list[Stretch], float]) -> None:
    speech, end = recording
    found = cut(speech, end)
    for start, stop in speech:
        assert sum(a <= start + 1e-9 and stop <= b + 1e-9 for a, b in found) == 1


@given(recordings())
def test_windows_are_in_order_and_inside_the_recording(recording: tuple[list[Stretch], float]) -> None:
    speech, end = recording
    found = cut(speech, end)
    assert all(-1e-9 <= a < b <= end + 1e-9 for a, b in found)
    assert all(one[1] <= other[0] + 1e-9 for one, other in pairwise(found))


@given(recordings())
def test_windows_fit_and_hold_no_long_silence(recording: tuple[list[Stretch], float]) -> None:
    speech, end = recording
    for a, b in cut(speech, end):
        inside = [s for s in speech if a <= s[0] + 1e-9 and s[1] <= b + 1e-9]
        assert b - a <= LONGEST + 1e-6
        assert all(other[0] - one[1] <= PAUSE for one, other in pairwise(inside))


def test_the_longest_late_pause_is_cut() -> None:
    speech = [(0.0, 5.0), (8.0, 20.0), (21.5, 24.0), (24.3, 28.0), (28.3, 34.0)]
    assert cut(speech, 34.0) == [(0.0, 20.4), (21.1, 34.0)]


def test_a_stretch_longer_than_a_window_stays_whole() -> None:
    assert cut([(1.0, 61.0), (61.5, 62.0)], 63.0) == [(0.6, 61.25), (61.25, 62.4)]


def test_silence_around_speech_is_shared() -> None:
    (a, b), (c, d) = cut([(0.1, 20.0), (20.2, 40.0)], 40.1)
    assert (a, b, c, d) == pytest.approx((0.0, 20.1, 20.1, 40.1))


def test_no_speech() -> None:
    assert cut([], 10.0) == []


@pytest.mark.parametrize(
    ("word", "trimmed"),
    [
        ((1.0, 2.0), (1.0, 2.0)),
        ((0.5, 1.5), (0.9, 1.5)),
        ((2.8, 3.9), (2.8, 3.0)),
        ((3.2, 3.9), (3.2, 3.9)),
        ((2.5, 4.5), (2.5, 4.5)),
        ((0.0, 9.0), (0.9, 6.0)),
        ((3.0, 4.0), (3.0, 4.0)),
    ],
)
def test_a_word_is_trimmed_to_speech(word: Stretch, trimmed: Stretch) -> None:
    assert trim(word, [(0.9, 3.0), (4.0, 6.0)]) == trimmed


@given(recordings(), st.floats(0, 60), st.floats(0, 5))
def test_trimming_only_takes_away(
    recording: tuple[list[Stretch], float], start: float, length: float
) -> None:
    a, b = trim((start, start + length), recording[0])
    assert start <= a <= b <= start + length


# ── talk without a pause ─────────────────────────────────────────────────────────────────────


def test_a_stretch_is_cut_in_its_dips() -> None:
    assert at_dips((10.0, 50.0), [(11.0, 20.0), (22.0, 40.0), (41.0, 44.0)]) == [
        (10.0, 21.0),
        (21.0, 40.5),
        (40.5, 50.0),
    ]


@pytest.mark.parametrize("louder", [[], [(12.0, 13.0)]])
def test_a_stretch_without_dips_stays(louder: list[Stretch]) -> None:
    assert at_dips((10.0, 50.0), louder) == [(10.0, 50.0)]


@given(st.floats(0, 100), st.floats(0.1, 200))
def test_pieces_are_short_and_lose_nothing(start: float, length: float) -> None:
    pieces = in_pieces((start, start + length), LONGEST)
    assert (pieces[0][0], pieces[-1][1]) == (start, start + length)
    assert all(one[1] == other[0] for one, other in pairwise(pieces))
    assert all(b - a <= LONGEST + 1e-6 for a, b in pieces)
    assert len(pieces) == 1 or length > LONGEST


# ── speech without words ─────────────────────────────────────────────────────────────────────


def test_speech_between_words_is_unread() -> None:
    speech = [(1.0, 4.0), (5.0, 12.0), (13.0, 20.0)]
    words = [(1.0, 4.0), (12.5, 13.5), (13.6, 20.0)]
    assert unread(speech, words, 5.0) == [(5.0, 12.0)]
    assert unread(speech, words, 8.0) == []


def test_speech_without_any_word_is_unread() -> None:
    assert unread([(1.0, 4.0), (5.0, 9.0)], [], 5.0) == [(1.0, 9.0)]
    assert unread([], [], 5.0) == []


@given(recordings())
def test_speech_with_words_all_over_is_read(recording: tuple[list[Stretch], float]) -> None:
    assert unread(recording[0], recording[0], 0.1) == []
