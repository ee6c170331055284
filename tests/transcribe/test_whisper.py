"""A talk becomes words with their times; where nobody talks there are none."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from witnessmark.errors import SpeechModelError
from witnessmark.knowledge.speech import speech
from witnessmark.transcribe import Transcriber
from witnessmark.types import SAMPLE_RATE, Recording, Sound, Transcript, Word

pytestmark = pytest.mark.speech


@pytest.fixture(scope="module")
def heard(tiny: Transcriber, talk: Sound) -> Transcript:
    return tiny.transcribe(talk)


def sound(samples: np.ndarray) -> Sound:
    recording = Recording(sha256="0" * 64, name="a.wav", duration=samples.size / SAMPLE_RATE)
    return Sound(recording, np.clip(samples, -1, 1).astype(np.float32))


def word(transcript: Transcript, text: str) -> Word:
    return next(w for w in transcript.words if w.text.strip(".,").lower() == text)


def test_what_is_said_is_printed(heard: Transcript, talk: Sound) -> None:
    said = heard.text.lower()
    assert "tread depth is 2.5" in said
    assert "lever is spongy" in said
    assert heard.recording == talk.recording
    assert heard.model == "tiny.en"
    assert all(heard.text[w.char_start : w.char_end] == w.text for w in heard.words)


def test_words_have_the_times_of_the_sound(heard: Transcript) -> None:
    """To a third of a second; the pause is not spread over the words beside it."""
    assert word(heard, "front").start == pytest.approx(0.76, abs=0.35)
    assert word(heard, "cracks").end == pytest.approx(4.73, abs=0.35)
    assert word(heard, "rear").start == pytest.approx(8.06, abs=0.35)
    assert word(heard, "spongy").end == pytest.approx(11.61, abs=0.5)


def test_a_number_is_one_word(heard: Transcript) -> None:
    number = next(w for w in heard.words if w.text.startswith("2.5"))
    assert 1.5 < number.start < number.end < 4
    assert 0 < number.probability <= 1


def test_only_speech_is_counted(heard: Transcript) -> None:
    assert 7.5 < heard.speech_seconds < 10.5


def test_the_same_sound_gives_the_same_words(tiny: Transcriber, talk: Sound, heard: Transcript) -> None:
    assert tiny.transcribe(talk) == heard


def test_a_talk_of_several_windows_loses_nothing(tiny: Transcriber, talk: Sound, heard: Transcript) -> None:
    long = tiny.transcribe(sound(np.tile(talk.samples, 4)))
    assert abs(len(long.words) - 4 * len(heard.words)) <= 2
    assert long.text.count("2.5") == 4
    assert [w.start for w in long.words] == sorted(w.start for w in long.words)
    fourth = [w for w in long.words if w.text.startswith("2.5")][3]
    assert fourth.start == pytest.approx(word(heard, "2.5").start + 3 * talk.recording.duration, abs=0.3)


def test_talk_without_a_pause_is_cut_somewhere(tiny: Transcriber, talk: Sound) -> None:
    """Forty seconds on end: more than the engine reads at once."""
    said = ((0.7, 4.8), (8.0, 11.7))
    both = np.concatenate([talk.samples[int(a * SAMPLE_RATE) : int(b * SAMPLE_RATE)] for a, b in said])
    text = tiny.transcribe(sound(np.tile(both, 5))).text.lower()
    assert text.count("tread") == 5
    assert text.count("2.5") == 5
    assert text.count("pads") == 5


def test_progress_never_goes_back(tiny: Transcriber, talk: Sound) -> None:
    seen: list[tuple[float, float]] = []
    tiny.transcribe(talk, progress=lambda done, total: seen.append((done, total)))
    done = [d for d, _ in seen]
    assert len(seen) >= 2
    assert done == sorted(done)
    assert {total for _, total in seen} == {talk.recording.duration}
    assert done[-1] == talk.recording.duration


def test_quiet_talk_is_heard(tiny: Transcriber, talk: Sound) -> None:
    quiet = replace(talk, samples=talk.samples * np.float32(0.02))
    assert "2.5" in tiny.transcribe(quiet).text


def test_no_prompt(tiny: Transcriber, talk: Sound) -> None:
    assert "2.5" in tiny.transcribe(talk, prompt="").text


def test_a_prompt_far_too_long_is_cut(tiny: Transcriber, talk: Sound) -> None:
    """The engine fails when prompt and text pass 448 positions."""
    long = ", ".join(f"stanchion number {n}" for n in range(400))
    assert "2.5" in tiny.transcribe(talk, prompt=long).text


# ── nobody talks ─────────────────────────────────────────────────────────────────────────────


def test_digital_silence_needs_no_model(tmp_path: Path) -> None:
    nothing = Transcriber("no such model", cache=tmp_path).transcribe(sound(np.zeros(16_000)))
    assert (nothing.text, nothing.words, nothing.speech_seconds) == ("", (), 0.0)


@pytest.mark.parametrize("samples", [1, 100, 511, 16_000])
def test_short_sounds(tiny: Transcriber, samples: int) -> None:
    assert tiny.transcribe(sound(np.full(samples, 0.01))).text == ""


def noises(seconds: int) -> dict[str, np.ndarray]:
    """Workshop-like noises, computed: none holds a voice."""
    random = np.random.default_rng(7)
    n = SAMPLE_RATE * seconds
    t = np.arange(n) / SAMPLE_RATE
    hiss = random.standard_normal(n)
    spectrum = np.fft.rfft(hiss)
    frequency = np.fft.rfftfreq(n, 1 / SAMPLE_RATE).clip(20)
    turns = 2 * np.pi * np.cumsum(25 + 5 * np.sin(2 * np.pi * 0.2 * t)) / SAMPLE_RATE
    bursts = np.zeros(n)
    taps = np.zeros(n)
    for at in random.integers(0, n - 10_000, seconds):
        bursts[at : at + 9600] += np.exp(-(np.arange(9600) % 640) / 60) * random.standard_normal(9600)
        taps[at : at + 3200] += np.exp(-np.arange(3200) / 400) * np.sin(
            2 * np.pi * random.uniform(500, 4000) * t[:3200]
        )
    return {
        "hiss": hiss / 8,
        "rumble": np.fft.irfft(spectrum / frequency, n) * 40,
        "mains hum": sum(np.sin(2 * np.pi * 50 * k * t) / k for k in (1, 2, 3, 5)) / 4,
        "engine": sum(np.sin(k * turns + k) / k for k in range(1, 12)) / 8 + hiss / 40,
        "impact tool": bursts / 4,
        "taps": taps / 3,
    }


@pytest.mark.parametrize("noise", noises(1))
def test_noise_gives_no_words(tiny: Transcriber, noise: str) -> None:
    transcript = tiny.transcribe(sound(noises(60)[noise]))
    assert transcript.text == ""
    assert transcript.speech_seconds < 3


def test_noise_before_and_after_talk_adds_nothing(tiny: Transcriber, talk: Sound, heard: Transcript) -> None:
    hum = noises(20)["engine"].astype(np.float32) * 0.1
    samples = np.concatenate([hum, talk.samples, hum])
    transcript = tiny.transcribe(sound(samples))
    assert abs(len(transcript.words) - len(heard.words)) <= 3
    assert transcript.words[0].start == pytest.approx(20 + heard.words[0].start, abs=0.6)


def test_talk_that_was_thrown_away_is_told(
    tiny: Transcriber, talk: Sound, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    nothing_will_do = speech().guard.model_copy(update={"hopeless": 0.0})
    settings = speech().model_copy(update={"guard": nothing_will_do})
    monkeypatch.setattr("witnessmark.transcribe.whisper.speech", lambda: settings)
    assert tiny.transcribe(talk).text == ""
    assert "talk.opus: somebody seems to speak from 0:01 to 0:12" in caplog.text


def test_read_talk_gives_no_warning(tiny: Transcriber, talk: Sound, caplog: pytest.LogCaptureFixture) -> None:
    tiny.transcribe(talk)
    assert not caplog.records


# ── models that cannot be had ────────────────────────────────────────────────────────────────


def test_a_folder_that_holds_no_model(tmp_path: Path, talk: Sound) -> None:
    with pytest.raises(SpeechModelError, match=r"witnessmark\[demo\]"):
        Transcriber(tmp_path).transcribe(talk)


def test_damaged_weights(tmp_path: Path, talk: Sound) -> None:
    (tmp_path / "model.bin").write_bytes(b"no weights")
    (tmp_path / "config.json").write_text("{}")
    with pytest.raises(SpeechModelError, match=r"could not be loaded"):
        Transcriber(tmp_path).transcribe(talk)


def test_an_unknown_name(tmp_path: Path, talk: Sound, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HF_HUB_OFFLINE", "1")
    with pytest.raises(SpeechModelError) as caught:
        Transcriber("gigantic", cache=tmp_path).transcribe(talk)
    assert caught.value.where == "gigantic"


def test_a_folder_with_weights_is_named_without_its_place(
    tiny: Transcriber, talk: Sound, heard: Transcript
) -> None:
    from witnessmark.transcribe.weights import ensure

    folder = Path(ensure("tiny.en", tiny._cache))
    transcript = Transcriber(folder).transcribe(talk)
    assert transcript.text == heard.text
    assert transcript.model == folder.name
