"""Sound, and what a recogniser printed for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from witnessmark.types.base import Frozen

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SAMPLE_RATE = 16_000
"""Samples a second of all decoded sound."""


class Recording(Frozen):
    """One sound file, named by its content."""

    sha256: str
    """Hash of the file's bytes: the same recording twice has the same hash."""
    name: str
    """File name as it was given, without its folder."""
    duration: float
    """Seconds of decoded sound."""


@dataclass(frozen=True)
class Sound:
    """A recording with its decoded samples."""

    recording: Recording
    samples: NDArray[np.float32]
    """Mono, SAMPLE_RATE a second, between -1 and 1; shape (n,)."""


class Word(Frozen):
    """One printed word with its place in the text and in the sound."""

    text: str
    char_start: int
    char_end: int
    start: float
    end: float
    probability: float
    """0 to 1: the recogniser's own; for a number what its lead over those that sound like it allows."""
    first_printed: str | None = None
    """What the recogniser printed before a word of the trade that fits the sound better took its place."""


class Transcript(Frozen):
    """What a recogniser printed for a recording. ``text[w.char_start:w.char_end] == w.text``."""

    recording: Recording
    text: str
    words: tuple[Word, ...] = ()
    model: str
    """Name of the speech model that printed it."""
    speech_seconds: float = 0.0
    """Seconds in which the voice detector heard speech."""
