"""Holds every printed number against those that sound like it, and says how sure it is. Pure.

The recogniser's own probability of a number says how well it fits what was printed before it. How much better
it fits the sound than its nearest neighbour says more: "fifteen" that "fifty" fits as well is a doubt.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from witnessmark.knowledge.speech import Numbers
from witnessmark.transcribe.neighbours import joined, neighbours
from witnessmark.transcribe.words import Piece

Texts = tuple[str, ...]
Score = Callable[[Sequence[tuple[float, Texts]]], list[list[float]]]
"""Takes middles in seconds, each with texts for the sound around it; gives how well each text fits."""


class Challenge(NamedTuple):
    """A number and what else it may have been."""

    word: int
    """Its place among the words."""
    texts: Texts
    """The words around it: as printed first, then with each neighbour."""


def challenged(words: Sequence[Piece], score: Score, numbers: Numbers) -> list[Piece]:
    """The words of a window; how far a number leads over its neighbours becomes its probability.

    The recogniser's own is low too where a number can be written otherwise, 5 or "five"; it counts only where
    it is very low.

    Args:
        words: as printed, with their times in the window.
        score: holds texts against the window's sound.
        numbers: bounds, and which figures sound alike.
    """
    found = list(challenges(words, numbers))
    fits = score([(middle(words[c.word]), c.texts) for c in found])
    sure = [word.probability for word in words]
    for challenge, (printed, *others) in zip(found, fits, strict=True):
        if words[challenge.word].probability >= numbers.least:
            sure[challenge.word] = confidence(printed - max(others), numbers)
    for i, (one, other) in enumerate(pairwise(words)):
        if joined(one.text, other.text):  # a point between them is lost more often than two are said on end
            sure[i : i + 2] = [min(p, numbers.in_a_row) for p in sure[i : i + 2]]
    return [word._replace(probability=p) for word, p in zip(words, sure, strict=True)]


def confidence(lead: float, numbers: Numbers) -> float:
    """Probability of a number whose best neighbour fits worse by so much; 0.5 at ``numbers.lead``."""
    return 1 / (1 + math.exp(-numbers.slope * (lead - numbers.lead)))


def challenges(words: Sequence[Piece], numbers: Numbers) -> Iterator[Challenge]:
    """Each number that is not beyond doubt, with its neighbours."""
    for i, word in enumerate(words):
        if word.probability < numbers.beyond_doubt and (others := neighbours(word.text, numbers)):
            near = around(words, i, numbers.seconds)
            yield Challenge(i, in_place(words, i, near, (word.text, *others)))


def in_place(words: Sequence[Piece], i: int, near: range, texts: Sequence[str]) -> Texts:
    """The words nearby, with each text in the place of one of them."""
    before, after = [w.text for w in words[near.start : i]], [w.text for w in words[i + 1 : near.stop]]
    return tuple(" ".join([*before, text, *after]) for text in texts)


def around(words: Sequence[Piece], i: int, seconds: float) -> range:
    """Places of the words whose middles lie in so many seconds around one; that one in any case."""
    first = last = i
    while first > 0 and middle(words[i]) - middle(words[first - 1]) < seconds / 2:
        first -= 1
    while last + 1 < len(words) and middle(words[last + 1]) - middle(words[i]) < seconds / 2:
        last += 1
    return range(first, last + 1)


def middle(word: Piece) -> float:
    """Seconds at the middle of a word."""
    return (word.start + word.end) / 2
