"""Markings: tyre date codes, sizes, grades, load and speed marks, fault codes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from witnessmark.extract.date_leads import (
    announced_as_year,
    another_of_the_kind,
    asked_before,
    bare_tyre_code,
    dated_far_before,
    first_four,
    last_date,
    second_pair,
)
from witnessmark.extract.faults import find_fault_codes
from witnessmark.extract.numbers import Number, find_numbers, moved
from witnessmark.extract.sizes import find_grades, find_sizes
from witnessmark.extract.talk import Code, Talk
from witnessmark.knowledge.grammar import words as word_set

ORDINALS = {
    "first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8,
    "ninth": 9, "tenth": 10, "eleventh": 11, "twelfth": 12, "thirteenth": 13, "fourteenth": 14,
    "fifteenth": 15,
    "sixteenth": 16, "seventeenth": 17, "eighteenth": 18, "nineteenth": 19, "twentieth": 20, "thirtieth": 30,
    "fortieth": 40, "fiftieth": 50,
}  # fmt: skip
_SMALL_WORDS = word_set("date_links")
_PLACING = word_set("date_placing")
_DATE_HINTS = word_set("date_hints")
_SAYS = word_set("date_says")
_ON_THE_DATE = (["on", "the", "date"], ["on", "the", "stamp"], ["for", "the", "date"], ["is", "the", "date"])
_YEAR_BEFORE = 6
"""Tokens before "week" within which its year may stand."""
_QUESTION = 16
"""Tokens of the sentence before a date that may announce it."""
_LOOK_BACK = 4
"""Tokens before a number that its grammar looks at."""
_LONGEST = 20
"""Tokens that a marking may take."""
_ANOTHER_WITHIN = 30
"""Words after a date code within which the other place's may follow unannounced."""


def find_codes(talk: Talk) -> list[Code]:
    """All markings, in order, none overlapping."""
    found: list[Code] = list(talk.codes)
    held = {i for c in found for i in range(c.start, c.end)}
    for finder in (find_fault_codes, _weeks, find_sizes, find_grades, _date_codes, _years):
        for code in finder(talk):
            if held.isdisjoint(range(code.start, code.end)):
                found.append(code)
                held.update(range(code.start, code.end))
    return sorted(found, key=lambda c: c.start)


def after_codes(talk: Talk) -> list[Number]:
    """The numbers, those that ran on from a marking cut off where it ends."""
    out: list[Number] = []
    for number in talk.numbers:
        held = talk.between(talk.codes, number.start - _LONGEST, number.start + 1)
        code = next((c for c in held if number.start < c.end < number.end), None)
        if code is None:
            out.append(number)
        else:
            window = [" "] * _LOOK_BACK + talk.norms[code.end : number.end]
            cut = code.end - _LOOK_BACK
            out.extend(moved(n, cut) for n in find_numbers(window, _LOOK_BACK))
    return out


def _year(number: Number) -> int | None:
    """A year said in full or by its last two digits."""
    digits = number.digits
    if len(digits) == 4 and digits[:2] in ("19", "20"):
        return int(digits)
    if len(digits) == 2 and not number.decimal:
        return 2000 + int(digits) if int(digits) <= 50 else 1900 + int(digits)
    return None


def _year_of(number: Number) -> tuple[int, int] | None:
    """The year that a number is or begins with, and the token after it."""
    year, end = _year(number), number.end
    if year is None and len(number.parts) > 2:
        digits, end = first_four(number)
        year = int(digits) if digits[:2] in ("19", "20") and len(digits) == 4 else None
    return (year, end) if year else None


def _weeks(talk: Talk) -> Iterator[Code]:
    """ "week 31 of 2021", "the twenty-second week of 2017", "2021 week 40", "week 44 the same year"."""
    year = ""
    for at, word in enumerate(talk.norms):
        if word != "week":
            continue
        number = talk.number_at(at + 1)
        if number is None:
            found = _ordinal_week(talk, at)
        else:
            found = _week_then_year(talk, at, number) or _year_then_week(talk, at, number, year)
        if found:
            year = found.value[:4]
            yield found


def _week_then_year(talk: Talk, at: int, number: Number) -> Code | None:
    digits, parts = number.digits, number.parts
    if len(parts) == 2 and parts[0] <= 53 and 1950 <= parts[1] < 2100:
        return Code(at, number.end, "manufactured", f"{parts[1]:.0f}-W{parts[0]:02.0f}")
    if len(digits) in (4, 6) and len(number.parts) > 1:
        week = str(int(number.parts[0])).zfill(2)
        rest = digits[len(str(int(number.parts[0]))) :]
        if len(rest) in (2, 4) and int(week) <= 53:
            year = rest if len(rest) == 4 else f"20{rest}"
            return Code(at, number.end, "manufactured", f"{year}-W{week}")
        if len(digits) == 4:
            return Code(at, number.end, "manufactured", f"20{digits[2:]}-W{digits[:2]}")
    end = number.end
    while talk.at(end) in _SMALL_WORDS:
        end += 1
    following = talk.number_at(end)
    if following and number.value <= 53 and (found := _year_of(following)):
        made, end = _two_thousand_and(talk, *found)
        return Code(at, end, "manufactured", f"{made}-W{int(number.value):02d}")
    return None


