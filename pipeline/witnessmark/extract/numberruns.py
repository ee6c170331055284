"""Numbers that run into each other or were cut apart, before they are given their units."""

from __future__ import annotations

from dataclasses import replace
from itertools import zip_longest

from witnessmark.extract.numbers import Number
from witnessmark.extract.talk import Talk
from witnessmark.extract.unitwords import UnitWords
from witnessmark.knowledge.grammar import words as word_set

MOVES = word_set("moves_from") | {"let", "shimmed", "kept", "backed", "put", "add", "added", "bumped", "made"}
"""Words for bringing a thing from one figure to another."""


def regrouped(talk: Talk, units: UnitWords) -> list[Number]:
    """The numbers of a talk with thousands joined, moves and runs split, and comma decimals read."""
    moved = _split_moves(talk, _joined_thousands(talk))
    return _comma_decimals(talk, _split_runs(_before_ranges(talk, _lost_points(talk, moved))), units)


def _lost_points(talk: Talk, numbers: list[Number]) -> list[Number]:
    """ "four, five mil" for "four point five": a pair that the recogniser doubted is one number in two parts.

    What is measured then tells where the point goes, and the reading is marked.
    """
    out: list[Number] = []
    for at, number in enumerate(numbers):
        whole = out[-1] if out else None
        more = numbers[at + 1] if at + 1 < len(numbers) else None
        if whole and _is_parted(talk, whole, number) and not (more and _is_parted(talk, number, more)):
            digits = whole.digits + number.digits
            parts, ends = whole.parts + number.parts, (whole.end, number.end)
            out[-1] = Number(whole.start, number.end, float(digits), parts, digits, ends=ends)
        else:
            out.append(number)
    return out


def _is_parted(talk: Talk, whole: Number, number: Number) -> bool:
    comma = talk.at(whole.end) == "," and number.start == whole.end + 1
    small = whole.plain and number.plain and whole.value < 20 and number.value < 100
    written = whole.digits.isdigit() and number.digits.isdigit() and len(number.digits) < 3
    return comma and small and written and talk.is_unsure(whole.start, number.end)


def _comma_decimals(talk: Talk, numbers: list[Number], units: UnitWords) -> list[Number]:
    """ "2,2 bar", where the comma is the decimal mark: first before a unit, so that "1,2" stays a list."""
    out: list[Number] = []
    used = False
    for number in numbers:
        whole = out[-1] if out else None
        if whole and _is_decimals(talk, whole, number) and (used or units.of(number)):
            used = True
            value = float(f"{talk.at(whole.start)}.{talk.at(number.start)}")
            digits = whole.digits + number.digits
            out[-1] = Number(whole.start, number.end, value, (value,), digits, decimal=True)
        else:
            out.append(number)
    return out


def _is_decimals(talk: Talk, whole: Number, number: Number) -> bool:
    glued = number.start == whole.end + 1 and talk.doc[whole.start : number.end].text.count(" ") == 0
    printed = talk.at(whole.start).isdigit() and talk.at(number.start).isdigit()
    single = whole.end - whole.start == number.end - number.start == 1
    return glued and printed and single and talk.at(whole.end) == "," and len(talk.at(number.start)) <= 2


def _joined_thousands(talk: Talk) -> list[Number]:
    """ "ninety-one thousand, four hundred and two" is one number."""
    out: list[Number] = []
    for number in talk.numbers:
        last = out[-1] if out else None
        near = (
            last
            and talk.at(last.end) == ","
            and number.start == last.end + 1
            and talk.at(last.end - 1) == "thousand"
        )
        if last and near and number.value < 1000 and number.plain:
            value = last.value + number.value
            out[-1] = replace(
                last, end=number.end, value=value, parts=(value,), digits=f"{value:.0f}", ends=(number.end,)
            )
        else:
            out.append(number)
    return out


def _split_moves(talk: Talk, numbers: list[Number]) -> list[Number]:
    """ "took it from twenty-eight to thirty-six" gives two numbers and no range."""
    out: list[Number] = []
    for number in numbers:
        moved = talk.at(number.start - 1) == "from" and talk.near_before(number.start - 1, MOVES, 7)
        to = next((i for i in range(number.start, number.end) if talk.at(i) in ("to", "-")), None)
        if number.high is None or not moved or to is None:
            out.append(number)
            continue
        first, second = f"{number.value:g}", f"{number.high:g}"
        out.append(Number(number.start, to, number.value, (number.value,), first, ends=(to,)))
        out.append(Number(to + 1, number.end, number.high, (number.high,), second, ends=(number.end,)))
    return out


def _before_ranges(talk: Talk, numbers: list[Number]) -> list[Number]:
    """ "sag thirty-one, twenty-five to thirty-five" said in one breath: a figure and a range."""
    out: list[Number] = []
    skip = False
    for one, two in zip_longest(numbers, numbers[1:]):
        if skip:
            skip = False
            continue
        tens = len(one.parts) == 2 and all(10 <= p < 100 for p in one.parts) and not one.decimal
        joined = (
            two is not None and talk.at(one.end) == "to" and two.start == one.end + 1 and two.high is None
        )
        if two is None or not (tens and joined and one.high is None and one.parts[1] < two.value < one.value):
            out.append(one)
            continue
        first, low = one.parts
        cut = one.ends[0]
        out.append(Number(one.start, cut, first, (first,), f"{first:g}", ends=(cut,)))
        out.append(replace(two, start=cut, value=low, high=two.value, parts=(low,), digits=f"{low:g}"))
        skip = True
    return out


def _split_runs(numbers: list[Number]) -> list[Number]:
    """Parts "four four zero | twenty-two thousand three hundred": spelled digits run into a distance."""
    out: list[Number] = []
    for number in numbers:
        if len(number.parts) > 1 and number.parts[-1] >= 1000 and not number.decimal:
            cut = number.ends[-2]
            first = f"{number.parts[-1]:.0f}"
            out.append(
                replace(
                    number,
                    end=cut,
                    parts=number.parts[:-1],
                    digits=number.digits[: -len(first)],
                    ends=number.ends[:-1],
                )
            )
            out.append(
                Number(
                    cut,
                    number.end,
                    number.parts[-1],
                    number.parts[-1:],
                    first,
                    ends=(number.end,),
                    high=number.high,
                )
            )
        else:
            out.append(number)
    return out
