"""Finds phrases in the technician's own words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

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


def shares(words: Sequence[str], numbers: Mapping[str, int]) -> list[float]:
    """Every "one of four", "two out of the six", "half" as a share of the whole.

    Args:
        words: one stretch of talk.
        numbers: word → number; figures are read as they are.
    """
    plain = [word for word in words if word not in ("out", "the", "its", "all")]
    found = [0.5 for word in plain if word == "half"]
    for part, of, whole in zip(plain, plain[1:], plain[2:], strict=False):
        one, all_of = _number(part, numbers), _number(whole, numbers)
        if of == "of" and one and all_of and one <= all_of:
            found.append(one / all_of)
    return found


def _number(word: str, numbers: Mapping[str, int]) -> int | None:
    return int(word) if word.isdecimal() and len(word) < 4 else numbers.get(word)
