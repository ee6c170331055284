"""What is heard in an hour without talk: ``python -m tests.bench.hearing_noise``.

Workshop noise, an engine, a wrench, a compressor, a babble of many voices as from a distant radio, and
silence, all computed. Prints words a minute, findings, time and the most memory the process held. Then the
voices of the benchmark talk for an hour, for the memory and the speed of a long recording.
"""

from __future__ import annotations

import argparse
import resource
import time
from pathlib import Path

import numpy as np
from demo_audio import make_audio as demo

from witnessmark.extract import extract
from witnessmark.transcribe import Transcriber
from witnessmark.types import Recording, Sound, Transcript

from .sound import RATE, Samples, babble, engine, read, workshop, wrench


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.hearing_noise", description=__doc__)
    parser.add_argument("--cache", type=Path, required=True, help="that of tests.bench.hearing: its speech")
    parser.add_argument("--model", default="base")
    parser.add_argument("--minutes", type=int, default=60)
    given = parser.parse_args()
    voices = [read(path) for path in sorted((given.cache / "spoken").glob("c-00*.flac"))[:8]]
    transcriber = Transcriber(given.model)
    heard = _timed("noise without talk", transcriber, noises(voices, given.minutes * 60))
    draft = extract(heard.text)
    print(f"{len(heard.words)} words: {heard.text!r}\n{len(draft.items)} findings, readings and work")
    _timed("talk", transcriber, np.resize(np.concatenate(voices), given.minutes * 60 * RATE))


def noises(voices: list[Samples], seconds: int) -> Samples:
    """Six kinds of noise, a sixth of the time each."""
    seed = np.random.default_rng(3)
    n = seconds * RATE // 6
    parts = [
        0.05 * workshop(n, seed),
        0.1 * engine(n, seed) + 0.01 * seed.standard_normal(n),
        0.1 * wrench(n, seed),
        0.1 * demo.compressor(n, seed) + 0.02 * demo.pink(n, seed),
        babble(voices, n, seed),
        np.zeros(n),
    ]
    return np.clip(np.concatenate(parts), -1, 1).astype(np.float32)


def _timed(name: str, transcriber: Transcriber, samples: Samples) -> Transcript:
    wall, processor = time.perf_counter(), time.process_time()
    seconds = len(samples) / RATE
    transcript = transcriber.transcribe(
        Sound(Recording(sha256="0" * 64, name=name, duration=seconds), samples)
    )
    wall, processor = time.perf_counter() - wall, time.process_time() - processor
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{name}: {seconds / 60:.0f} minutes, {len(transcript.words) / seconds * 60:.2f} words a minute,"
        f" {wall / seconds:.3f} seconds and {processor / seconds:.3f} processor seconds for a second,"
        f" at most {most:.0f} MB"
    )
    return transcript


if __name__ == "__main__":
    main()
