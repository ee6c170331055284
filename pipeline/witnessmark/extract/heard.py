"""The recogniser's words behind a stretch of the text, and which of them it was not sure of."""

from __future__ import annotations

from bisect import bisect_left

from witnessmark.types import Word

UNSURE = 0.5
"""A printed word of a lower probability is doubted."""


def heard(words: tuple[Word, ...], start: int, end: int) -> tuple[Word, ...]:
    """Words that touch the characters [start, end)."""
    first = bisect_left(words, start + 1, key=lambda w: w.char_end)
    last = bisect_left(words, end, key=lambda w: w.char_start)
    return words[first:last]


def is_unsure(words: tuple[Word, ...], start: int, end: int) -> bool:
    """Whether the recogniser doubted one of the words there."""
    return any(word.probability < UNSURE for word in heard(words, start, end))
