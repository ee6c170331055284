"""Puts a finished walkround with its sound into an app's record without a speech model."""

from __future__ import annotations

import hashlib
import re
from datetime import date

import numpy as np
from fastapi import FastAPI

from witnessmark import intake, run
from witnessmark.types import SAMPLE_RATE, Recording, Sound, Transcript, Word

A_WORD = 0.4
"""Seconds, where nobody says how long the talk is."""


def take_in_text(
    app: FastAPI, text: str, on: date, jurisdiction: str | None, seconds: float | None = None
) -> str:
    """The id of a walkround in which somebody said ``text``.

    Its sound is a tone for each word, spread evenly over ``seconds``; `tone` says which. The same text of
    the same day is the same recording.
    """
    found = list(re.finditer(r"\S+", text))
    seconds = seconds or A_WORD * len(found)
    step = seconds / len(found)
    recording = Recording(
        sha256=hashlib.sha256(f"{on} {text}".encode()).hexdigest(), name="talk.wav", duration=seconds
    )
    words = tuple(
        Word(
            text=match[0],
            char_start=match.start(),
            char_end=match.end(),
            start=round(number * step, 3),
            end=round((number + 1) * step, 3),
            probability=0.95,
        )
        for number, match in enumerate(found)
    )
    transcript = Transcript(
        recording=recording, text=text, words=words, model="given", speech_seconds=seconds
    )
    walkround = run.walkround(transcript, on, jurisdiction, lambda name, result: None)
    with app.state.desk.record() as store:
        intake.keep_sound(store.path, walkround.id, Sound(recording, _sound(len(found), seconds)))
        store.ingest(walkround)
    return walkround.id


def tone(word: int) -> float:
    """Pitch in Hz of the word of that number, from 0."""
    return 200.0 + 20 * (word % 60)


def _sound(words: int, seconds: float) -> np.ndarray:
    time = np.arange(round(seconds * SAMPLE_RATE)) / SAMPLE_RATE
    number = np.minimum((time * words / seconds).astype(int), words - 1)
    pitch = np.array([tone(word) for word in range(words)])[number]
    return (0.3 * np.sin(2 * np.pi * pitch * time)).astype(np.float32)
