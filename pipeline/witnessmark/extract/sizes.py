"""Tyre sizes and the grades beside them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from witnessmark.extract.numbers import Number
from witnessmark.extract.talk import Code, Talk

_STRUCTURES = {"zr": "ZR", "r": "R", "b": "B", "-": "-", "radial": "R", "vr": "VR", "hr": "HR", "d": "-"}


def find_grades(talk: Talk) -> Iterator[Code]:
    """Oil and fluid grades, load and speed marks: "10W-40", "DOT 4", "58W"."""
    for number in talk.numbers:
        at, end = number.start, number.end
        if (talk.at(end) in ("w", "w-") and number.plain and (following := talk.number_at(end + 1))) or (
            talk.at(end) == "w" and talk.at(end + 1) in ("-", "/") and (following := talk.number_at(end + 2))
        ):
            yield Code(at, following.end, "grade_marking", f"{int(number.value)}W-{int(following.value)}")
        elif (
            talk.at(at - 1) == "dot" and number.value in (3, 4, 5, 5.1) and not number.digits.startswith("0")
        ):
            yield Code(at - 1, end, "grade_marking", f"DOT {number.value:g}")
        elif (
            number.plain
            and 30 <= number.value <= 100
            and _speed_symbol(talk, end)
            and not any(u.end - u.start > 1 for u in talk.starting(talk.of("unit"), end))  # "31 p s i"
            and _tyre_mark_before(talk, at)
        ):
            yield Code(at, end + 1, "grade_marking", f"{int(number.value)}{talk.at(end).upper()}")


def _speed_symbol(talk: Talk, at: int) -> bool:
    return bool(re.fullmatch(r"[b-hj-nl-wyz]", talk.at(at))) and talk.at(at + 1) not in ("'s",)


def _tyre_mark_before(talk: Talk, at: int) -> bool:
    words = frozenset(
        ("load", "index", "rated", "rating", "speed", "marked", "zr", "tyre", "tyres", "grade", "r", "c", "m")
    )
    near = talk.between(talk.codes, at - 14, at)
    after_size = any(c.quantity == "size_marking" and 0 <= at - c.end <= 3 for c in near)
    return after_size or talk.near_before(at, words, 5) or talk.at(at - 1) == "("


def find_sizes(talk: Talk) -> Iterator[Code]:
    """Tyre sizes: metric, inch and alpha, as spoken or printed."""
    for number in talk.numbers:
        for build in (_metric_run, _metric_printed, _inch_size, _alpha_size):
            code = build(talk, number)
            if code:
                yield code
                break


def _plausible_size(width: float, aspect: float, rim: float) -> bool:
    return (
        50 <= width <= 360 and width % 5 == 0 and 30 <= aspect <= 100 and aspect % 5 == 0 and 8 <= rim <= 23
    )


def _metric_run(talk: Talk, number: Number) -> Code | None:
    """ "one twenty seventy seventeen", "120 70 17", "ninety ninety ten", with "z r" before the rim."""
    values = list(number.parts)
    if number.decimal or "," in talk.doc[number.start : number.end].text:
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
        rim = talk.number_at(number.end + 1)
        if rim and 8 <= rim.value <= 23:
            return Code(
                number.start, rim.end, "size_marking", f"{values[0]:.0f}.{values[1]:02.0f}-{rim.value:.0f}"
            )
    if len(values) == 1 and (
        talk.at(number.end) in ("by", "over", "stroke", "slash") or _in_commas(talk, number)
    ):
        following = talk.number_at(number.end + 1)
        if following:
            rest = [int(p) for p in following.parts]
            if len(rest) >= 2 and _plausible_size(values[0], rest[0], rest[1]):
                return Code(
                    number.start, following.end, "size_marking", f"{values[0]:.0f}/{rest[0]}-{rest[1]}"
                )
            if len(rest) == 1 and _plausible_size(values[0], rest[0], 17):
                return _rim_after(talk, number.start, following.end, int(values[0]), rest[0])
    return None


def _in_commas(talk: Talk, number: Number) -> bool:
    """ "a hundred and sixty, sixty, Z R seventeen": said with pauses."""
    second = talk.number_at(number.end + 1) if talk.at(number.end) == "," else None
    return second is not None and talk.at(second.end) == "," and _structure_at(talk, second.end + 1)


def _structure_at(talk: Talk, at: int) -> bool:
    """Whether letters of a tyre's build stand there: "Z R", "R", "radial"."""
    return talk.at(at) in ("z", "zed", "zee", "zr", "r", "b", "radial", "vr", "hr")


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
    aspect = talk.number_at(number.end + 1)
    if aspect is None:
        return None
    rim = talk.at(aspect.start + 2) if talk.at(aspect.start + 1) == "-" else ""
    if rim.isdigit() and _plausible_size(number.value, aspect.value, int(rim)):
        size = f"{int(number.value)}/{int(aspect.value)}-{rim}"
        return Code(number.start, aspect.start + 3, "size_marking", size)
    if len(aspect.parts) == 2 and _plausible_size(number.value, aspect.parts[0], aspect.parts[1]):
        return Code(
            number.start,
            aspect.end,
            "size_marking",
            f"{int(number.value)}/{int(aspect.parts[0])}-{int(aspect.parts[1])}",
        )
    if aspect.high and _plausible_size(number.value, aspect.value, aspect.high):
        return Code(
            number.start,
            aspect.end,
            "size_marking",
            f"{int(number.value)}/{int(aspect.value)}-{int(aspect.high)}",
        )
    return _rim_after(talk, number.start, aspect.end, int(number.value), int(aspect.value))


