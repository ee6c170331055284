"""Finds phrases in the technician's own words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from witnessmark.types import Item

_TOKEN = re.compile(r"[a-z0-9]+(?:'[a-z]+)?")
_REACH = 2
"""How many words before a phrase a negation may stand."""


def tokens(text: str) -> list[str]:
    """Lower-case words of a text, without punctuation."""
    return _TOKEN.findall(text.lower().replace("’", "'"))


def spoken(item: Item) -> list[list[str]]:
    """The words of an item's evidence, one list a stretch."""
    return [tokens(evidence.text) for evidence in item.evidence]


def says(stretches: Iterable[Sequence[str]], phrases: Iterable[str], negations: Sequence[str]) -> bool:
    """Whether any of the phrases was said and not negated just before."""
    wanted = [tokens(phrase) for phrase in phrases]
    return any(occurs(words, phrase, negations) for words in stretches for phrase in wanted)


def occurs(words: Sequence[str], phrase: list[str], negations: Sequence[str] = ()) -> bool:
    """Whether a phrase stands in the words with no negation just before it."""
    size = len(phrase)
    return any(
        list(words[at : at + size]) == phrase
        and not any(word in negations for word in words[max(0, at - _REACH) : at])
        for at in range(len(words) - size + 1)
    )


def without(words: Sequence[str], phrases: Iterable[str]) -> list[str]:
    """The words with every occurrence of the phrases taken out, longer phrases first."""
    left = list(words)
    for phrase in sorted(map(tokens, phrases), key=len, reverse=True):
        size, at = len(phrase), 0
        while at <= len(left) - size:
            if left[at : at + size] == phrase:
                left[at : at + size] = [""]
            at += 1
    return left
