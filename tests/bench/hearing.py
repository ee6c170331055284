"""How well walkrounds are heard, beside stock faster-whisper: ``python -m tests.bench.hearing``.

Speaks our own walkrounds with synthetic voices, adds workshop noise and a room, has stock faster-whisper (its
default settings) and the product read them with the same weights in one process, and drafts both with the
same extractor. It prints a table with the goals, and writes JSON and a picture. What was once decoded is kept
in ``--cache``, so that it may be stopped and gone on with; what the product prints, under a hash of its code.

A whole grid takes hours on two cores; ``--voices``, ``--levels``, ``--rooms``, ``--texts`` and ``--limit``
run a part. Times mean something only on a machine that does nothing else.
"""

from __future__ import annotations

import argparse
import hashlib
import itertools
import json
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from witnessmark.knowledge.files import models_dir
from witnessmark.transcribe import Transcriber, weights
from witnessmark.types import Recording, Sound, Transcript

from .hearing_goals import goals
from .hearing_picture import Points, draw
from .hearing_scores import FIGURES, Count, count, interval, table, total
from .sound import LEVELS, RATE, REPORT_TEXTS, REPORTING, ROOMS, Clip, Samples, build, gold

Reader = Callable[[Clip, Samples], Transcript]


def main() -> None:
    given = _arguments()
    clips = [
        Clip(text, voice, level, room)
        for text, voice, level, room in itertools.product(
            given.texts, given.voices, given.levels, given.rooms
        )
    ][: given.limit]
    all_readers = {"stock": (_stock(given.model), "stock-1"), "ours": (_ours(given.model), _version())}
    readers = {system: all_readers[system] for system in given.systems}
    rows = list(_read(clips, readers, given))
    _report(rows, given)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.hearing", description=__doc__)
    level = lambda text: None if text == "clean" else int(text)  # noqa: E731
    parser.add_argument("--cache", type=Path, required=True, help="folder for speech and transcripts")
    parser.add_argument("--kokoro", type=Path, help="folder `voices` of the npm package kokoro-js")
    parser.add_argument("--model", default="base")
    parser.add_argument("--systems", nargs="+", choices=("stock", "ours"), default=("stock", "ours"))
    parser.add_argument("--texts", nargs="+", default=REPORT_TEXTS)
    parser.add_argument("--voices", nargs="+", default=REPORTING)
    parser.add_argument(
        "--levels", nargs="+", type=level, default=LEVELS, help="clean, or dB of signal to noise"
    )
    parser.add_argument("--rooms", nargs="+", choices=ROOMS, default=ROOMS)
    parser.add_argument("--limit", type=int, help="so many recordings at most")
    parser.add_argument("--no-decoding", action="store_true", help="report what the cache holds")
    parser.add_argument("--errors", action="store_true", help="list the wrong values that carry no doubt")
    parser.add_argument("--json", type=Path, help="write all figures there")
    parser.add_argument("--picture", type=Path, help="draw F1 against noise there (SVG or PNG)")
    return parser.parse_args()


# ── reading ──────────────────────────────────────────────────────────────────────────────────


def _read(
    clips: list[Clip], readers: dict[str, tuple[Reader, str]], given: argparse.Namespace
) -> Iterator[tuple[Clip, str, Count]]:
    """Each clip by each system, decoded only where the cache has nothing."""
    for number, clip in enumerate(clips, 1):
        for system, (reader, version) in readers.items():
            path = given.cache / "read" / f"{given.model}.{version}" / f"{clip.name}.json"
            if not path.exists():
                if given.no_decoding:
                    continue
                samples = build(clip, given.cache, given.kokoro)
                _keep(path, reader, clip, samples)
                print(f"{number} of {len(clips)} {clip.name} {system}", flush=True)
            kept = json.loads(path.read_text("utf-8"))
            result = count(gold(clip.text), Transcript.model_validate(kept["transcript"]))
            result.seconds, result.wall, result.processor = kept["seconds"], kept["wall"], kept["processor"]
            yield clip, system, result


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


def _stock(model: str) -> Reader:
    """faster-whisper as it comes: `WhisperModel.transcribe` with its default settings."""
    loaded: list[Any] = []

    def read(clip: Clip, samples: Samples) -> Transcript:
        from faster_whisper import WhisperModel

        if not loaded:
            loaded.append(WhisperModel(str(weights.ensure(model, None)), device="cpu", compute_type="int8"))
        segments, _ = loaded[0].transcribe(samples)
        text = " ".join(segment.text.strip() for segment in segments)
        return Transcript(recording=_recording(clip, samples), text=text, model=model)

    return read


