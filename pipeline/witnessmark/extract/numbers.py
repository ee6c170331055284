"""Spoken and printed numbers.

One forward pass turns token norms into `Number`s. A number that is several cardinals in a row ("one twenty
seventy seventeen", "two five", "fourteen two") keeps its parts, because only what is measured tells whether
it is 2.5, 25 or a tyre size.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

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
PARTS_OF = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fifth": 5, "fifths": 5,
    "eighth": 8, "eighths": 8, "tenth": 10, "tenths": 10, "sixteenth": 16, "sixteenths": 16,
    "thirtysecond": 32, "thirtyseconds": 32, "sixtyfourth": 64, "sixtyfourths": 64, "hundredth": 100,
    "hundredths": 100,
}  # fmt: skip
HEARD_AS = {"to": 2, "too": 2, "for": 4, "fore": 4, "ate": 8, "won": 1, "tree": 3, "tu": 2}
"""Words a recogniser prints for a number; taken as one only right before "point" and a digit."""

POINTS = frozenset(("point", "dot", "comma"))
_DIGITS = re.compile(r"\d+(\.\d+)?$|\.\d+$")


@dataclass(frozen=True, slots=True)
class Number:
    """A number as said, over tokens [start, end)."""

    start: int
    end: int
    value: float
    parts: tuple[float, ...]
    """The cardinals said one after the other; one entry for an ordinary number."""
    digits: str
    """All its digits in order, for codes: "two two one seven" and "22 17" are 2217."""
    fraction: int | None = None
    """Denominator when it was said as a fraction."""
    decimal: bool = False
    misheard: bool = False
    high: float | None = None
    """Upper end when a range was said."""
    ends: tuple[int, ...] = ()
    """End token of each part."""

    @property
    def plain(self) -> bool:
        """A single whole number without decimals or parts."""
        return len(self.parts) == 1 and not self.decimal and self.fraction is None and self.high is None


def find_numbers(norms: Sequence[str]) -> list[Number]:
    """All numbers of a token sequence, left to right, none overlapping."""
    found: list[Number] = []
    at = 0
    while at < len(norms):
        number = _number(norms, at)
        if number is None:
            at += 1
            continue
        number = _with_range(norms, number)
        found.append(number)
        at = number.end
    return found


def _number(norms: Sequence[str], at: int) -> Number | None:
    """The longest number that begins at a token."""
    word = norms[at]
    if word in HEARD_AS and _at(norms, at + 1) == "point" and _digit(_at(norms, at + 2)) is not None:
        return _decimal(norms, at, HEARD_AS[word], at + 1, str(HEARD_AS[word]), misheard=True)
    if word == "point" and _digit(_at(norms, at + 1)) is not None and not _is_item(norms, at):
        return _decimal(norms, at, 0, at, "0")
    if word in ("half", "a", "an", "quarter"):
        return _leading_fraction(norms, at)
    first = _cardinal(norms, at)
    if first is None:
        return None
    value, end, digits, decimal = first
    if not decimal and _at(norms, end) in POINTS and _digit(_at(norms, end + 1)) is not None:
        return _decimal(norms, at, value, end, digits)
    fraction = _fraction_after(norms, at, value, end) or _printed_fraction(norms, at, value, end)
    if fraction:
        return fraction
    return _run_on(norms, at, value, end, digits, decimal)


def _is_item(norms: Sequence[str], at: int) -> bool:
    """ "Point three, brakes": a numbered item and not a decimal."""
    alone = _at(norms, at - 1) in ("", ".", "the", "at", "\n") and _at(norms, at + 2) in (",", ".", ":")
    return alone or _at(norms, at - 1) == "the"


def _run_on(norms: Sequence[str], at: int, value: float, end: int, digits: str, decimal: bool) -> Number:
    """Gathers the cardinals that follow without a word between."""
    parts, ends, last_point = [value], [end], decimal
    while not last_point:
        following = _cardinal(norms, end)
        if following is None or _fraction_after(norms, end, following[0], following[1]):
            break
        parts.append(following[0])
        digits += following[2]
        end, last_point = following[1], following[3]
        if _at(norms, end) in POINTS and _digit(_at(norms, end + 1)) is not None:
            tail = _decimal(norms, end, following[0], end, following[2])
            parts[-1], end, last_point = tail.value, tail.end, True
        ends.append(end)
    whole = float(digits) if len(parts) > 1 and digits.isdigit() else value
    return Number(at, end, whole, tuple(parts), digits, decimal=decimal, ends=tuple(ends))


def _decimal(
    norms: Sequence[str], start: int, whole: float, point: int, digits: str, misheard: bool = False
) -> Number:
    """``whole`` "point" digits…; ``point`` is the token that says so."""
    end, tail = point + 1, ""
    while (digit := _digit(_at(norms, end))) is not None:
        if tail and len(digit) > 1:
            break
        if len(tail) >= 3:
            break
        tail += digit
        end += 1
    tens = TENS.get(_at(norms, point + 1))
    if tens and tail:
        tail = str(tens + int(tail[2:] or 0)) if len(tail) > 2 else str(tens)
    value = float(f"{int(whole)}.{tail}")
    return Number(start, end, value, (value,), digits + tail, decimal=True, misheard=misheard)


def _digit(word: str) -> str | None:
    if word in ONES:
        return str(ONES[word])
    if word in TENS or word in TEENS:
        return str(TENS.get(word) or TEENS[word])
    return word if word.isdigit() else None


def _leading_fraction(norms: Sequence[str], at: int) -> Number | None:
    """ "half", "half a", "a half", "a quarter", "a hundred"; a bare "a" is no number."""
    word, after = norms[at], _at(norms, at + 1)
    if word in ("a", "an"):
        if after in ("hundred", "thousand"):
            value, end, digits, decimal = _cardinal(norms, at + 1, implied_one=True) or (0, 0, "", False)
            return Number(at, end, value, (value,), digits, decimal=decimal) if end else None
        if after in PARTS_OF and after not in ("third", "fifth"):
            return Number(at, at + 2, 1 / PARTS_OF[after], (1 / PARTS_OF[after],), "", PARTS_OF[after])
        return None
    if word == "half" and after in ("a", "an"):
        return Number(at, at + 2, 0.5, (0.5,), "", 2)
    if word == "quarter" and after == "of":
        return Number(at, at + 1, 0.25, (0.25,), "", 4)
    return None


def _fraction_after(norms: Sequence[str], at: int, value: float, end: int) -> Number | None:
    """ "two and a half", "three thirty-seconds", "three quarters", "one and three quarters"."""
    denominator, stop = _denominator(norms, end)
    if denominator and value < denominator:
        return Number(at, stop, value / denominator, (value / denominator,), "", denominator)
    join = end + 1 if _at(norms, end) == "and" else end
    if _at(norms, join) in ("a", "an", "half", "one"):
        step = join if _at(norms, join) == "half" else join + 1
        denominator, stop = _denominator(norms, step)
        if denominator and denominator <= 8 and join > end:
            total = value + 1 / denominator
            return Number(at, stop, total, (total,), "", denominator)
    if join > end:
        top = _cardinal(norms, join)
        if top and top[0] < 64:
            denominator, stop = _denominator(norms, top[1])
            if denominator and top[0] < denominator:
                total = value + top[0] / denominator
                return Number(at, stop, total, (total,), "", denominator)
    return None


def _printed_fraction(norms: Sequence[str], at: int, value: float, end: int) -> Number | None:
    """ "2 1/2" as a recogniser prints it."""
    if _at(norms, end).isdigit() and _at(norms, end + 1) == "/" and value == int(value):
        denominator, stop = _denominator(norms, end + 1)
        if denominator and int(norms[end]) < denominator:
            total = value + int(norms[end]) / denominator
            return Number(at, stop, total, (total,), "", denominator)
    return None


def _denominator(norms: Sequence[str], at: int) -> tuple[int | None, int]:
    """ "thirty-seconds" is two tokens; "/ 32" is a printed one."""
    word, after = _at(norms, at), _at(norms, at + 1)
    if word in ("thirty", "sixty") and after in ("second", "seconds", "fourth", "fourths"):
        return (32 if word == "thirty" else 64), at + 2
    if word in ("30", "60") and after in ("second", "seconds", "fourth", "fourths"):
        return (32 if word == "30" else 64), at + 2
    if (
        word == "/"
        and after in ("2", "4", "8", "16", "32", "64")
        and _at(norms, at + 2) not in ("r", "zr", "b")
    ):
        return int(after), at + 2
    if word in ("32", "64", "16") and after in ("nd", "nds", "ths", "th", "rds"):
        return int(word), at + 2
    return (PARTS_OF[word], at + 1) if word in PARTS_OF and word not in ("third", "fifth") else (None, at)


def _cardinal(
    norms: Sequence[str], at: int, implied_one: bool = False
) -> tuple[float, int, str, bool] | None:
    """One cardinal in words or digits: value, end, its digits, whether it has a decimal point."""
    word = _at(norms, at)
    if not implied_one and _DIGITS.match(word):
        return _printed(norms, at, word)
    total, group, end, last = 0, (1 if implied_one else None), at, 0
    started = implied_one
    while True:
        word = _at(norms, end)
        scale = {"hundred": 100, "thousand": 1000}.get(word)
        if scale and started and group is not None:
            if scale == 1000:
                total, group, last = total + group * 1000, 0, 1000
            else:
                group, last = group * 100, 100
        elif word == "and" and last in (100, 1000) and _small(_at(norms, end + 1)):
            pass
        elif _small(word) is not None and _fits(last, word, group):
            group, last = (group or 0) + (_small(word) or 0), _rank(word)
        else:
            break
        started, end = True, end + 1
    if end == at or (group is None and not total):
        return None
    value = total + (group or 0)
    return float(value), end, str(value), False


def _small(word: str) -> int | None:
    for table in (ONES, TEENS, TENS):
        if word in table:
            return table[word]
    return None


def _rank(word: str) -> int:
    return 1 if word in ONES else 10 if word in TEENS else 20


def _fits(last: int, word: str, group: int | None) -> bool:
    """Whether a small number word can go on a cardinal whose last word had a rank."""
    if group is None or last in (100, 1000):
        return True
    return last == 20 and word in ONES and ONES[word] > 0


def _printed(norms: Sequence[str], at: int, word: str) -> tuple[float, int, str, bool]:
    """Digits, with "2 thousand" and "12 hundred" taken along."""
    value, end = float(word), at + 1
    digits, decimal = word.replace(".", ""), "." in word
    scale = {"hundred": 100, "thousand": 1000}.get(_at(norms, end))
    if scale:
        value, end = value * scale, end + 1
        digits, decimal = str(int(value)), False
        join = end + 1 if _at(norms, end) == "and" else end
        rest = _cardinal(norms, join)
        if rest and rest[0] < scale and not rest[3]:
            value, end = value + rest[0], rest[1]
            digits = str(int(value))
    return value, end, digits, decimal


def _with_range(norms: Sequence[str], low: Number) -> Number:
    """Takes "to 30", "- 30", "and 30" (after "between") into the number."""
    word = _at(norms, low.end)
    between = _at(norms, low.start - 1) in ("between", "from", "within") and word in ("and", "to")
    if word not in ("to", "-", "–", "through") and not between:
        return low
    if word in ("-", "–") and low.end + 1 < len(norms) and not _DIGITS.match(norms[low.end + 1]):
        return low
    high = _number(norms, low.end + 1)
    if high is None or high.value <= low.value or (high.misheard and not low.decimal):
        return low
    return replace(low, end=high.end, high=high.value, decimal=low.decimal or high.decimal)


def _at(norms: Sequence[str], index: int) -> str:
    return norms[index] if 0 <= index < len(norms) else ""
