"""Letters and digits spelled out one by one, with the words that stand for them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from witnessmark.extract.cardinals import ONES
from witnessmark.extract.talk import Talk
from witnessmark.knowledge.identity import identity


@dataclass(frozen=True, slots=True)
class Spelled:
    """A run of spelled characters over tokens [start, end)."""

    start: int
    end: int
    text: str
    units: tuple[tuple[int, str], ...]
    """(end token, characters) of each piece."""


def spell(talk: Talk, at: int) -> Spelled | None:
    """The longest run of letters, spelling words, digits and number words from a token on."""
    tables, numbers = identity(), {n.start: n for n in talk.numbers}
    units: list[tuple[int, str]] = []
    start = at
    while at < len(talk.norms):
        word, number = talk.norms[at], numbers.get(at)
        end = _printed(talk, at)
        if end > at:
            units.extend((i + 1, talk.norms[i].upper()) for i in range(at, end))
            at = end
        elif (number and not number.decimal and number.digits and number.high is None) or (
            number and number.decimal
        ):
            at = number.end
            units.append((at, number.digits))
        elif (word.isdigit() or word in ONES) and units:
            units.append((at := at + 1, word if word.isdigit() else str(ONES[word])))
        elif word in tables.letters and not (word in ("why", "easy", "item", "love", "king") and not units):
            units.append((at := at + 1, tables.letters[word]))
        elif word == "x" and talk.at(at + 1) == "ray":
            units.append((at := at + 2, "X"))
        elif word == "double" and talk.at(at + 1) in ("u", "you"):
            units.append((at := at + 2, "W"))
        elif word in ("double", "triple") and (one := _one_character(talk.at(at + 1))):
            units.append((at := at + 2, one * (2 if word == "double" else 3)))
        elif re.fullmatch(r"[a-z]", word) and not (
            word in tables.stops or (word in ("a", "i") and not units and not _begins_capitals(talk, at))
        ):
            units.append((at := at + 1, word.upper()))
        elif (
            word == "k"
            and units
            and talk.at(at + 1) not in ("'s", "on", ".", "")
            and talk.at(at + 1) not in tables.stops
        ):
            units.append((at := at + 1, "K"))
        elif re.fullmatch(r"[a-z]{2,3}", word) and talk.doc[at].text.isupper() and word not in ("psi", "abs"):
            units.append((at := at + 1, word.upper()))
        elif word in (",", "dash") and units and talk.at(at + 1) in ("dash", ",") and _goes_on(talk, at + 2):
            at += 2
        elif word == "," and units and talk.at(at + 1) == "dash" and _goes_on(talk, at + 3):
            at += 3
        elif word in (",", "-", ".", "dash", "and", "then") and units and _goes_on(talk, at + 1):
            at += 1
        else:
            break
    return Spelled(start, units[-1][0], "".join(u[1] for u in units), tuple(units)) if units else None


_NO_MARK = re.compile(r"\d+(mm|psi|kpa|bar|nm|km|miles?|rpm|thou|w\d+)|m[h-v]\d\d[br]?\d\d", re.IGNORECASE)


def _printed(talk: Talk, at: int) -> int:
    """The token after letters and digits that were printed as one word, "K50WTB"; ``at`` if there is none."""
    end = at
    while end < len(talk.norms) and talk.norms[end].isalnum():
        end += 1
        if talk.doc[end - 1].whitespace_:
            break
    text = talk.doc[at:end].text if end > at else ""
    mixed = any(c.isdigit() for c in text) and any(c.isalpha() for c in text)
    whole = at == 0 or bool(talk.doc[at - 1].whitespace_) or not talk.norms[at - 1].isalnum()
    return (
        end
        if mixed
        and text.isalnum()
        and whole
        and end - at > 1
        and len(text) >= 5
        and not _NO_MARK.fullmatch(text)
        else at
    )


def _begins_capitals(talk: Talk, at: int) -> bool:
    """ "A F Z": a capital that more single capitals follow."""
    following = talk.doc[at + 1].text if at + 1 < len(talk.norms) else ""
    return talk.doc[at].text.isupper() and len(following) == 1 and following.isupper()


def _one_character(word: str) -> str:
    """The letter or digit that a spelling word, letter or number word stands for, else nothing."""
    if word in ONES:
        return str(ONES[word])
    if len(word) == 1 and word.isalnum():
        return word.upper()
    return identity().letters.get(word, "")


def _goes_on(talk: Talk, at: int) -> bool:
    """Whether spelling goes on after a mark: another spelled piece, and no distance."""
    word = talk.at(at)
    number = talk.number_at(at)
    if number:
        unit = talk.at(number.end)
        if any(m.start == at and m.unit in ("km", "mi") for m in talk.measures):
            return False
        return (
            unit not in ("miles", "mile", "kilometres", "kilometers", "km", "k", "on", "kms", "thousand")
            and talk.at(at - 1) != "."
            and number.value < 10000
        )
    if word in ("double", "triple"):
        return bool(_one_character(talk.at(at + 1)))
    letter = re.fullmatch(r"[a-z]", word) is not None and (
        word not in ("a", "i") or talk.doc[at].text.isupper()
    )
    capitals = re.fullmatch(r"[a-z]{2,3}", word) is not None and talk.doc[at].text.isupper()
    return word in identity().letters or ((letter or capitals) and talk.at(at - 1) != ".")