def _ours(model: str) -> Reader:
    transcriber = Transcriber(model)

    def read(clip: Clip, samples: Samples) -> Transcript:
        return transcriber.transcribe(Sound(_recording(clip, samples), samples))

    return read


def _recording(clip: Clip, samples: Samples) -> Recording:
    name = hashlib.sha256(clip.name.encode()).hexdigest()
    return Recording(sha256=name, name=clip.name, duration=len(samples) / RATE)


def _version() -> str:
    """Names what decides the product's transcripts: its code of this stage and its data."""
    import witnessmark.transcribe as stage

    files = [*Path(str(stage.__file__)).parent.glob("*.py"), *models_dir().glob("speech*")]
    whole = hashlib.sha256()
    for path in sorted(files):
        whole.update(path.read_bytes())
    return f"ours-{whole.hexdigest()[:12]}"


# ── reporting ────────────────────────────────────────────────────────────────────────────────


def _report(rows: list[tuple[Clip, str, Count]], given: argparse.Namespace) -> None:
    both = {clip for clip, system, _ in rows if system == "ours"} & {
        clip for clip, system, _ in rows if system == "stock"
    }
    rows = [row for row in rows if row[0] in both]
    if not rows:
        raise SystemExit("nothing has been decoded yet")
    groups = _groups(rows)
    voices = {clip.voice for clip in both}
    print(f"\n{len(both)} recordings, {len(voices)} voices: {', '.join(sorted(voices))}\n")
    print(table(groups))
    print("\n" + goals(groups))
    if given.errors:
        print(*(f"{c.name} {wrong}" for c, s, n in rows if s == "ours" for wrong in n.wrongs), sep="\n")
    if given.json:
        given.json.write_text(json.dumps(_figures(rows, groups), indent=1) + "\n", "utf-8")
    if given.picture:
        draw(_points(rows), given.picture)


def _groups(rows: list[tuple[Clip, str, Count]]) -> dict[str, dict[str, Count]]:
    """Noise and room → system → everything counted there; and all together."""
    found: dict[str, dict[str, Count]] = defaultdict(dict)
    for clip, system, result in rows:
        for group in (clip.level_name, f"{clip.level_name}, {clip.room}", "all"):
            found[group].setdefault(system, Count()).add(result)
    order = [
        f"{name}{room}"
        for name in ("clean", "20 dB", "10 dB", "5 dB")
        for room in ("", *(f", {r}" for r in ROOMS))
    ]
    return {group: found[group] for group in (*order, "all") if group in found}


def _by_voice(rows: list[tuple[Clip, str, Count]], group: str, system: str) -> list[Count]:
    voices: dict[str, list[Count]] = defaultdict(list)
    for clip, of, result in rows:
        if of == system and group in (clip.level_name, f"{clip.level_name}, {clip.room}", "all"):
            voices[clip.voice].append(result)
    return [total(results) for results in voices.values()]


def _figures(rows: list[tuple[Clip, str, Count]], groups: dict[str, dict[str, Count]]) -> dict[str, Any]:
    """Group → system → figure → value and its interval over voices."""
    return {
        group: {
            system: {
                name: {
                    "value": round(figure(whole), 4),
                    "95%": [round(v, 4) for v in interval(_by_voice(rows, group, system), figure, 300)],
                }
                for name, figure in FIGURES.items()
            }
            | {
                name: getattr(whole, name)
                for name in ("drafted", "wrong", "silent", "misheard", "misheard_silent")
            }
            for system, whole in systems.items()
        }
        for group, systems in groups.items()
    }


def _points(rows: list[tuple[Clip, str, Count]]) -> Points:
    """Observations and readings of each system at each noise, with intervals over voices."""
    names = list(dict.fromkeys(clip.level_name for clip, _, _ in rows))
    found: Points = {}
    for title in ("observations", "readings"):
        found[title] = {
            system: [_point(_by_voice(rows, name, system), name, title) for name in names]
            for system in ("ours", "stock")
        }
        whole = getattr(total(result for _, system, result in rows if system == "ours"), f"{title}_text").f1
        found[title]["true text"] = [(name, whole, whole, whole) for name in names]
    return found


def _point(voices: list[Count], name: str, title: str) -> tuple[str, float, float, float]:
    def figure(count: Count) -> float:
        return float(getattr(count, title).f1)

    return name, figure(total(voices)), *interval(voices, figure)


if __name__ == "__main__":
    main()
