"""Cuts a recording into windows that the recogniser can read at once, at its pauses. Pure.

Whisper reads 30 seconds at a time. Where a window ends inside a sentence it tends to leave out what it
has begun to hear, so every window ends at a pause.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

Stretch = tuple[float, float]
"""Start and end in seconds."""


def windows(
    speech: Sequence[Stretch], end: float, longest: float, pause: float, padding: float
) -> list[Stretch]:
    """Windows that cover all speech.

    Args:
        speech: stretches of speech in order, without overlap.
        end: length of the recording.
        longest: a window is not longer, unless one stretch alone is.
        pause: a silence that is longer is in no window.
        padding: silence to leave around a window's speech, where there is so much.

    Returns:
        Windows in order, without overlap.
    """
    groups = [part for group in _apart(speech, pause) for part in _split(group, longest - 2 * padding)]
    found = []
    for i, group in enumerate(groups):
        start, stop = group[0][0], group[-1][1]
        before = (start - groups[i - 1][-1][1]) / 2 if i else start
        after = (groups[i + 1][0][0] - stop) / 2 if i + 1 < len(groups) else end - stop
        found.append((start - min(padding, before), stop + min(padding, after)))
    return found


def at_dips(stretch: Stretch, louder: Sequence[Stretch]) -> list[Stretch]:
    """A stretch without pauses, cut in the middle of each dip between its louder parts; nothing is lost."""
    dips = [(one[1] + other[0]) / 2 for one, other in pairwise(louder)]
    return list(pairwise([stretch[0], *dips, stretch[1]]))


def in_pieces(stretch: Stretch, longest: float) -> list[Stretch]:
    """A stretch cut into equal pieces that are not longer."""
    pieces = max(1, math.ceil((stretch[1] - stretch[0]) / longest))
    step = (stretch[1] - stretch[0]) / pieces
    return list(pairwise([*(stretch[0] + i * step for i in range(pieces)), stretch[1]]))


def trim(word: Stretch, speech: Sequence[Stretch]) -> Stretch:
    """A word's time without the silence at its ends, which Whisper likes to add beside a pause.

    A word that lies outside all speech stays as it is.
    """
    first = bisect_right(speech, word[0], key=lambda stretch: stretch[1])
    last = bisect_left(speech, word[1], key=lambda stretch: stretch[0])
    if first >= last:
        return word
    return max(word[0], speech[first][0]), min(word[1], speech[last - 1][1])


def unread(speech: Sequence[Stretch], words: Sequence[Stretch], least: float) -> list[Stretch]:
    """Where at least so many seconds of speech lie between two words, or before or after them all."""
    ends = [0.0, *(end for _, end in words)]
    starts = [*(start for start, _ in words), math.inf]
    found = []
    for gap in zip(ends, starts, strict=True):
        inside = [(max(a, gap[0]), min(b, gap[1])) for a, b in speech if a < gap[1] and b > gap[0]]
        if sum(b - a for a, b in inside) >= least:
            found.append((inside[0][0], inside[-1][1]))
    return found


def _apart(speech: Sequence[Stretch], pause: float) -> Iterator[list[Stretch]]:
    """Groups of stretches with no longer pause inside."""
    group: list[Stretch] = []
    for stretch in speech:
        if group and stretch[0] - group[-1][1] > pause:
            yield group
            group = []
        group.append(stretch)
    if group:
        yield group


def _split(group: list[Stretch], longest: float) -> Iterator[list[Stretch]]:
    """The group in pieces that are not too long, each cut at the longest pause of its last third."""
    while group[-1][1] - group[0][0] > longest and len(group) > 1:
        cut = _cut(group, longest)
        yield group[:cut]
        group = group[cut:]
    yield group


def _cut(group: list[Stretch], longest: float) -> int:
    """How many stretches make the next window."""
    start = group[0][0]
    fitting = [i for i in range(1, len(group)) if group[i - 1][1] - start <= longest] or [1]
    late = [i for i in fitting if group[i - 1][1] - start >= longest * 2 / 3] or fitting[-1:]
    return max(late, key=lambda i: (group[i][0] - group[i - 1][1], i))
