"""The default model, on the same short talk and on ten minutes of noise."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.transcribe import Transcriber, vtt
from witnessmark.types import Sound

from .test_whisper import noises, sound

pytestmark = pytest.mark.full


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Transcriber:
    return Transcriber(cache=tmp_path_factory.mktemp("weights"))


def test_the_talk(base: Transcriber, talk: Sound) -> None:
    heard = base.transcribe(talk)
    assert heard.model == "base"
    assert [w.text.strip("m.,") for w in heard.words if w.text[0].isdigit()] == ["2.5", "3"]
    for word in ("tread", "cracks", "pads", "lever", "spongy"):
        assert word in heard.text
    assert all(w.probability > 0.5 for w in heard.words if w.text[0].isdigit())
    assert vtt(heard).count(" --> ") >= 2


def test_ten_minutes_of_noise(base: Transcriber) -> None:
    samples = np.concatenate(list(noises(100).values()))
    assert base.transcribe(sound(samples)).text == ""


def test_noise_under_the_talk_keeps_the_figures(base: Transcriber, talk: Sound) -> None:
    """20 dB below the speech, as near a running machine; more noise is the recogniser's to lose."""
    speech = talk.samples[np.abs(talk.samples) > 0.02]
    for noise in ("engine", "impact tool", "hiss"):
        over = np.resize(noises(20)[noise], talk.samples.size)
        gain = np.sqrt(np.mean(speech**2) / np.mean(over**2)) / 10
        text = base.transcribe(sound(talk.samples + gain * over)).text
        assert "2.5" in text, noise
        assert "spongy" in text, noise
