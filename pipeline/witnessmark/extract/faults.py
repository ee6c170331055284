"""Fault codes: read out, or counted in flashes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from witnessmark.extract.numbers import Number
from witnessmark.extract.talk import Code, Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.identity import identity

_FLASHES = {"long": 0, "longs": 0, "slow": 0, "short": 1, "shorts": 1, "fast": 1, "quick": 1}
_TIMES = {"once": 1, "twice": 2, "thrice": 3}
_BETWEEN = word_set("flash_links")
"""May stand between the long flashes and the short ones."""
_READ_OUT = word_set("flash_leads")
_LAMPS = frozenset(
    ("fault", "flash", "flashes", "flashing", "lamp", "light", "engine", "blinking", "trouble")
)
_COUNTED = word_set("flash_counts")
"""After a number of flashes they make it no code."""
_HINTS = word_set("fault_code_hints")
_SHOWN = frozenset(("error", "code", "fault"))


def find_fault_codes(talk: Talk) -> Iterator[Code]:
    """Fault codes in order: letter and four digits, a plain number, or counted flashes."""
    yield from _blink_codes(talk)
    for at, word in enumerate(talk.norms):
        letter = word if word in ("p", "c", "b", "u") else identity().letters.get(word, "").lower()
        hinted = letter in ("p", "c", "b", "u") and talk.near_before(at, _HINTS, 8)
        if hinted or word == "p":
            digits, end = "", at + 1
            while len(digits) < 4 and (piece := _hexadecimal(talk, end)):
                digits, end = digits + piece[0], piece[1]
            if re.fullmatch(r"[0-3][0-9A-F]{3}", digits) and (hinted or len(digits) == 4):
                yield Code(at, end, "fault_code", f"{letter.upper()}{digits}")
        elif re.fullmatch(r"[pcbu][0-3][0-9a-f]{3}", word):
            yield Code(at, at + 1, "fault_code", word.upper())
        elif number := _after_letter(talk, at):
            yield Code(at, number.end, "fault_code", f"{word.upper()}{number.digits}")
    for number in talk.numbers:
        read_out = number.plain and talk.at(number.start - 1) in _READ_OUT
        counted = talk.at(number.end) in _COUNTED
        if read_out and not counted and talk.near_before(number.start, _LAMPS, 8):
            yield Code(number.start, number.end, "fault_code", number.digits)


def _after_letter(talk: Talk, at: int) -> Number | None:
    """ "it shows error E12": the figures after the letter."""
    if talk.at(at - 1) not in _SHOWN or not re.fullmatch(r"[a-z]", talk.at(at)):
        return None
    number = talk.number_at(at + 1)
    return number if number and number.plain and number.digits.isdigit() and len(number.digits) <= 3 else None


def _hexadecimal(talk: Talk, at: int) -> tuple[str, int] | None:
    """Digits of a code from a token on, A to F among them (ISO 15031-6), and the token after them."""
    if number := talk.number_at(at):
        return (number.digits, number.end) if number.digits.isdigit() and not number.decimal else None
    word = talk.at(at)
    if word in ("o", "oh"):
        return "0", at + 1
    letter = word if re.fullmatch(r"[a-f]", word) else identity().letters.get(word, "").lower()
    return (letter.upper(), at + 1) if letter in tuple("abcdef") else None


def _blink_codes(talk: Talk) -> Iterator[Code]:
    """ "two long, three short" is 23: long flashes are tens, short ones are units (common practice)."""
    for at, word in enumerate(talk.norms):
        if _FLASHES.get(word) != 0:
            continue
        tens = _count_before(talk, at)
        if tens is None:
            continue
        end = at + 1
        while talk.at(end) in _BETWEEN:
            end += 1
        ones = _count_at(talk, end)
        if ones and _FLASHES.get(talk.at(ones[1])) == 1:
            yield Code(tens[1], ones[1] + 1, "fault_code", f"{tens[0]}{ones[0]}")


def _count_before(talk: Talk, end: int) -> tuple[int, int] | None:
    """How many, and its first token, of a count that ends at a token."""
    if talk.at(end - 1) in _TIMES:
        return _TIMES[talk.at(end - 1)], end - 1
    number = next(iter(talk.ending(talk.numbers, end)), None)
    return (int(number.value), number.start) if number and number.plain else None


def _count_at(talk: Talk, start: int) -> tuple[int, int] | None:
    """How many, and the token after it, of a count that begins at a token."""
    if talk.at(start) in _TIMES:
        return _TIMES[talk.at(start)], start + 1
    number = talk.number_at(start)
    return (int(number.value), number.end) if number and number.plain else None
