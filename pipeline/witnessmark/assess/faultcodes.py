"""Reads fault codes: blinked ones by long and short, those of letters and digits by their structure."""

from __future__ import annotations

import re

from witnessmark.assess.words import tokens
from witnessmark.knowledge.electrics import electrics

CODE = re.compile(r"[PCBU][0-3][0-9A-F]{3}")
_LETTERS = "PCBU"


def from_bytes(code: int) -> str:
    """The letter code of its two bytes: two bits for the letter, two for the digit, three hex digits.

    Raises:
        ValueError: when it has more than two bytes.
    """
    if not 0 <= code <= 0xFFFF:
        raise ValueError("a code has two bytes")
    return f"{_LETTERS[code >> 14]}{code >> 12 & 3}{code & 0xFFF:03X}"


def letter_code(text: str) -> str | None:
    """``P0171`` out of ``p 0171`` or ``0x0171``; None when it is no such code."""
    plain = re.sub(r"[\s-]", "", text.upper())
    if re.fullmatch(r"0X[0-9A-F]{4}", plain):
        return from_bytes(int(plain[2:], 16))
    return plain if CODE.fullmatch(plain) else None


def code_words(code: str) -> str:
    """What its structure says: system, whose list, and the area of a powertrain code."""
    table = electrics().codes
    head = code[:2]
    if head in table.generic:
        whose = "a code of the standard's own list"
    elif head in table.maker:
        whose = "a code of the maker's own list"
    elif head in table.split:
        whose = "generic" if code[2] in "456789ABCDEF" else "the maker's own"
    else:
        whose = "reserved"
    area = table.areas.get(code[2], "") if code[0] == "P" and head in table.generic else ""
    return ", ".join(filter(None, (table.systems[code[0]], whose, area)))


def blinked(stretches: list[list[str]]) -> tuple[int, int] | None:
    """How many long and short flashes were said; None when neither."""
    table = electrics().flashes
    numbers = table.numbers | {str(count): count for count in table.counts}
    found: dict[str, int] = {}
    for words in stretches:
        for at, word in enumerate(words):
            kind = "tens" if word in table.tens else "ones" if word in table.ones else ""
            before = words[at - 1] if at else ""
            if kind and before in numbers:
                found.setdefault(kind, numbers[before])
    return (found.get("tens", 0), found.get("ones", 0)) if found else None


def blink_code(long: int, short: int) -> int | None:
    """Long flashes as tens, short ones as ones; None where that is no two-digit code."""
    return 10 * long + short if 0 < long < 10 and 0 <= short < 10 else None


def blink_words(long: int, short: int) -> str:
    """What was counted and by which convention it is a code."""
    code = blink_code(long, short)
    heard = f"{long} long and {short} short"
    if code is None:
        only = f"{heard}: {short} by count, or 0-{short}; ask which convention the maker has"
        return only if not long else f"{heard}: no code of tens and ones; count again"
    return f"{heard}: code {code}. {electrics().flashes.says}"


def is_letter_like(text: str) -> bool:
    """Whether a text begins like a letter code, so that a wrong one is worth asking about."""
    return bool(re.match(r"[A-Z]\d", "".join(tokens(text)).upper()))
