"""Writes a transcript as WebVTT captions. Pure. Format: W3C WebVTT, https://www.w3.org/TR/webvtt1/."""

from __future__ import annotations

import html
import textwrap
from collections.abc import Iterator, Sequence

from witnessmark.types import Transcript, Word

_LINE = 42
"""Characters in a line; two lines a cue. Common practice, no source."""
_LINES = 2
_PAUSE = 0.8
"""Seconds of silence that end a cue."""
_LONGEST = 6.0
"""Seconds that a cue stays, at most."""


def vtt(transcript: Transcript) -> str:
    """The transcript as a WebVTT file, cut where the speaker pauses or a sentence ends."""
    cues: list[str] = []
    after = 0
    for words in _cues(transcript.words):
        start = max(round(words[0].start * 1000), after)
        after = max(round(words[-1].end * 1000), start + 1)
        text = html.escape("\n".join(_lines(words)), quote=False)
        cues.append(f"{_time(start)} --> {_time(after)}\n{text}\n")
    return "\n".join(["WEBVTT\n", *cues])


def _cues(words: Sequence[Word]) -> Iterator[list[Word]]:
    cue: list[Word] = []
    for word in words:
        if cue and word.start - cue[-1].end > _PAUSE:
            yield cue
            cue = []
        cue.append(word)
        while len(cue) > 1 and _full(cue):
            cut = _cut(cue[:-1])
            yield cue[:cut]
            cue = cue[cut:]
    if cue:
        yield cue


def _full(cue: Sequence[Word]) -> bool:
    return cue[-1].end - cue[0].start > _LONGEST or len(_lines(cue)) > _LINES


def _cut(cue: Sequence[Word]) -> int:
    """How many of the words to show together: up to the last stop, else up to a late comma, else all."""
    for signs, first in ((".!?", 0), (",;:", len(cue) // 2)):
        stops = [i for i, word in enumerate(cue, 1) if word.text[-1] in signs and i > first]
        if stops:
            return stops[-1]
    return len(cue)


def _lines(words: Sequence[Word]) -> list[str]:
    return textwrap.wrap(" ".join(word.text for word in words), _LINE, break_on_hyphens=False)


def _time(milliseconds: int) -> str:
    seconds, fraction = divmod(milliseconds, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{seconds:02}.{fraction:03}"
