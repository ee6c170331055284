"""Letters and digits spelled out one by one, with the words that stand for them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from witnessmark.extract.cardinals import ONES
from witnessmark.extract.talk import Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.identity import identity

_NOT_FIRST = word_set("not_first_letters")
"""Everyday words that spell a letter only inside a run."""
_MARKS = (",", "-", ".", "dash", "and", "then")
_ABBREVIATIONS = word_set("abbreviations")
_NO_MARK = re.compile(
    r"\d+(mm|cc|psi|kpa|bar|nm|km|kms|miles?|rpm|thou|v|w\d+)|m[h-v]\d\d[br]?\d\d", re.IGNORECASE
)
_DISTANCE = word_set("distance_words")


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
    units: list[tuple[int, str]] = []
    start = at
    while at < len(talk.norms):
        end = _printed(talk, at)
        if end > at:
            units.extend((i + 1, talk.norms[i].upper()) for i in range(at, end))
            at = end
        elif piece := _digits(talk, at) or _letters(talk, at, bool(units)):
            at = piece[0]
            units.append(piece)
        elif units and (skipped := _mark(talk, at, any(u[1].isdigit() for u in units))):
            at += skipped
        else:
            break
    return Spelled(start, units[-1][0], "".join(u[1] for u in units), tuple(units)) if units else None


def _digits(talk: Talk, at: int) -> tuple[int, str] | None:
    """End and digits of a number, or of one figure inside a run of them."""
    word, number = talk.norms[at], talk.number_at(at)
    if number and number.digits and number.high is None:
        return number.end, number.digits
    if word.isdigit() or word in ONES:
        return at + 1, word if word.isdigit() else str(ONES[word])
    return None


def _letters(talk: Talk, at: int, inside: bool) -> tuple[int, str] | None:
    """End and letters of a spelling word, of "double u", of a letter or of letters printed together."""
    tables, word, after = identity(), talk.norms[at], talk.at(at + 1)
    if word in tables.letters and (inside or word not in _NOT_FIRST):
        return at + 1, tables.letters[word]
    if word == "x" and after == "ray":
        return at + 2, "X"
    if word == "double" and after in ("u", "you"):
        return at + 2, "W"
    if word in ("double", "triple") and (one := _one_character(after)):
        return at + 2, one * (2 if word == "double" else 3)
    if word == "k" and inside and after not in ("'s", "on", ".", "") and after not in tables.stops:
        return at + 1, "K"
    if not inside and len(word) == 1 and _begins_capitals(talk, at):
        return at + 1, word.upper()
    if word in tables.stops:
        return None
    if re.fullmatch(r"[a-z]", word) and (word not in ("a", "i") or inside or _begins_capitals(talk, at)):
        return at + 1, word.upper()
    return (at + 1, word.upper()) if _is_capitals(talk, at) else None


def _is_capitals(talk: Talk, at: int) -> bool:
    """ "FZ", "WBD": letters printed together, and no unit or abbreviation of the trade."""
    word = talk.at(at)
    short = re.fullmatch(r"[a-z]{2,3}", word) is not None and talk.doc[at].text.isupper()
    return short and word not in _ABBREVIATIONS and word not in identity().stops


def _mark(talk: Talk, at: int, figures: bool) -> int:
    """Tokens of a mark or "dash" between two pieces; 0 where spelling does not go on."""
    if talk.norms[at] in (",", "dash"):
        for width in (2, 3):
            dashed = all(talk.at(at + i) in ("dash", ",") for i in range(1, width))
            if dashed and _goes_on(talk, at + width, figures):
                return width
    return 1 if talk.norms[at] in _MARKS and _goes_on(talk, at + 1, figures) else 0


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
    long = len(text) >= 5 and end - at > 1 and text.isalnum()
    return end if mixed and whole and long and not _NO_MARK.fullmatch(text) else at


def _begins_capitals(talk: Talk, at: int) -> bool:
    """ "A F Z", "K 5 0 W": a capital that more single capitals or digits follow."""
    following = talk.doc[at + 1].text if at + 1 < len(talk.norms) else ""
    single = len(following) == 1 and (following.isupper() or following.isdigit())
    return talk.doc[at].text.isupper() and single


def _one_character(word: str) -> str:
    """The letter or digit that a spelling word, letter or number word stands for, else nothing."""
    if word in ONES:
        return str(ONES[word])
    if len(word) == 1 and word.isalnum():
        return word.upper()
    return identity().letters.get(word, "")


def _goes_on(talk: Talk, at: int, figures: bool) -> bool:
    """Whether spelling goes on after a mark: another spelled piece, and no distance.

    Args:
        talk: the talk.
        at: the token after the mark.
        figures: whether figures were spelled already; if not, a long one is none of a distance.
    """
    word, sentence_ended = talk.at(at), talk.at(at - 1) == "."
    if number := talk.number_at(at):
        if any(m.unit in ("km", "mi") for m in talk.starting(talk.measures, at)):
            return False
        one_by_one = number.end - number.start == len(number.digits or "")
        plain = not figures and talk.doc[at].text.isdigit()  # "November Delta, 48127"
        short = number.value < 10000 or one_by_one or plain
        return talk.at(number.end) not in _DISTANCE and not sentence_ended and short
    if word in ("double", "triple"):
        return bool(_one_character(talk.at(at + 1)))
    letter = re.fullmatch(r"[a-z]", word) is not None and (
        word not in ("a", "i") or talk.doc[at].text.isupper()
    )
    return word in identity().letters or ((letter or _is_capitals(talk, at)) and not sentence_ended)
