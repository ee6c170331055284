"""Fault codes: read out, or counted in flashes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from witnessmark.extract.talk import Code, Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.identity import identity

_FLASHES = {"long": 0, "longs": 0, "slow": 0, "short": 1, "shorts": 1, "fast": 1, "quick": 1}

_HINTS = word_set("fault_code_hints")


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
    for number in talk.numbers:
        if (
            number.plain
            and talk.at(number.start - 1) in ("code", "flashing", "flashes", "blinking")
            and talk.near_before(
                number.start,
                frozenset(
                    (
                        "fault",
                        "flash",
                        "flashes",
                        "flashing",
                        "lamp",
                        "light",
                        "engine",
                        "blinking",
                        "trouble",
                    )
                ),
                8,
            )
            and talk.at(number.end) not in ("times", "long", "short", "per", "a", "flashes", "slow")
        ):
            yield Code(number.start, number.end, "fault_code", number.digits)


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
        tens = next(iter(talk.ending(talk.numbers, at)), None)
        if tens is None or not tens.plain:
            continue
        end = at + 1
        while talk.at(end) in (
            "flash",
            "flashes",
            ",",
            "and",
            "then",
            "blinks",
            "ones",
            "blink",
            "followed",
            "by",
        ):
            end += 1
        ones = talk.number_at(end)
        if ones and ones.plain and _FLASHES.get(talk.at(ones.end)) == 1:
            yield Code(tens.start, ones.end + 1, "fault_code", f"{int(tens.value)}{int(ones.value)}")
