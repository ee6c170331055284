"""Sounds, stores and talks for the tests of the command line."""

from __future__ import annotations

import wave
from collections.abc import Callable
from datetime import date
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest

from witnessmark import run
from witnessmark.capture import capture
from witnessmark.cli.demo import demo_folder
from witnessmark.record import Store
from witnessmark.types import SAMPLE_RATE, Recording, Transcript, Walkround, Word

TALK = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. Fourteen thousand two hundred miles on the clock. "
    "Front tyre tread is 0.8 millimetres. The rear pads are 4 millimetres. "
    "The left fork seal is leaking, so it needs replacing. The horn works. "
    "I couldn't see the air filter."
)


def transcript(text: str = TALK, name: str = "talk.wav") -> Transcript:
    """A transcript as a recogniser might give it, three words a second."""
    words, place = [], 0
    for number, word in enumerate(text.split()):
        place = text.index(word, place)
        times = {"start": number / 3, "end": number / 3 + 0.3, "probability": 0.9}
        words.append(Word(text=word, char_start=place, char_end=place + len(word), **times))
        place += len(word)
    recording = Recording(
        sha256=sha256(f"{name}{text}".encode()).hexdigest(), name=name, duration=len(words) / 3
    )
    return Transcript(recording=recording, text=text, words=tuple(words), model="by hand")


def walkround(text: str = TALK, on: date = date(2026, 5, 21), jurisdiction: str = "GB") -> Walkround:
    return run.walkround(transcript(text), on, jurisdiction, lambda stage, result: None)


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """A record with one walkround that waits for review."""
    path = tmp_path / "record.sqlite"
    with Store.open(path) as record:
        record.ingest(walkround())
    return path


@pytest.fixture
def wav(tmp_path: Path) -> Callable[..., Path]:
    """Writes samples between -1 and 1 as a WAV file."""

    def write(samples: np.ndarray, name: str = "sound.wav") -> Path:
        path = tmp_path / name
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(SAMPLE_RATE)
            file.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
        return path

    return write


@pytest.fixture
def speech(wav: Callable[..., Path]) -> Path:
    """The first twelve seconds of a recording of the demo."""
    whole = capture(min(demo_folder().glob("*.opus"))).samples
    return wav(whole[: 12 * SAMPLE_RATE], "speech.wav")
