"""The numbers that a printed number may have been, by sound. Pure.

A neighbour is written like what was printed, figures for figures and words for words, so that a recogniser
can hold both against the sound.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from witnessmark.knowledge.speech import Numbers

_FIGURES = re.compile(r"\d+(?:[.,]\d+)*")
_SIGNS = ".,;:!?"
_TEENS = ("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
_TENS = ("thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_WORDS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def neighbours(word: str, numbers: Numbers) -> tuple[str, ...]:
    """What may have been said instead of a printed number, without the number itself.

    Args:
        word: as printed, such as ``2.5mm,``.
        numbers: which figures sound alike.
    """
    if match := _FIGURES.search(word):
        found = [*_of_figures(match[0], numbers), *_other_words(match[0], numbers.words)]
        return tuple(
            dict.fromkeys(word[: match.start()] + f + word[match.end() :] for f in found if f != match[0])
        )
    plain = word.lower().strip(_SIGNS)
    end = word[len(plain) :] if word.lower().startswith(plain) else ""
    return tuple(f"{other}{end}" for other in _words_of(numbers.alike, numbers.words).get(plain, ()))


def _other_words(figures: str, words: tuple[str, ...]) -> tuple[str, ...]:
    """Words that are no numbers and sound like a single figure."""
    if len(figures) > 1:
        return ()
    return tuple(other for number, other in map(str.split, words) if number == _WORDS[int(figures)])


def joined(word: str, following: str) -> str | None:
    """Two printed numbers as one with a decimal point: ``4,`` and ``five`` may have been 4.5."""
    one, other = figures(word).rstrip(".,"), figures(following)
    fits = re.fullmatch(r"\d{1,3}", one) and re.match(r"\d{1,2}(?![\d.,]*\d)", other)
    return f"{one}.{other}" if fits else None


def figures(word: str) -> str:
    """A word for a small number in figures, with the signs behind it; any other word as it is."""
    plain = word.lower().strip(_SIGNS)
    if plain not in _WORDS or not word.lower().startswith(plain):
        return word
    return f"{_WORDS.index(plain)}{word[len(plain) :]}"


def _of_figures(figures: str, numbers: Numbers) -> Iterator[str]:
    whole, point, part = figures.partition(".")
    if point and "," not in figures:
        yield whole + part
        yield whole
    elif figures.isdigit() and 2 <= len(figures) <= 3 and figures[-1] != "0":
        yield f"{figures[:-1]}.{figures[-1]}"
    yield from _teens(figures)
    for i, figure in enumerate(figures):
        for other in _alike(numbers.alike).get(figure, ()):
            yield figures[:i] + other + figures[i + 1 :]


def _teens(figures: str) -> Iterator[str]:
    """Fifteen for fifty and fifty for fifteen, at the end of the whole part."""
    if match := re.match(r"(\d*)(?:1([3-9])|([3-9])0)(?=$|\.)", figures):
        before, teen, ten = match.groups()
        yield figures[: len(before)] + (f"{teen}0" if teen else f"1{ten}") + figures[match.end() :]


@cache
def _alike(pairs: tuple[str, ...]) -> dict[str, list[str]]:
    """Each figure's look-alikes by sound, both ways."""
    found: dict[str, list[str]] = {}
    for one, other in (pair.split() for pair in pairs):
        found.setdefault(one, []).append(other)
        found.setdefault(other, []).append(one)
    return found


@cache
def _words_of(pairs: tuple[str, ...], words: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """Each number word with those that sound like it."""
    found: dict[str, tuple[str, ...]] = {
        word: tuple(_WORDS[int(f)] for f in _alike(pairs).get(str(i), ())) for i, word in enumerate(_WORDS)
    }
    for teen, ten in zip(_TEENS, _TENS, strict=True):
        found |= {teen: (ten,), ten: (teen,)}
    for number, other in (pair.split() for pair in words):
        found[number] = (*found[number], other)
    return found