def _two_thousand_and(talk: Talk, year: int, end: int) -> tuple[int, int]:
    """ "2000 and 22" is printed for a year as well; the year and the token after it."""
    more = talk.number_at(end + 1) if year == 2000 and talk.at(end) == "and" else None
    if more and more.plain and len(more.digits) == 2 and more.value <= 50:
        return year + int(more.value), more.end
    return year, end


def _year_then_week(talk: Talk, at: int, number: Number, last: str) -> Code | None:
    """ "two oh two one week forty", "from oh nine, week fifty", "week forty-four the same year"."""
    if not number.plain or not 1 <= number.value <= 53:
        return None
    week = f"W{int(number.value):02d}"
    same = [w for w in talk.norms[number.end : number.end + 4] if w not in ("of", "the", ",")]
    if last and same[:2] == ["same", "year"]:
        return Code(at, number.end, "manufactured", f"{last}-{week}")
    for before in reversed(talk.between(talk.numbers, at - _YEAR_BEFORE, at)):
        full = len(before.digits) == 4 or talk.at(before.start) in ("oh", "o", "nought")
        near = before.end <= at and "." not in talk.norms[before.end : at]
        if full and near and (year := _year(before)):
            return Code(before.start, number.end, "manufactured", f"{year}-{week}")
    return None


def _ordinal_week(talk: Talk, at: int) -> Code | None:
    word, before = talk.at(at - 1), talk.at(at - 2)
    tens = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50}.get(before, 0)
    match = re.fullmatch(r"(\d+)(?:st|nd|rd|th)", word + "") or None
    week = int(match.group(1)) if match else ORDINALS.get(word)
    if week is None and word in ("st", "nd", "rd", "th") and before.isdigit():
        week, tens = int(before), 0
    if week is None:
        return None
    week += tens if week < 10 else 0
    end = at + 1
    while talk.at(end) in _SMALL_WORDS:
        end += 1
    following = talk.number_at(end)
    found = _year_of(following) if following else None
    if found is None:
        return None
    start = at - (2 if tens or before.isdigit() else 1)
    return Code(start, found[1], "manufactured", f"{found[0]}-W{week:02d}")


def _date_codes(talk: Talk) -> Iterator[Code]:
    """Four digits after a word that announces a date."""
    last, years = -1, False
    for number in talk.numbers:
        digits, end = number.digits, number.end
        if number.decimal or number.fraction or not digits.isdigit():
            continue
        if said := last_date(talk, number.start):
            last, years = max(last, said.end), years or said.value.isdigit()
        another = last >= 0 and another_of_the_kind(talk, last, number, years)
        after = talk.norms[number.end : number.end + 3]
        announced = talk.near_before(number.start, _DATE_HINTS) or another or after in _ON_THE_DATE
        announced = announced or dated_far_before(talk, number)
        if not announced and not bare_tyre_code(talk, number) and not asked_before(talk, number):
            continue
        years = announced_as_year(talk, number) or (another and years and len(digits) == 4)
        last = end
        if len(digits) > 4 and len(number.parts) > 1:
            digits, end = first_four(number)
        if len(digits) == 2 and (second := second_pair(talk, number)):
            digits, end = digits + second.digits, second.end
        if len(digits) == 4 and not (digits[:2] in ("19", "20") and int(digits[2:]) > 53):
            if years:
                yield Code(number.start, end, "manufactured", digits)
            else:
                doubts = () if 1 <= int(digits[:2]) <= 53 else ("impossible_date",)
                yield Code(number.start, end, "manufactured", f"20{digits[2:]}-W{digits[:2]}", doubts)
        elif (
            len(digits) == 3
            and len(number.parts) in (1, 3)
            and not talk.starting(talk.of("unit"), number.end)
        ):
            yield Code(
                number.start, number.end, "manufactured", f"W{digits[:2]}-{digits[2]}", ("three_digit_date",)
            )


def _years(talk: Talk) -> Iterator[Code]:
    """Only the year: "made in 2016", "it's a 2015 tyre"."""
    for number in talk.numbers:
        year = _year(number) if len(number.digits) == 4 else None
        if not year or number.decimal or number.fraction:
            continue
        made = talk.near_before(
            number.start, frozenset(("made", "manufactured", "built", "dated", "from", "dates")), 3
        )
        made = made or talk.near_before(number.start, frozenset(("year",)), 4)  # "the year on it is 2009"
        if made or talk.at(number.end) in ("tyre", "tyres", "rubber"):
            yield Code(number.start, number.end, "manufactured", str(year))
