"""Has stock faster-whisper and the product read the benchmark's recordings, and keeps what they print.

``python -m tests.bench.hearing_read`` only reads, with the arguments of ``tests.bench.hearing``: on a machine
with a CUDA card, say, or in several processes at once (``--part 2 4`` is the second of four).
"""

from __future__ import annotations

import argparse
import hashlib
import itertools
import json
import time
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from witnessmark.knowledge.files import models_dir
from witnessmark.transcribe import Transcriber, weights
from witnessmark.types import Recording, Sound, Transcript

from .sound import LEVELS, RATE, REPORT_TEXTS, REPORTING, ROOMS, Clip, Samples, build

Reader = Callable[[Clip, Samples], Transcript]
SYSTEMS = ("stock", "ours")


def arguments() -> argparse.ArgumentParser:
    """What both programs are told."""
    parser = argparse.ArgumentParser(formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cache", type=Path, required=True, help="folder for speech and transcripts")
    parser.add_argument("--kokoro", type=Path, help="folder `voices` of the npm package kokoro-js")
    parser.add_argument("--model", default="base")
    parser.add_argument("--device", choices=("cpu", "cuda"), default="cpu")
    parser.add_argument("--systems", nargs="+", choices=SYSTEMS, default=SYSTEMS)
    parser.add_argument("--texts", nargs="+", default=REPORT_TEXTS)
    parser.add_argument("--voices", nargs="+", default=REPORTING)
    parser.add_argument("--levels", nargs="+", type=_level, default=LEVELS, help="clean, or dB")
    parser.add_argument("--rooms", nargs="+", choices=ROOMS, default=ROOMS)
    parser.add_argument("--limit", type=int, help="so many recordings at most")
    parser.add_argument("--part", nargs=2, type=int, default=(1, 1), metavar=("PART", "OF"))
    return parser


def _level(text: str) -> int | None:
    return None if text == "clean" else int(text)


def clips(given: argparse.Namespace) -> list[Clip]:
    """The recordings asked for."""
    grid = itertools.product(given.texts, given.voices, given.levels, given.rooms)
    part, of = given.part
    return [Clip(*cell) for cell in grid][: given.limit][part - 1 :: of]


def read(given: argparse.Namespace) -> Iterator[tuple[Clip, str, dict[str, Any]]]:
    """Each recording by each system, decoded only where the cache has nothing."""
    wanted = clips(given)
    for number, clip in enumerate(wanted, 1):
        for system in given.systems:
            path = _place(given, system) / f"{clip.name}.json"
            if not path.exists():
                if getattr(given, "no_decoding", False):
                    continue
                reader = _reader(system, given.model, given.device)
                _keep(path, reader, clip, build(clip, given.cache, given.kokoro))
                print(f"{number} of {len(wanted)} {clip.name} {system}", flush=True)
            yield clip, system, json.loads(path.read_text("utf-8"))


@cache
def _reader(system: str, model: str, device: str) -> Reader:
    return {"stock": _stock, "ours": _ours}[system](model, device)


def _place(given: argparse.Namespace, system: str) -> Path:
    version = "stock" if system == "stock" else f"ours-{_version()}"
    return Path(given.cache) / "read" / f"{Path(given.model).name}.{given.device}.{version}"


def _keep(path: Path, reader: Reader, clip: Clip, samples: Samples) -> None:
    wall, processor = time.perf_counter(), time.process_time()
    transcript = reader(clip, samples)
    kept = {
        "seconds": len(samples) / RATE,
        "wall": time.perf_counter() - wall,
        "processor": time.process_time() - processor,
        "transcript": transcript.model_dump(mode="json"),
    }
    path.parent.mkdir(parents=True, exist_ok=True)
    path.with_suffix(".part").write_text(json.dumps(kept), "utf-8")
    path.with_suffix(".part").replace(path)


def _stock(model: str, device: str) -> Reader:
    """faster-whisper as it comes: `WhisperModel.transcribe` with its default settings."""
    from faster_whisper import WhisperModel

    weight = {"cpu": "int8", "cuda": "float16"}[device]
    loaded = WhisperModel(str(weights.ensure(model, None)), device=device, compute_type=weight)

    def read(clip: Clip, samples: Samples) -> Transcript:
        segments, _ = loaded.transcribe(samples)
        text = " ".join(segment.text.strip() for segment in segments)
        return Transcript(recording=_recording(clip, samples), text=text, model=Path(model).name)

    return read


def _ours(model: str, device: str) -> Reader:
    transcriber = Transcriber(model, device=device)

    def read(clip: Clip, samples: Samples) -> Transcript:
        return transcriber.transcribe(Sound(_recording(clip, samples), samples))

    read(Clip("", "", None, ""), np.zeros(RATE, np.float32) + np.float32(1e-4))
    return read


def _recording(clip: Clip, samples: Samples) -> Recording:
    name = hashlib.sha256(clip.name.encode()).hexdigest()
    return Recording(sha256=name, name=clip.name, duration=len(samples) / RATE)


def _version() -> str:
    """Names what decides the product's transcripts: the code of this stage and its data."""
    import witnessmark.transcribe as stage

    files = [*Path(str(stage.__file__)).parent.glob("*.py"), *models_dir().glob("speech*")]
    whole = hashlib.sha256()
    for path in sorted(files):
        whole.update(path.read_bytes())
    return whole.hexdigest()[:12]


if __name__ == "__main__":
    for _ in read(arguments().parse_args()):
        pass
