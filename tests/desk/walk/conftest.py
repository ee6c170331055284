"""A speech model whose words the test says, and desks that read with it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from fastapi import FastAPI

from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings
from witnessmark.errors import WitnessmarkError
from witnessmark.transcribe import Transcriber
from witnessmark.types import Recording, Sound, Transcript

TALK = "Front tyre tread depth is two point five millimetres. Rear brake pads are worn."


class Said(Transcriber):
    """Stands in for the speech model where the test is not about speech: hears what it was told.

    ``faults`` are raised one after the other before it hears anything; ``gate`` holds it until it is set.
    """

    def __init__(self, text: str = TALK) -> None:
        super().__init__("tiny.en")
        self.text = text
        self.faults: list[WitnessmarkError | Exception] = []
        self.heard: list[Recording] = []
        self.gate = threading.Event()
        self.gate.set()
        self.began = threading.Event()

    def load(self) -> None:
        """There is nothing to load."""

    def transcribe(
        self,
        sound: Sound,
        prompt: str | None = None,
        progress: Callable[[float, float], None] | None = None,
    ) -> Transcript:
        self.began.set()
        total = sound.recording.duration
        while not self.gate.wait(0.02):
            if progress:
                progress(total / 2, total)
        if self.faults:
            raise self.faults.pop(0)
        self.heard.append(sound.recording)
        return Transcript(recording=sound.recording, text=self.text, model="said", speech_seconds=1.0)


@pytest.fixture
def said() -> Said:
    return Said()


@pytest.fixture
def app(tmp_path: Path, said: Said) -> FastAPI:
    """Small limits, so that a test reaches them."""
    settings = Settings(
        record=tmp_path / "shop.sqlite",
        jurisdiction="GB",
        live=False,
        largest_upload=400_000,
        largest_chunk=100_000,
        largest_photo=20_000,
    )
    return create(settings, said)