def _rim_after(talk: Talk, start: int, at: int, width: int, aspect: int) -> Code | None:
    letters, end = "", at
    end += talk.at(end) == "," and _structure_at(talk, end + 1)
    while talk.at(end) in (
        "z",
        "zed",
        "zee",
        "r",
        "zr",
        "b",
        "-",
        "by",
        "on",
        "radial",
        "v",
        "h",
        "vr",
        "hr",
        "d",
        "dash",
        "rim",
    ):
        word = talk.at(end)
        letters += {"zed": "Z", "zee": "Z", "zr": "ZR", "radial": "R", "vr": "VR", "hr": "HR"}.get(
            word, word.upper() if len(word) == 1 and word.isalpha() else ""
        )
        end += 1
    rim = talk.number_at(end)
    if rim is None or not _plausible_size(width, aspect, rim.parts[0]):
        return None
    return Code(
        start,
        rim.ends[0] if rim.ends else rim.end,
        "size_marking",
        f"{width}/{aspect}{letters or '-'}{int(rim.parts[0])}",
    )


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
    rim = talk.number_at(end)
    words = frozenset(("size", "sized", "marked", "marking"))
    sized = end > number.end or talk.near_before(number.start, words, 4)
    on_tyre = (
        talk.near_before(number.start, frozenset(("tyre", "tyres")), 2) and number.end - number.start > 2
    )
    sized = sized or on_tyre or _is_inch_size(talk, number, rim)
    if rim and sized and 8 <= rim.value <= 23 and rim.plain and len(number.digits) >= 3:
        return Code(number.start, rim.end, "size_marking", f"{number.value:.2f}{letters}-{int(rim.value)}")
    return None


def _is_inch_size(talk: Talk, number: Number, rim: Number | None) -> bool:
    """ "three point two five nineteen": a width in quarters of an inch and a rim, with no unit after them."""
    if rim is None or rim.start != number.end or talk.starting(talk.of("unit"), rim.end):
        return False
    quarters = number.digits[-2:] in ("00", "25", "50", "75") and 14 <= rim.value <= 21
    return quarters and any(talk.at(i) in ("tyre", "tyres") for i in range(number.start - 8, number.start))


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
        return Code(
            start,
            number.end,
            "size_marking",
            f"{letters.upper()}{int(number.parts[0])}-{int(number.parts[1])}",
        )
    structure = _STRUCTURES.get(talk.at(number.end), "")
    rim = talk.number_at(number.end + (1 if structure else 0))
    if rim and 10 <= rim.value <= 21:
        return Code(
            start,
            rim.end,
            "size_marking",
            f"{letters.upper()}{int(number.value)}{structure or '-'}{int(rim.value)}",
        )
    return None
