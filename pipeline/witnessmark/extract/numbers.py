"""Spoken and printed numbers.

One forward pass turns token norms into `Number`s. A number that is several cardinals in a row ("one twenty
seventy seventeen", "two five", "fourteen two") keeps its parts, because only what is measured tells whether
it is 2.5, 25 or a tyre size.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from witnessmark.extract.cardinals import PLACES, PRINTED, SCALES, TENS, cardinal, digit, word_at
from witnessmark.knowledge.grammar import words as word_set

PARTS_OF = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fifth": 5, "fifths": 5,
    "eighth": 8, "eighths": 8, "tenth": 10, "tenths": 10, "sixteenth": 16, "sixteenths": 16,
    "thirtysecond": 32, "thirtyseconds": 32, "sixtyfourth": 64, "sixtyfourths": 64, "hundredth": 100,
    "hundredths": 100,
}  # fmt: skip
HEARD_AS = {"to": 2, "too": 2, "for": 4, "fore": 4, "ate": 8, "won": 1, "tree": 3, "tu": 2}
"""Words a recogniser prints for a number; taken as one only before "point" and a digit, or before a unit."""
_HEARD_UNITS = word_set("heard_units")
_LEAD_TO = word_set("lead_to")
"""Before "to" they make it what a thing was brought to."""

POINTS = frozenset(("point", "dot", "comma", "decimal"))
_VAGUE = word_set("vague_numbers")
"""Before "hundred" they leave open how many."""


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
        whole = not self.decimal and self.fraction is None and self.high is None
        return whole and len(self.parts) == 1 and self.value >= 0


def find_numbers(norms: Sequence[str], start: int = 0) -> list[Number]:
    """All numbers of a token sequence from a token on, left to right, none overlapping."""
    found: list[Number] = []
    at = start
    while at < len(norms):
        number = _number(norms, at)
        if number is None:
            at += 1
            continue
        number = _with_range(norms, number)
        found.append(number)
        at = number.end
    return found


def moved(number: Number, by: int) -> Number:
    """A number found in a part of a talk, as it stands in the talk."""
    ends = tuple(end + by for end in number.ends)
    return replace(number, start=number.start + by, end=number.end + by, ends=ends)


def _number(norms: Sequence[str], at: int) -> Number | None:
    """The longest number that begins at a token."""
    if at >= len(norms):
        return None
    if at + 1 < len(norms) and _is_sign(norms, at):
        number = _unsigned(norms, at + 1)
        return replace(number, start=at, value=-number.value, parts=(-number.value,)) if number else None
    return _unsigned(norms, at)


def _is_sign(norms: Sequence[str], at: int) -> bool:
    """ "minus ten", but neither "plus or minus ten" nor "twelve minus ten"."""
    before = word_at(norms, at - 1)
    return norms[at] == "minus" and before not in ("or", "plus") and digit(before) is None


def _unsigned(norms: Sequence[str], at: int) -> Number | None:
    word = norms[at]
    if word in HEARD_AS and (heard := _misheard(norms, at)):
        return heard
    if word == "point" and digit(word_at(norms, at + 1)) is not None and not _is_item(norms, at):
        return _decimal(norms, at, 0, at, "0")
    if word in ("half", "a", "an", "quarter"):
        return _times_scale(norms, _leading_fraction(norms, at))
    if sign := _fraction_sign(word):
        return Number(at, at + 1, float(sign), (float(sign),), "", sign.denominator)
    if word == "one" and word_at(norms, at - 1) in PLACES and PRINTED.match(word_at(norms, at + 1)):
        return None  # "the left one 4.42"
    bare = word in ("hundred", "thousand") and word_at(norms, at - 1) not in _VAGUE
    first = cardinal(norms, at, implied_one=bare)  # "hundred and forty a minute"
    if first is None:
        return None
    value, end, digits, decimal = first
    if not decimal and word_at(norms, end) in POINTS and digit(word_at(norms, end + 1)) is not None:
        return _decimal(norms, at, value, end, digits)
    fraction = _fraction_after(norms, at, value, end) or _printed_fraction(norms, at, value, end)
    if fraction:
        return _times_scale(norms, fraction)
    return _run_on(norms, at, value, end, digits, decimal)


def _misheard(norms: Sequence[str], at: int) -> Number | None:
    """ "to point five" is 2.5 and "ate mill" 8 mm, but "up to point five" is 0.5."""
    value, after = HEARD_AS[norms[at]], word_at(norms, at + 1)
    led = norms[at] == "to" and word_at(norms, at - 1) in _LEAD_TO
    if after == "point" and digit(word_at(norms, at + 2)) is not None and not led:
        return _decimal(norms, at, value, at + 1, str(value), misheard=True)
    before = word_at(norms, at - 1)
    said = before in ("is", "'s", "was", "at", "of", "are", "were", "has", "only")
    bounds = before.startswith(("max", "min")) and not after.isalnum()  # "1.2 percent, maximum too."
    if (after in _HEARD_UNITS and said) or bounds:
        return Number(at, at + 1, value, (value,), str(value), misheard=True, ends=(at + 1,))
    return None


def _is_item(norms: Sequence[str], at: int) -> bool:
    """ "Point three, brakes": a numbered item and not a decimal."""
    first = word_at(norms, at - 1) in ("", ".", "the", "at", "\n")
    return (first and word_at(norms, at + 2) in (",", ".", ":")) or word_at(norms, at - 1) == "the"


def _run_on(norms: Sequence[str], at: int, value: float, end: int, digits: str, decimal: bool) -> Number:
    """Gathers the cardinals that follow without a word between."""
    parts, ends, last_point = [value], [end], decimal
    while not last_point:
        following = cardinal(norms, end)
        if following is None or _fraction_after(norms, end, following[0], following[1]):
            break
        pointed = (
            word_at(norms, following[1]) in POINTS and digit(word_at(norms, following[1] + 1)) is not None
        )
        if pointed and len(parts) == 1 and following[0] < 10:
            break  # "four | two point five"
        parts.append(following[0])
        digits += following[2]
        end, last_point = following[1], following[3]
        if word_at(norms, end) in POINTS and digit(word_at(norms, end + 1)) is not None:
            tail = _decimal(norms, end, following[0], end, following[2])
            parts[-1], end, last_point = tail.value, tail.end, True
        ends.append(end)
    whole = float(digits) if len(parts) > 1 and digits.isdigit() else value
    if len(parts) == 2 and parts[0] < 10 <= parts[1] < 100 and parts[1] % 1:
        whole = round(parts[0] * 100 + parts[1], 9)  # "three twenty-three point eight"
    return Number(at, end, whole, tuple(parts), digits, decimal=decimal, ends=tuple(ends))


def _decimal(
    norms: Sequence[str], start: int, whole: float, point: int, digits: str, misheard: bool = False
) -> Number:
    """``whole`` "point" digits…; ``point`` is the token that says so."""
    tail, end = _decimals(norms, point + 1)
    value = float(f"{int(whole)}.{tail}")
    scale = SCALES.get(word_at(norms, end), 0)
    if scale >= 1000:
        value, end, tail = round(value * scale, 9), end + 1, ""
        digits = str(int(value))
    return Number(start, end, value, (value,), digits + tail, decimal=True, misheard=misheard)


def _decimals(norms: Sequence[str], start: int) -> tuple[str, int]:
    """The decimals said from a token on, and their end: "three six", "o five", "twenty-five"."""
    tail, end = "", start
    while (said := digit(word_at(norms, end))) is not None:
        if tail and (len(said) > 1 or _begins_decimal(norms, end)):
            break
        tail += said
        end += 1
    tens = TENS.get(word_at(norms, start))
    if tens and len(tail) > 2 and tail[2] != "0":
        tail = tail[0] + tail[2:]
    return tail, end


def _begins_decimal(norms: Sequence[str], at: int) -> bool:
    """ "four point two | three point one": the three is of the next number."""
    return word_at(norms, at + 1) in POINTS and digit(word_at(norms, at + 2)) is not None


def _leading_fraction(norms: Sequence[str], at: int) -> Number | None:
    """ "half", "half a", "a half", "a quarter", "a hundred"; a bare "a" is no number."""
    word, after = norms[at], word_at(norms, at + 1)
    if word in ("a", "an"):
        if after in SCALES:
            value, end, digits, decimal = cardinal(norms, at + 1, implied_one=True) or (0, 0, "", False)
            return Number(at, end, value, (value,), digits, decimal=decimal) if end else None
        if after in PARTS_OF and after not in ("third", "fifth"):
            return Number(at, at + 2, 1 / PARTS_OF[after], (1 / PARTS_OF[after],), "", PARTS_OF[after])
        return None
    if word == "half" and after in ("a", "an"):
        return Number(at, at + 2, 0.5, (0.5,), "", 2)
    if word in ("half", "quarter") and (
        after in ("inch", "mil", "mill") or (word == "quarter" and after == "of")
    ):
        return Number(at, at + 1, 1 / PARTS_OF[word], (1 / PARTS_OF[word],), "", PARTS_OF[word])
    return None


def _times_scale(norms: Sequence[str], number: Number | None) -> Number | None:
    """ "half a million", "two and a half thousand"."""
    scale = SCALES.get(word_at(norms, number.end)) if number and number.fraction else None
    if number is None or scale is None:
        return number
    value = number.value * scale
    whole = f"{value:.0f}"
    return Number(number.start, number.end + 1, value, (value,), whole, ends=(number.end + 1,))


def _fraction_after(norms: Sequence[str], at: int, value: float, end: int) -> Number | None:
    """ "two and a half", "three thirty-seconds", "three quarters", "one and three quarters"."""
    denominator, stop = _denominator(norms, end)
    if denominator and value < denominator:
        return Number(at, stop, value / denominator, (value / denominator,), "", denominator)
    join = end + 1 if word_at(norms, end) == "and" else end
    if word_at(norms, join) in ("a", "an", "half", "one"):
        step = join if word_at(norms, join) == "half" else join + 1
        denominator, stop = _denominator(norms, step)
        if denominator and denominator <= 8 and join > end:
            total = value + 1 / denominator
            return Number(at, stop, total, (total,), "", denominator)
    if join > end:
        top = cardinal(norms, join)
        if top and top[0] < 64:
            denominator, stop = _denominator(norms, top[1])
            if denominator and top[0] < denominator:
                total = value + top[0] / denominator
                return Number(at, stop, total, (total,), "", denominator)
    return None


def _printed_fraction(norms: Sequence[str], at: int, value: float, end: int) -> Number | None:
    """ "2 1/2" and "2½" as a recogniser prints them."""
    if value == int(value) and (sign := _fraction_sign(word_at(norms, end))):
        total = value + float(sign)
        return Number(at, end + 1, total, (total,), "", sign.denominator)
    if word_at(norms, end).isdigit() and word_at(norms, end + 1) == "/" and value == int(value):
        denominator, stop = _denominator(norms, end + 1)
        if denominator and int(norms[end]) < denominator:
            total = value + int(norms[end]) / denominator
            return Number(at, stop, total, (total,), "", denominator)
    return None


def _fraction_sign(word: str) -> Fraction | None:
    """ "½" and its like."""
    value = unicodedata.numeric(word, 0) if len(word) == 1 and not word.isdigit() else 0
    return Fraction(value).limit_denominator(64) if 0 < value < 1 else None


def _denominator(norms: Sequence[str], at: int) -> tuple[int | None, int]:
    """ "thirty-seconds" is two tokens; "/ 32" is a printed one."""
    word, after = word_at(norms, at), word_at(norms, at + 1)
    if word in ("thirty", "sixty") and after in ("second", "seconds", "fourth", "fourths"):
        return (32 if word == "thirty" else 64), at + 2
    if word in ("30", "60") and after in ("second", "seconds", "fourth", "fourths"):
        return (32 if word == "30" else 64), at + 2
    if (
        word == "/"
        and after in ("2", "4", "8", "16", "32", "64")
        and word_at(norms, at + 2) not in ("r", "zr", "b")
    ):
        return int(after), at + 2
    if word in ("32", "64", "16") and after in ("nd", "nds", "ths", "th", "rds"):
        return int(word), at + 2
    return (PARTS_OF[word], at + 1) if word in PARTS_OF and word not in ("third", "fifth") else (None, at)


def _with_range(norms: Sequence[str], low: Number) -> Number:
    """Takes "to 30", "- 30", "and 30" (after "between") into the number."""
    word = word_at(norms, low.end)
    between = word_at(norms, low.start - 1) in ("between", "from", "within") and word in ("and", "to")
    if word not in ("to", "-", "–", "through") and not between:
        return low
    if word in ("-", "–") and low.end + 1 < len(norms) and not PRINTED.match(norms[low.end + 1]):
        return low
    high = _number(norms, low.end + 1)
    if high is None or high.value <= low.value or (high.misheard and not low.decimal):
        return low
    return replace(low, end=high.end, high=high.value, decimal=low.decimal or high.decimal)
