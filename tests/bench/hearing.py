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
import json
from collections import defaultdict
from pathlib import Path
from typing import Any

from witnessmark.types import Transcript

from .hearing_goals import goals
from .hearing_picture import Points, draw
from .hearing_read import arguments, read
from .hearing_scores import FIGURES, Count, count, interval, table, total
from .sound import ROOMS, ROUGH, Clip, gold

KINDS = ("natural voices", "rough voices")


def main() -> None:
    parser = arguments()
    parser.prog, parser.description = "python -m tests.bench.hearing", __doc__
    parser.add_argument("--no-decoding", action="store_true", help="report what the cache holds")
    parser.add_argument("--errors", action="store_true", help="list the wrong readings that carry no doubt")
    parser.add_argument("--json", type=Path, help="write all figures there")
    parser.add_argument("--picture", type=Path, help="draw F1 against noise there (SVG or PNG)")
    given = parser.parse_args()
    _report([_counted(*row) for row in read(given)], given)


def _counted(clip: Clip, system: str, kept: dict[str, Any]) -> tuple[Clip, str, Count]:
    result = count(gold(clip.text), Transcript.model_validate(kept["transcript"]))
    result.seconds, result.wall, result.processor = kept["seconds"], kept["wall"], kept["processor"]
    return clip, system, result


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
        for group in _groups_of(clip):
            found[group].setdefault(system, Count()).add(result)
    noises = ("clean", "20 dB", "10 dB", "5 dB")
    order = [f"{noise}{part}" for noise in noises for part in ("", *(f", {p}" for p in (*ROOMS, *KINDS)))]
    return {group: found[group] for group in (*order, "all") if group in found}


def _groups_of(clip: Clip) -> tuple[str, ...]:
    kind = KINDS[clip.voice in ROUGH]
    return clip.level_name, f"{clip.level_name}, {clip.room}", f"{clip.level_name}, {kind}", "all"


def _by_voice(rows: list[tuple[Clip, str, Count]], group: str, system: str) -> list[Count]:
    voices: dict[str, list[Count]] = defaultdict(list)
    for clip, of, result in rows:
        if of == system and group in _groups_of(clip):
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
