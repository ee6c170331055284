"""One cardinal number, in words or as a recogniser prints it, and the words that make it up."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

ONES = {
    "zero": 0, "nought": 0, "naught": 0, "oh": 0, "nil": 0, "one": 1, "two": 2, "three": 3, "four": 4,
    "five": 5,
    "six": 6, "seven": 7, "eight": 8, "nine": 9, "niner": 9, "fife": 5, "tree": 3,
}  # fmt: skip
TEENS = {
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
SCALES = {
    "hundred": 100, "thousand": 1000, "lakh": 10**5, "million": 10**6, "crore": 10**7, "billion": 10**9,
    "trillion": 10**12, "quadrillion": 10**15, "quintillion": 10**18, "sextillion": 10**21,
}  # fmt: skip
"""Words that multiply what stands before them; short scale, and the Indian lakh and crore."""

PLACES = frozenset(("left", "right", "front", "rear", "back"))
"""Before "one" they make it a pronoun: "the left one 4.42"."""
PRINTED = re.compile(r"\d+(\.\d+)?$|\.\d+$")


class Cardinal(NamedTuple):
    """A cardinal over the tokens up to ``end``."""

    value: float
    end: int
    digits: str
    """Its digits without a point."""
    decimal: bool = False


def word_at(norms: Sequence[str], index: int) -> str:
    """The norm at a place, empty outside the talk."""
    return norms[index] if 0 <= index < len(norms) else ""


def digit(word: str) -> str | None:
    """What a word adds behind a decimal point; "o" there is a zero."""
    if word == "o":
        return "0"
    small = _small(word)
    return str(small) if small is not None else word if word.isdigit() else None


def cardinal(norms: Sequence[str], at: int, implied_one: bool = False) -> Cardinal | None:
    """The cardinal that begins at a token; with ``implied_one``, after an "a" that stands for one."""
    if not implied_one and PRINTED.match(word_at(norms, at)):
        return _printed(norms, at)
    count = _Count(at, implied_one)
    while count.takes(norms):
        count.end += 1
    value, end = count.whole()
    return Cardinal(float(value), end, str(value)) if end > at else None


class _Count:
    """A cardinal in words as far as it has been heard."""

    def __init__(self, at: int, implied_one: bool) -> None:
        self.end = at
        self.total = 0
        self.group: int | None = 1 if implied_one else None
        self.rank = 0
        """Of the last word: 1, 10 or 20 for small words, else its scale."""
        self.least = 10**24
        """Scale of the last full group; the next must be smaller."""
        self.safe: tuple[int, int] | None = None
        """Value and end up to the last scale, should what follows belong to another number."""

    def whole(self) -> tuple[int, int]:
        """Value and end."""
        return self.total + (self.group or 0), self.end

    def takes(self, norms: Sequence[str]) -> bool:
        """Adds the word at ``end`` if it goes on this number."""
        word = word_at(norms, self.end)
        if scale := SCALES.get(word):
            return self._scale(scale)
        small = _small(word)
        if small is not None and self._fits(word):
            self.group, self.rank = (self.group or 0) + small, _rank(word)
            return True
        if self.rank >= 100 and word_at(norms, self.end - 1) == "and" and word.isdigit():
            return self._printed(int(word))
        after = word_at(norms, self.end + 1)
        rest = _small(after) is not None or (after.isdigit() and len(after) < 3)
        return word == "and" and self.rank >= 100 and rest

    def _printed(self, rest: int) -> bool:
        """ "two hundred and 10", as recognisers print it."""
        self.group, self.rank = (self.group or 0) + rest, 1
        return True

    def _fits(self, word: str) -> bool:
        if self.group is None or self.rank >= 100:
            return True
        return self.rank == 20 and word in ONES and ONES[word] > 0

    def _scale(self, scale: int) -> bool:
        """ "two hundred | three hundred" and "two thousand | three thousand" are two numbers each."""
        if self.group is None:
            return False
        if self.group >= 100 if scale == 100 else scale >= self.least:
            self._give_back()
            return False
        if scale == 100:
            self.group *= 100
        else:
            self.total, self.group, self.least = self.total + self.group * scale, None, scale
        self.rank = scale
        self.safe = (self.total + (self.group or 0), self.end + 1)
        return True

    def _give_back(self) -> None:
        if self.safe:
            (self.total, self.end), self.group = self.safe, None


def _small(word: str) -> int | None:
    for table in (ONES, TEENS, TENS):
        if word in table:
            return table[word]
    return None


def _rank(word: str) -> int:
    return 1 if word in ONES else 10 if word in TEENS else 20


def _printed(norms: Sequence[str], at: int) -> Cardinal:
    """Digits, with "2 thousand", "2.4 million" and "12 hundred" taken along."""
    word = norms[at]
    scale = SCALES.get(word_at(norms, at + 1))
    if not scale:
        return Cardinal(float(word), at + 1, word.replace(".", ""), "." in word)
    value, end = round(float(word) * scale, 9), at + 2
    join = end + 1 if word_at(norms, end) == "and" else end
    rest = None if "." in word else cardinal(norms, join)
    if rest and rest.value < scale and not rest.decimal:
        value, end = value + rest.value, rest.end
    return Cardinal(value, end, str(int(value)))
