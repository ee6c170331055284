"""What tells that four digits are a date of manufacture."""

from __future__ import annotations

from witnessmark.extract.numbers import Number
from witnessmark.extract.talk import Code, Talk
from witnessmark.knowledge.grammar import words as word_set

_PLACING = word_set("date_placing")
_SAYS = word_set("date_says")
_QUESTION = 16
"""Tokens of the sentence before a date that may announce it."""
_ANOTHER_WITHIN = 30
"""Words after a date code within which the other place's may follow unannounced."""


def second_pair(talk: Talk, number: Number) -> Number | None:
    """ "the date says forty-eight, twenty-one": the year said after a pause."""
    second = talk.number_at(number.end + 1) if talk.at(number.end) in (",", "-", "/") else None
    week = 1 <= number.value <= 53 and number.plain
    year = second and len(second.digits) == 2 and second.plain and second.value <= 50
    unit = second and talk.starting(talk.of("unit"), second.end)
    dated = talk.near_before(number.start, frozenset(("date", "code", "dot", "dated")), 4)
    return second if week and year and not unit and dated else None


def dated_far_before(talk: Talk, number: Number) -> bool:
    """ "the date code, I read it upside down, it's 09 22"."""
    four = number.digits.isdigit() and len(number.digits) == 4 and 1 <= int(number.digits[:2]) <= 53
    return (
        four
        and talk.near_before(number.start, frozenset(("code",)), 12)
        and talk.at(number.start - 1) == "'s"
    )


def last_date(talk: Talk, before: int) -> Code | None:
    """The date last found before a token, by the other forms of dates."""
    near = talk.between(talk.codes, before - _ANOTHER_WITHIN, before)
    return next((c for c in reversed(near) if c.quantity == "manufactured" and c.end <= before), None)


def another_of_the_kind(talk: Talk, last: int, number: Number, years: bool) -> bool:
    """ "rear date code is 4018, front is 4719": four digits for the other place are a date too."""
    if number.start - last > _ANOTHER_WITHIN:
        return False
    between = [talk.at(i) for i in range(last, number.start)]
    week = len(number.digits) == 4 and (1 <= int(number.digits[:2]) <= 53 or years)
    placed = any(w in ("front", "rear", "back", "other") for w in between)
    figures = (talk.numbers, talk.of("unit"))
    inside = {
        i for spans in figures for s in talk.between(spans, last, number.start) for i in range(s.start, s.end)
    }
    small = all(w in _PLACING or i in inside for i, w in enumerate(between, last))
    mended = talk.between(talk.cues("correct"), last, number.start)
    if week and mended and number.start - mended[-1].end <= 3 and len(between) <= 8:
        return not talk.starting(talk.of("unit"), number.end)
    return week and placed and small and not talk.starting(talk.of("unit"), number.end)


def bare_tyre_code(talk: Talk, number: Number) -> bool:
    """ "the back tyre here is 4514": four digits said of a tyre without a unit can only be its date."""
    digits, said = number.digits, talk.at(number.start - 1) in ("is", "'s", "reads", "says")
    aged = talk.at(number.start - 1) == "," and talk.at(number.start - 2) in ("older", "newer", "younger")
    said = said or aged  # "the tyre up here is older, 0919"
    tyre = talk.near_before(number.start, frozenset(("tyre", "tyres")), 8 if aged else 4)
    week = len(digits) == 4 and 1 <= int(digits[:2]) <= 53
    return said and tyre and week and not bool(talk.starting(talk.of("unit"), number.end))


def asked_before(talk: Talk, number: Number) -> bool:
    """ "Read me the date, would you? Four four one eight.": announced in the sentence before."""
    digits, at = number.digits, number.start
    if len(digits) != 4 or not (1 <= int(digits[:2]) <= 53 and int(digits[2:]) <= 50):
        return False
    while talk.at(at - 1) in _SAYS:
        at -= 1
    alone = talk.at(at - 1) in (".", "?", "!") and talk.at(number.end) in (".", "", ",", "!")
    asked = talk.norms[max(0, at - _QUESTION) : at]
    return alone and bool({"date", "code", "dot", "stamp"} & set(asked))


def first_four(number: Number) -> tuple[str, int]:
    """The first four digits of a run that goes on into another figure, and where they end."""
    digits = ""
    for part, end in zip(number.parts, number.ends, strict=True):
        digits += f"{part:g}"
        if len(digits) >= 4:
            return digits, end
    return number.digits, number.end


def announced_as_year(talk: Talk, number: Number) -> bool:
    """ "made in 2016", "from 2015": a year and not week 20 of 2016."""
    year = len(number.digits) == 4 and number.digits[:2] in ("19", "20")
    if year and talk.near_before(number.start, frozenset(("year",)), 3):
        return True
    before = talk.at(number.start - 1)
    return year and (
        before in ("in", "from", "year", "is", "since", "of", "na")
        and not talk.near_before(number.start, frozenset(("code",)), 4)
    )
