"""What is heard in an hour without talk: ``python -m tests.bench.hearing_noise``.

Workshop noise, an engine, a wrench, a compressor, a babble of many voices as from a distant radio, and
silence, all computed. Prints words a minute, findings, time and the most memory a process held. Then the
voices of the benchmark talk for an hour, for the memory and the speed of a long recording.
"""

from __future__ import annotations

import argparse
import multiprocessing
import resource
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from demo_audio import make_audio as demo

from witnessmark.capture import capture
from witnessmark.extract import extract
from witnessmark.transcribe import Transcriber
from witnessmark.types import Transcript

from .sound import RATE, Samples, babble, engine, read, workshop, wrench, write


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.hearing_noise", description=__doc__)
    parser.add_argument("--cache", type=Path, required=True, help="that of tests.bench.hearing: its speech")
    parser.add_argument("--model", default="base")
    parser.add_argument("--minutes", type=int, default=60)
    parser.add_argument("--of", nargs="+", default=("noise without talk", "talk"))
    given = parser.parse_args()
    voices = [read(path) for path in sorted((given.cache / "spoken").glob("c-00*.flac"))[:8]]
    seconds = given.minutes * 60
    made = {
        "noise without talk": lambda: noises(voices, seconds),
        "talk": lambda: np.resize(np.concatenate(voices), seconds * RATE),
    }
    for name in given.of:
        path = given.cache / f"hour.{name}.flac"
        write(made[name](), path)
        with ProcessPoolExecutor(1, multiprocessing.get_context("spawn")) as alone:  # its memory is its own
            heard = alone.submit(_timed, name, path, given.model).result()
        print(f"{len(heard.words)} words, {len(extract(heard.text).items)} findings, readings and work")


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


def _timed(name: str, path: Path, model: str) -> Transcript:
    wall, processor = time.perf_counter(), time.process_time()
    sound = capture(path)
    transcript = Transcriber(model).transcribe(sound)
    wall, processor = time.perf_counter() - wall, time.process_time() - processor
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    seconds = sound.recording.duration
    print(
        f"{name}: {seconds / 60:.0f} minutes, {len(transcript.words) / seconds * 60:.2f} words a minute,"
        f" {wall / seconds:.3f} seconds and {processor / seconds:.3f} processor seconds for a second,"
        f" at most {most:.0f} MB",
        flush=True,
    )
    return transcript


if __name__ == "__main__":
    main()
