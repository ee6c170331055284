"""Holds every printed number against those that sound like it, and says how sure it is. Pure.

The recogniser's own probability of a number says how well it fits what was printed before it. How much better
it fits the sound than its nearest neighbour says more: "fifteen" that "fifty" fits as well is a doubt.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from witnessmark.knowledge.speech import Numbers
from witnessmark.transcribe.neighbours import is_number, joined, neighbours
from witnessmark.transcribe.words import Piece

Texts = tuple[str, ...]
Score = Callable[[Sequence[tuple[float, Texts]]], list[list[float]]]
"""Takes middles in seconds, each with texts for the sound around it; gives how well each text fits."""


class Challenge(NamedTuple):
    """A number and what else it may have been."""

    word: int
    """Its place among the words."""
    last: int
    """Place of the last word that a neighbour stands for: the next one where two numbers may be one."""
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
    found = challenges(words, numbers)
    fits = score([(middle(words[c.word]), c.texts) for c in found])
    sure = [word.probability for word in words]
    for challenge, (printed, *others) in zip(found, fits, strict=True):
        lead = printed - max(others)
        if challenge.last > challenge.word:
            both = slice(challenge.word, challenge.last + 1)
            sure[both] = [min(p, confidence(lead - numbers.apart, numbers)) for p in sure[both]]
        elif words[challenge.word].probability >= numbers.least:
            sure[challenge.word] = confidence(lead, numbers)
    return [word._replace(probability=p) for word, p in zip(words, sure, strict=True)]


def confidence(lead: float, numbers: Numbers) -> float:
    """Probability of a number whose best neighbour fits worse by so much; 0.5 at ``numbers.lead``."""
    return 1 / (1 + math.exp(-numbers.slope * (lead - numbers.lead)))


def challenges(words: Sequence[Piece], numbers: Numbers) -> list[Challenge]:
    """Each number that is not beyond doubt, with its neighbours; two in a row that may be one, too."""
    alone, pairs = [], []
    for i, word in enumerate(words):
        near = around(words, i, numbers.seconds)
        before, after = words[near.start : i], words[i + 1 : near.stop]
        if word.probability < numbers.beyond_doubt and is_number(word.text):
            others = [[n] for n in neighbours(word.text, numbers)]
            if others:
                alone.append(Challenge(i, i, _texts(before, [[word.text], *others], after)))
        if after and (whole := joined(word.text, after[0].text)):
            both = [[word.text, after[0].text], [whole]]
            pairs.append(Challenge(i, i + 1, _texts(before, both, after[1:])))
    return [*alone, *pairs]


def _texts(before: Sequence[Piece], middles: Sequence[Sequence[str]], after: Sequence[Piece]) -> Texts:
    start, end = [w.text for w in before], [w.text for w in after]
    return tuple(" ".join([*start, *middle, *end]) for middle in middles)


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
