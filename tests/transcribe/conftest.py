"""The tiny model and a short talk, shared by the speech tests."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.capture import capture
from witnessmark.transcribe import Transcriber
from witnessmark.types import Sound


@pytest.fixture(scope="session")
def tiny(tmp_path_factory: pytest.TempPathFactory) -> Transcriber:
    return Transcriber("tiny.en", cache=tmp_path_factory.mktemp("weights"))


@pytest.fixture(scope="session")
def talk() -> Sound:
    """Two sentences in the flite voice "awb", three seconds of faint noise between them.

    "Front tyre tread depth is two point five millimetres, no cracks." from 0.76 to 4.73 s, and "Rear brake
    pads are at three millimetres, and the lever is spongy." from 8.06 to 11.61 s, read off the samples.
    """
    return capture(Path(__file__).parent / "sounds" / "talk.opus")
