"""Holds two readings of the same sound against each other. Pure.

Every window is read twice, with and without the vocabulary prompt. The prompt finds the words of the
trade, but it can also make the recogniser leave speech out, or print the prompt instead.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from difflib import SequenceMatcher

from witnessmark.knowledge.speech import Compare
from witnessmark.transcribe.neighbours import figures
from witnessmark.transcribe.words import Piece

_FIGURE = re.compile(r"\d[\d.,/:]*")


def leaves_out(prompted: str, plain: str, compare: Compare) -> bool:
    """Whether the prompted reading lacks much of what the plain one has."""
    missing = len(plain.split()) - len(prompted.split())
    return missing >= max(compare.missing_words, compare.missing_share * len(plain.split()))


def dispute(words: Sequence[Piece], other: str | None, compare: Compare) -> list[Piece]:
    """The words, the weighty ones that the other reading does not have there made improbable.

    Weighty are words with digits and those of ``compare.weighty``: a wrong one changes what is said.
    Where there is no other reading nothing is disputed.
    """
    if other is None:
        return list(words)
    mine, theirs = _tokens(word.text for word in words), _tokens(other.split())
    blocks = SequenceMatcher(None, mine, theirs, autojunk=False).get_matching_blocks()
    agreed = {i for block in blocks for i in range(block.a, block.a + block.size)}
    return [
        word if i in agreed or not _weighty(mine[i], compare.weighty) else _doubtful(word, compare.disputed)
        for i, word in enumerate(words)
    ]


def _tokens(words: Iterable[str]) -> list[str]:
    """Words so that two spellings of a figure are the same: ``2.5mm,`` is 2.5, ``five`` is 5."""
    return [_token(word.lower()) for word in words]


def _token(word: str) -> str:
    word = figures(word)
    if not (match := _FIGURE.search(word)):
        return word.strip(".,;:!?\"'")
    figure = match[0].replace(",", "").rstrip(".:/")
    return f"0.{figure}" if word[match.start() - 1 : match.start()] == "." else figure


def _weighty(token: str, weighty: Collection[str]) -> bool:
    return token in weighty or any(c.isdigit() for c in token)


def _doubtful(word: Piece, most: float) -> Piece:
    return word._replace(probability=min(word.probability, most))
