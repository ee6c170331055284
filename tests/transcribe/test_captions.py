"""Captions follow the WebVTT rules and read well."""

from __future__ import annotations

import html
import re
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.transcribe import vtt
from witnessmark.transcribe.words import Piece, lay_out
from witnessmark.types import Recording, Transcript

TIME = r"(\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3})"
"""W3C WebVTT, section 4.2, "WebVTT timestamp", in its long form."""


def transcript(words: list[Piece]) -> Transcript:
    text, placed = lay_out(words)
    recording = Recording(sha256="0" * 64, name="a.wav", duration=60.0)
    return Transcript(recording=recording, text=text, words=placed, model="tiny.en")


def cues(captions: str) -> list[tuple[int, int, list[str]]]:
    """Parses by the W3C rules; each failed rule is a failed test. Times in milliseconds."""
    head, *blocks = captions.rstrip("\n").split("\n\n")
    assert head.rstrip("\n") == "WEBVTT"
    found = []
    for block in blocks:
        timing, *lines = block.split("\n")
        match = re.fullmatch(f"{TIME} --> {TIME}", timing)
        assert match
        assert lines
        assert all(line.strip() and "-->" not in line and "<" not in line for line in lines)
        assert all(re.match(r"&(amp|lt|gt);", line[i:]) for line in lines for i in at(line, "&"))
        h, m, s, f, h2, m2, s2, f2 = map(int, match.groups())
        found.append((((h * 60 + m) * 60 + s) * 1000 + f, ((h2 * 60 + m2) * 60 + s2) * 1000 + f2, lines))
    return found


def at(text: str, sign: str) -> list[int]:
    return [i for i, c in enumerate(text) if c == sign]


WORDS = st.lists(
    st.builds(
        Piece,
        st.text(st.sampled_from("abc<>&-.5"), min_size=1, max_size=14),
        st.floats(0, 5000),
        st.floats(0, 5000),
        st.just(0.5),
    ).map(lambda p: p._replace(end=max(p.start, p.end))),
    max_size=40,
)


@given(WORDS)
def test_any_transcript_gives_valid_captions(words: list[Piece]) -> None:
    found = cues(vtt(transcript(words)))
    assert all(start < end for start, end, _ in found)
    assert all(a[1] <= b[0] for a, b in pairwise(found))
    assert all(len(lines) <= 2 for _, _, lines in found)
    assert all(len(html.unescape(line)) <= 42 for _, _, lines in found for line in lines)
    shown = " ".join(html.unescape(" ".join(lines)) for _, _, lines in found)
    assert shown.split() == [w.text for w in words]


def spoken(text: str, seconds: float = 0.4, pause_after: str = "|") -> Transcript:
    """Words of equal length; ``|`` is two seconds of silence."""
    words, now = [], 0.0
    for word in text.split():
        if word == pause_after:
            now += 2
            continue
        words.append(Piece(word, now, now + seconds, 0.9))
        now += seconds
    return transcript(words)


def test_a_pause_ends_a_cue() -> None:
    found = cues(vtt(spoken("Front tyre is good. | Rear tyre is worn.")))
    assert [" ".join(lines) for _, _, lines in found] == ["Front tyre is good.", "Rear tyre is worn."]
    assert found[0][:2] == (0, 1600)
    assert found[1][:2] == (3600, 5200)


def test_a_full_cue_is_cut_at_its_last_stop() -> None:
    found = cues(
        vtt(spoken("The lever is firm and the hose is fine. Pads are at three millimetres, disc is true."
                   " The chain wants oil."))
    )  # fmt: skip
    assert " ".join(found[0][2]).endswith("fine.")


def test_hours(tmp_path: Path) -> None:
    words = [Piece("late", 3725.25, 3726.5, 0.9)]
    assert "01:02:05.250 --> 01:02:06.500" in vtt(transcript(words))


def test_nothing_said() -> None:
    assert vtt(transcript([])) == "WEBVTT\n"


@pytest.mark.parametrize("sign", ["<", ">", "&", "-->"])
def test_signs_of_the_format_are_escaped(sign: str) -> None:
    ((_, _, lines),) = cues(vtt(transcript([Piece(sign, 0.0, 1.0, 0.9)])))
    assert html.unescape(lines[0]) == sign
