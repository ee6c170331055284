"""Markings: tyre date codes, sizes, grades, load and speed marks, fault codes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from witnessmark.extract.numbers import ORDINALS, Number, find_numbers
from witnessmark.extract.talk import Code, Talk
from witnessmark.knowledge.identity import identity

_FLASHES = {"long": 0, "longs": 0, "slow": 0, "short": 1, "shorts": 1, "fast": 1, "quick": 1}
_SMALL_WORDS = frozenset("and then , of in from is the year 's".split())
_STRUCTURES = {"zr": "ZR", "r": "R", "b": "B", "-": "-", "radial": "R", "vr": "VR", "hr": "HR", "d": "-"}
_DATE_HINTS = frozenset(("date", "dot", "day", "code", "stamp", "dated", "made", "manufactured", "built", "week", "mark", "born"))


def find_codes(talk: Talk) -> list[Code]:
    """All markings, in order, none overlapping."""
    found: list[Code] = list(talk.codes)
    for finder in (_fault_codes, _weeks, _sizes, _grades, _date_codes, _years):
        for code in finder(talk):
            if all(code.end <= c.start or code.start >= c.end for c in found):
                found.append(code)
    return sorted(found, key=lambda c: c.start)


def after_codes(talk: Talk) -> list[Number]:
    """The numbers, those that ran on from a marking cut off where it ends."""
    out: list[Number] = []
    for number in talk.numbers:
        code = next((c for c in talk.codes if c.start <= number.start < c.end < number.end), None)
        if code is None:
            out.append(number)
        else:
            rest = [" "] * code.end + talk.norms[code.end : number.end]
            out.extend(find_numbers(rest))
    return out


def _number_at(talk: Talk, start: int) -> Number | None:
    return next((n for n in talk.numbers if n.start == start), None)


def _near_before(talk: Talk, at: int, words: frozenset[str], reach: int = 6) -> bool:
    for index in range(at - 1, max(-1, at - 1 - reach), -1):
        if talk.at(index) in (".", "?", "!", ";"):
            return False
        if talk.at(index) in words:
            return True
    return False


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
        digits, end = _first_four(number)
        year = int(digits) if digits[:2] in ("19", "20") and len(digits) == 4 else None
    return (year, end) if year else None


def _weeks(talk: Talk) -> Iterator[Code]:
    """ "week 31 of 2021", "the twenty-second week of 2017", "week twenty-two twenty seventeen"."""
    for at, word in enumerate(talk.norms):
        if word != "week":
            continue
        number = _number_at(talk, at + 1)
        if number:
            yield from _week_then_year(talk, at, number)
        else:
            yield from _ordinal_week(talk, at)


def _week_then_year(talk: Talk, at: int, number: Number) -> Iterator[Code]:
    digits = number.digits
    if len(digits) in (4, 6) and len(number.parts) > 1:
        week = str(int(number.parts[0])).zfill(2)
        rest = digits[len(str(int(number.parts[0]))) :]
        if len(rest) in (2, 4) and int(week) <= 53:
            year = rest if len(rest) == 4 else f"20{rest}"
            yield Code(at, number.end, "manufactured", f"{year}-W{week}")
            return
        if len(digits) == 4:
            yield Code(at, number.end, "manufactured", f"20{digits[2:]}-W{digits[:2]}")
            return
    end = number.end
    while talk.at(end) in _SMALL_WORDS:
        end += 1
    following = _number_at(talk, end)
    if following and number.value <= 53 and (found := _year_of(following)):
        yield Code(at, found[1], "manufactured", f"{found[0]}-W{int(number.value):02d}")


def _ordinal_week(talk: Talk, at: int) -> Iterator[Code]:
    word, before = talk.at(at - 1), talk.at(at - 2)
    tens = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50}.get(before, 0)
    match = re.fullmatch(r"(\d+)(?:st|nd|rd|th)", word + "") or None
    week = int(match.group(1)) if match else ORDINALS.get(word)
    if week is None and word in ("st", "nd", "rd", "th") and before.isdigit():
        week, tens = int(before), 0
    if week is None:
        return
    week += tens if week < 10 else 0
    end = at + 1
    while talk.at(end) in _SMALL_WORDS:
        end += 1
    following = _number_at(talk, end)
    if following and (found := _year_of(following)):
        yield Code(at - (2 if tens or before.isdigit() else 1), found[1], "manufactured", f"{found[0]}-W{week:02d}")


def _date_codes(talk: Talk) -> Iterator[Code]:
    """Four digits after a word that announces a date."""
    for number in talk.numbers:
        digits, end = number.digits, number.end
        if number.decimal or number.fraction or not digits.isdigit():
            continue
        if not _near_before(talk, number.start, _DATE_HINTS):
            continue
        if len(digits) > 4 and len(number.parts) > 1:
            digits, end = _first_four(number)
        if len(digits) == 4 and not (digits[:2] in ("19", "20") and int(digits[2:]) > 53):
            if _announced_as_year(talk, number):
                yield Code(number.start, end, "manufactured", digits)
            else:
                doubts = () if 1 <= int(digits[:2]) <= 53 else ("impossible_date",)
                yield Code(number.start, end, "manufactured", f"20{digits[2:]}-W{digits[:2]}", doubts)
        elif len(digits) == 3 and len(number.parts) in (1, 3):
            yield Code(number.start, number.end, "manufactured", f"W{digits[:2]}-{digits[2]}", ("three_digit_date",))


def _first_four(number: Number) -> tuple[str, int]:
    """The first four digits of a run that goes on into another figure, and where they end."""
    digits = ""
    for part, end in zip(number.parts, number.ends, strict=True):
        digits += f"{part:g}"
        if len(digits) >= 4:
            return digits, end
    return number.digits, number.end


def _announced_as_year(talk: Talk, number: Number) -> bool:
    """ "made in 2016", "from 2015": a year and not week 20 of 2016."""
    year = len(number.digits) == 4 and number.digits[:2] in ("19", "20")
    if year and _near_before(talk, number.start, frozenset(("year",)), 3):
        return True
    before = talk.at(number.start - 1)
    return year and (before in ("in", "from", "year", "is", "since", "of") and not _near_before(talk, number.start, frozenset(("code",)), 4))


def _years(talk: Talk) -> Iterator[Code]:
    """Only the year: "made in 2016", "it's a 2015 tyre"."""
    for number in talk.numbers:
        year = _year(number) if len(number.digits) == 4 else None
        if not year or number.decimal or number.fraction:
            continue
        made = _near_before(talk, number.start, frozenset(("made", "manufactured", "built", "dated", "from", "dates")), 3)
        if made or talk.at(number.end) in ("tyre", "tyres", "rubber"):
            yield Code(number.start, number.end, "manufactured", str(year))


def _grades(talk: Talk) -> Iterator[Code]:
    for number in talk.numbers:
        at, end = number.start, number.end
        if talk.at(end) in ("w", "w-") and number.plain and (following := _number_at(talk, end + 1)):
            yield Code(at, following.end, "grade_marking", f"{int(number.value)}W-{int(following.value)}")
        elif talk.at(end) == "w" and talk.at(end + 1) in ("-", "/") and (following := _number_at(talk, end + 2)):
            yield Code(at, following.end, "grade_marking", f"{int(number.value)}W-{int(following.value)}")
        elif talk.at(at - 1) == "dot" and number.value in (3, 4, 5, 5.1) and not number.digits.startswith("0"):
            yield Code(at - 1, end, "grade_marking", f"DOT {number.value:g}")
        elif number.plain and 30 <= number.value <= 100 and _speed_symbol(talk, end) and _tyre_mark_before(talk, at):
            yield Code(at, end + 1, "grade_marking", f"{int(number.value)}{talk.at(end).upper()}")


def _speed_symbol(talk: Talk, at: int) -> bool:
    return bool(re.fullmatch(r"[b-hj-nl-wyz]", talk.at(at))) and talk.at(at + 1) not in ("'s",)


def _tyre_mark_before(talk: Talk, at: int) -> bool:
    words = frozenset(("load", "index", "rated", "rating", "speed", "marked", "zr", "tyre", "tyres", "grade", "r", "c", "m"))
    after_size = any(c.quantity == "size_marking" and 0 <= at - c.end <= 3 for c in talk.codes)
    return after_size or _near_before(talk, at, words, 5) or talk.at(at - 1) == "("


def _sizes(talk: Talk) -> Iterator[Code]:
    for number in talk.numbers:
        for build in (_metric_run, _metric_printed, _inch_size, _alpha_size):
            code = build(talk, number)
            if code:
                yield code
                break


def _plausible_size(width: float, aspect: float, rim: float) -> bool:
    return 50 <= width <= 360 and width % 5 == 0 and 30 <= aspect <= 100 and aspect % 5 == 0 and 8 <= rim <= 23


def _metric_run(talk: Talk, number: Number) -> Code | None:
    """ "one twenty seventy seventeen", "120 70 17", "ninety ninety ten", with "z r" before the rim."""
    values = [p for p in number.parts]
    if number.decimal:
        return None
    ends = list(number.ends) or [number.end]
    if len(values) > 2 and values[0] <= 3 and values[1] < 100:
        values, ends = [values[0] * 100 + values[1], *values[2:]], ends[1:]
    values, ends = _ungroup(values, ends)
    if len(values) >= 3 and _plausible_size(*values[:3]):
        return Code(number.start, ends[2], "size_marking", f"{values[0]:.0f}/{values[1]:.0f}-{values[2]:.0f}")
    if any(v != int(v) for v in values):
        return None
    if len(values) == 2 and _plausible_size(values[0], values[1], 17):
        return _rim_after(talk, number.start, number.end, int(values[0]), int(values[1]))
    if len(values) == 2 and values[0] in (2, 3, 4, 5) and talk.at(number.end) in ("by", "-", "x"):
        rim = _number_at(talk, number.end + 1)
        if rim and 8 <= rim.value <= 23:
            return Code(number.start, rim.end, "size_marking", f"{values[0]:.0f}.{values[1]:02.0f}-{rim.value:.0f}")
    if len(values) == 1 and talk.at(number.end) in ("by", "over", "stroke", "slash"):
        following = _number_at(talk, number.end + 1)
        if following:
            rest = [int(p) for p in following.parts]
            if len(rest) >= 2 and _plausible_size(values[0], rest[0], rest[1]):
                return Code(number.start, following.end, "size_marking", f"{values[0]:.0f}/{rest[0]}-{rest[1]}")
            if len(rest) == 1 and _plausible_size(values[0], rest[0], 17):
                return _rim_after(talk, number.start, following.end, int(values[0]), rest[0])
    return None


def _ungroup(values: list[float], ends: list[int]) -> tuple[list[float], list[int]]:
    """ "eighty one hundred twenty one" is 80 100 21; "one hundred ninety nineteen" is 100 90 19."""
    for at, value in enumerate(values[:2]):
        rest = value - 100
        if value <= 100 or value != int(value):
            continue
        width, rim = value // 100 - 1, value % 100
        if at == 0 and value > 1000 and width % 10 == 0 and width >= 50 and 8 <= rim <= 23:
            return [width, 100.0, rim, *values[1:]], [ends[0], ends[0], ends[0], *ends[1:]]
        if at == 0 and len(values) >= 2 and 30 <= rest <= 100 and 8 <= values[1] <= 23:
            return [100.0, rest, *values[1:]], [ends[0], ends[0], *ends[1:]]
        if at == 1 and 8 <= rest <= 23:
            return [values[0], 100.0, rest, *values[2:]], [ends[0], ends[1], ends[1], *ends[2:]]
    return values, ends


def _metric_printed(talk: Talk, number: Number) -> Code | None:
    """ "120/70ZR17", "120/70-17", "120/70 17"."""
    if talk.at(number.end) != "/" or not number.plain:
        return None
    aspect = _number_at(talk, number.end + 1)
    if aspect is None:
        return None
    if len(aspect.parts) == 2 and _plausible_size(number.value, aspect.parts[0], aspect.parts[1]):
        return Code(number.start, aspect.end, "size_marking", f"{int(number.value)}/{int(aspect.parts[0])}-{int(aspect.parts[1])}")
    if aspect.high and _plausible_size(number.value, aspect.value, aspect.high):
        return Code(number.start, aspect.end, "size_marking", f"{int(number.value)}/{int(aspect.value)}-{int(aspect.high)}")
    return _rim_after(talk, number.start, aspect.end, int(number.value), int(aspect.value))


def _rim_after(talk: Talk, start: int, at: int, width: int, aspect: int) -> Code | None:
    letters, end = "", at
    while talk.at(end) in ("z", "zed", "zee", "r", "zr", "b", "-", "by", "on", "radial", "v", "h", "vr", "hr", "d", "dash", "rim"):
        word = talk.at(end)
        letters += {"zed": "Z", "zee": "Z", "zr": "ZR", "radial": "R", "vr": "VR", "hr": "HR"}.get(
            word, word.upper() if len(word) == 1 and word.isalpha() else ""
        )
        end += 1
    rim = _number_at(talk, end)
    if rim is None or not _plausible_size(width, aspect, rim.parts[0]):
        return None
    return Code(start, rim.ends[0] if rim.ends else rim.end, "size_marking", f"{width}/{aspect}{letters or '-'}{int(rim.parts[0])}")


def _inch_size(talk: Talk, number: Number) -> Code | None:
    """ "3.00-18", "three point two five by eighteen", "2.75 18"."""
    if not number.decimal or number.fraction or not 2 <= number.value <= 6:
        return None
    if number.high and 8 <= number.high <= 23 and len(number.digits) >= 3:
        return Code(number.start, number.end, "size_marking", f"{number.value:.2f}-{int(number.high)}")
    end, letters = number.end, ""
    while talk.at(end) in ("by", "-", "h", "s", "on", "inch", "dash", "x"):
        letters += talk.at(end).upper() if talk.at(end) in ("h", "s") else ""
        end += 1
    rim = _number_at(talk, end)
    sized = end > number.end or _near_before(talk, number.start, frozenset(("size", "sized", "marked", "marking")), 4)
    if rim and sized and 8 <= rim.value <= 23 and rim.plain and len(number.digits) >= 3:
        return Code(number.start, rim.end, "size_marking", f"{number.value:.2f}{letters}-{int(rim.value)}")
    return None


def _alpha_size(talk: Talk, number: Number) -> Code | None:
    """ "MT90B16", "m t ninety b sixteen"."""
    before = talk.at(number.start - 1)
    letters = before if re.fullmatch(r"m[h-v]", before) else ""
    start = number.start - 1
    if not letters and talk.at(number.start - 2) == "m" and re.fullmatch(r"[h-v]", before):
        letters, start = "m" + before, number.start - 2
    if not letters or not 80 <= number.parts[0] <= 90:
        return None
    if len(number.parts) == 2:
        return Code(start, number.end, "size_marking", f"{letters.upper()}{int(number.parts[0])}-{int(number.parts[1])}")
    structure = _STRUCTURES.get(talk.at(number.end), "")
    rim = _number_at(talk, number.end + (1 if structure else 0))
    if rim and 10 <= rim.value <= 21:
        return Code(start, rim.end, "size_marking", f"{letters.upper()}{int(number.value)}{structure or '-'}{int(rim.value)}")
    return None


def _fault_codes(talk: Talk) -> Iterator[Code]:
    yield from _blink_codes(talk)
    for at, word in enumerate(talk.norms):
        letter = word if word in ("p", "c", "b", "u") else identity().letters.get(word, "").lower()
        if letter in ("p", "c", "b", "u") and _near_before(talk, at, frozenset(("code", "codes", "fault", "stored", "lamp", "light", "shows", "showing", "reads", "reading", "got", "threw", "throwing", "trouble", "gives", "reader")), 8):
            digits, end = "", at + 1
            while len(digits) < 4 and (number := _number_at(talk, end)):
                digits, end = digits + number.digits, number.end
            if re.fullmatch(r"[0-3]\d{3}", digits):
                yield Code(at, end, "fault_code", f"{letter.upper()}{digits}")
        elif re.fullmatch(r"[pcbu][0-3]\d{3}", word):
            yield Code(at, at + 1, "fault_code", word.upper())
    for number in talk.numbers:
        if number.plain and talk.at(number.start - 1) in ("code", "flashing", "flashes", "blinking") and _near_before(
            talk, number.start, frozenset(("fault", "flash", "flashes", "flashing", "lamp", "light", "engine", "blinking", "trouble")), 8
        ) and talk.at(number.end) not in ("times", "long", "short", "per", "a", "flashes", "slow"):
            yield Code(number.start, number.end, "fault_code", number.digits)


def _blink_codes(talk: Talk) -> Iterator[Code]:
    """ "two long, three short" is 23: long flashes are tens, short ones are units (common practice)."""
    for at, word in enumerate(talk.norms):
        if _FLASHES.get(word) != 0:
            continue
        tens = next((n for n in talk.numbers if n.end == at), None)
        if tens is None or not tens.plain:
            continue
        end = at + 1
        while talk.at(end) in ("flash", "flashes", ",", "and", "then", "blinks", "ones", "blink", "followed", "by"):
            end += 1
        ones = _number_at(talk, end)
        if ones and ones.plain and _FLASHES.get(talk.at(ones.end)) == 1:
            yield Code(tens.start, ones.end + 1, "fault_code", f"{int(tens.value)}{int(ones.value)}")
