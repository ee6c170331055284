"""Puts the recogniser's pieces together to words with their places in the text. Pure.

Whisper's tokenizer cuts words and numbers apart: ``" 2" ".5"``, ``" 120" "/70"``, ``" 50" "%"``,
``" half" "-worn"``. A piece without a space before it goes on with the word before.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate
from typing import NamedTuple

from witnessmark.types import Word

_UNSPOKEN = frozenset(".,;:!?…'\"”’)]}")
"""Signs that close a word and take no time to say."""


class Piece(NamedTuple):
    """A bit of text as the recogniser timed it, with its leading space if it has one."""

    text: str
    start: float
    end: float
    probability: float
    first_printed: str | None = None
    """What the second hearing replaced."""


def join(pieces: Iterable[Piece]) -> list[Piece]:
    """Whole words of one segment, stripped; the first piece of a segment always begins a word."""
    parts = [piece for piece in pieces if piece.text]
    ends = list(accumulate(len(part.text) for part in parts))
    text = "".join(part.text for part in parts)
    return [
        _joined(match[0], parts[bisect_right(ends, match.start()) : bisect_left(ends, match.end()) + 1])
        for match in re.finditer(r"\S+", text)
    ]


def lay_out(words: Iterable[Piece]) -> tuple[str, tuple[Word, ...]]:
    """The words joined by single spaces, and each with its place in that text.

    Returns:
        Text and words, with ``text[w.char_start:w.char_end] == w.text``.
    """
    laid: list[Word] = []
    place = 0
    for text, start, end, probability, first in words:
        stop = place + len(text)
        laid.append(
            Word(
                text=text,
                char_start=place,
                char_end=stop,
                start=start,
                end=end,
                probability=probability,
                first_printed=first,
            )
        )
        place = stop + 1
    return " ".join(word.text for word in laid), tuple(laid)


def _joined(text: str, parts: Sequence[Piece]) -> Piece:
    """One word. Its time and probability are those of what is spoken of it."""
    spoken = [part for part in parts if not set(part.text.strip()) <= _UNSPOKEN] or parts
    probabilities = [part.probability for part in spoken]
    least = _of_number(parts)
    probability = sum(probabilities) / len(probabilities) if least is None else least
    return Piece(text, spoken[0].start, max(spoken[0].start, spoken[-1].end), probability)


def _of_number(parts: Sequence[Piece]) -> float | None:
    """The least probability among a number's figures and points, as one wrong digit makes another number.

    None when there is no digit. A unit printed to the number has no say: "mm" is improbable where
    "millimetres" would do as well.
    """
    figures = [i for i, part in enumerate(parts) if any(c.isdigit() for c in part.text)]
    if not figures:
        return None
    return min(part.probability for part in parts[figures[0] : figures[-1] + 1])
