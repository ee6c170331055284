"""The second hearing: is a doubtful word one of the trade that sounds like it? Pure.

A recogniser prints "ball" where "bald" was said, because it met the one a thousand times more often. Where a
word sounds like one of the trade, both are held against the sound, and the better one is printed. What was
printed first is kept, and the word stays improbable, so that whatever is read from it is marked. Numbers are
never changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from typing import NamedTuple

from witnessmark.knowledge.speech import SecondHearing
from witnessmark.transcribe.challenge import Score, around, in_place, middle
from witnessmark.transcribe.words import Piece

_SIGNS = ".,;:!?\"'"


class Candidate(NamedTuple):
    """A word that may have been said instead of the printed one."""

    word: int
    """Place of the printed word."""
    text: str
    """The other word, with the signs of the printed one."""


def heard_again(
    words: Sequence[Piece],
    other: str | None,
    score: Score,
    sounds_like: Mapping[str, Sequence[str]],
    settings: SecondHearing,
) -> list[Piece]:
    """The words of a window, doubtful ones replaced by words of the trade that fit the sound better.

    Args:
        words: as printed, with their times in the window.
        other: the reading not taken, if there is one.
        score: holds texts against the window's sound.
        sounds_like: printed word → words of the trade that sound like it.
        settings: bounds.
    """
    found = list(candidates(words, other, sounds_like, settings))
    trials = []
    for candidate in found:
        near = around(words, candidate.word, settings.seconds)
        texts = in_place(words, candidate.word, near, (words[candidate.word].text, candidate.text))
        trials.append((middle(words[candidate.word]), texts))
    best: dict[int, tuple[float, str]] = {}
    for candidate, (printed, fit) in zip(found, score(trials), strict=True):
        lead = fit - printed
        if lead > max(settings.margin, best.get(candidate.word, (settings.margin, ""))[0]):
            best[candidate.word] = lead, candidate.text
    return [_replaced(w, best[i][1], settings) if i in best else w for i, w in enumerate(words)]


def candidates(
    words: Sequence[Piece],
    other: str | None,
    sounds_like: Mapping[str, Sequence[str]],
    settings: SecondHearing,
) -> Iterator[Candidate]:
    """Words of the trade for words that are not sure: by their sound, and from the other reading."""
    trade = {meant for row in sounds_like.values() for meant in row}
    elsewhere = _in_place(words, other) if other else {}
    for i, word in enumerate(words):
        plain = word.text.lower().strip(_SIGNS)
        if word.probability >= settings.sure or not plain.isalpha() or plain in trade:
            continue
        found = dict.fromkeys(sounds_like.get(plain, ()))
        if elsewhere.get(i) in trade:
            found[elsewhere[i]] = None
        for meant in found:
            yield Candidate(i, _dressed(word.text, plain, meant))


def _in_place(words: Sequence[Piece], other: str) -> dict[int, str]:
    """For words that stand alone where the readings differ, the other reading's word."""
    mine = [word.text.lower().strip(_SIGNS) for word in words]
    theirs = [word.lower().strip(_SIGNS) for word in other.split()]
    steps = SequenceMatcher(None, mine, theirs, autojunk=False).get_opcodes()
    found: dict[int, str] = {}
    for kind, i1, i2, j1, j2 in steps:
        if kind == "replace" and i2 - i1 == j2 - j1:
            found |= dict(zip(range(i1, i2), theirs[j1:j2], strict=True))
    return found


def _dressed(printed: str, plain: str, meant: str) -> str:
    """The word of the trade with the capital and the signs of the printed one."""
    start = printed.lower().index(plain)
    word = meant.capitalize() if printed[start].isupper() else meant
    return printed[:start] + word + printed[start + len(plain) :]


def _replaced(word: Piece, text: str, settings: SecondHearing) -> Piece:
    return word._replace(
        text=text, probability=min(word.probability, settings.probability), first_printed=word.text
    )
