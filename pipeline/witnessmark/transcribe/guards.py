"""Throws away what a recogniser invents over noise: phantoms, its own prompt, loops, babble. Pure.

The bounds are rows of ``models/speech.toml``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher
from typing import NamedTuple

from witnessmark.knowledge.speech import Guard, Speech
from witnessmark.transcribe.words import Piece

_RUN = 3
"""Words in a row that must agree to count towards an echo."""


class Segment(NamedTuple):
    """A stretch of decoded speech with the recogniser's own figures for it."""

    words: tuple[Piece, ...]
    log_probability: float
    """Mean of its tokens."""
    no_speech: float
    """Probability that there is no speech."""


def believable(segments: Iterable[Segment], prompt: str, speech: Speech) -> list[Piece]:
    """The words of all segments that are not the recogniser's invention; of each loop its first round."""
    expected = _plain(prompt)
    kept = [s for s in segments if not _invented(s, expected, speech)]
    return _unloop([word for segment in kept for word in segment.words], speech.guard)


def _invented(segment: Segment, prompt: list[str], speech: Speech) -> bool:
    words = _plain(" ".join(word.text for word in segment.words))
    guard = speech.guard
    return (
        not words
        or " ".join(words) in speech.phantoms
        or _noise(segment, guard)
        or _hurried(_unloop(segment.words, guard), guard)
        or (segment.no_speech > guard.no_speech and len(_repeats(words, guard)) > len(words) / 2)
        or (_sureness(segment) < guard.echo_probability and _echo(words, prompt, guard))
    )


def _plain(text: str) -> list[str]:
    """Words and numbers in lower case, without the signs around them."""
    return re.findall(r"\w(?:[\w.,'’]*\w)?", text.lower())


def _sureness(segment: Segment) -> float:
    """Mean probability of the words, which the engine takes without the prompt."""
    return sum(word.probability for word in segment.words) / len(segment.words)


def _noise(segment: Segment, guard: Guard) -> bool:
    doubtful = segment.no_speech > guard.no_speech or _sureness(segment) < guard.word_probability
    return segment.log_probability < (guard.log_probability if doubtful else guard.hopeless)


def _hurried(words: Sequence[Piece], guard: Guard) -> bool:
    """Whether nobody can say so much in that time."""
    if len(words) < guard.fast_words:
        return False
    return len(words) > guard.words_per_second * (words[-1].end - words[0].start)


def _echo(words: list[str], prompt: list[str], guard: Guard) -> bool:
    """Whether most of the words stand in the prompt, in its order and in runs."""
    if len(words) < guard.echo_words:
        return False
    runs = SequenceMatcher(None, words, prompt, autojunk=False).get_matching_blocks()
    return sum(run.size for run in runs if run.size >= _RUN) >= guard.echo_share * len(words)


def _unloop(words: Sequence[Piece], guard: Guard) -> list[Piece]:
    repeats = _repeats([" ".join(_plain(word.text)) for word in words], guard)
    return [word for i, word in enumerate(words) if i not in repeats]


def _repeats(words: Sequence[str], guard: Guard) -> set[int]:
    """Positions of all rounds but the first of each loop."""
    repeats: set[int] = set()
    for length in range(1, guard.loop_length + 1):
        rounds = guard.loop_words if length == 1 else guard.loop_phrases
        agreeing = 0
        for i in range(length, len(words)):
            agreeing = agreeing + 1 if words[i] == words[i - length] else 0
            if agreeing >= length * (rounds - 1):
                repeats.update(range(i - agreeing + 1, i + 1))
    return repeats
