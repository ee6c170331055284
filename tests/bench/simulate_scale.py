"""A day of very many recordings, simulated: how many cards, cores and writers, and how long it waits.

``python tests/bench/simulate_scale.py`` prints the figures of docs/scale.md; it is no test. Recordings come
at random over the day, most of them in the evening. Each goes through three queues: speech, drafting, and one
writer. The service times are those measured by the other benchmarks; give others to see what they would mean.
"""

from __future__ import annotations

import argparse
import heapq
import math
import random
import statistics
from collections.abc import Iterable
from typing import NamedTuple

DAY = 86_400.0
BY_HOUR = (1, 1, 1, 1, 1, 2, 4, 6, 6, 5, 5, 5, 5, 5, 5, 6, 8, 12, 14, 12, 8, 4, 2, 1)
"""How much comes in each hour of the day, against each other; an assumption."""


class Stage(NamedTuple):
    """One queue and those who serve it."""

    name: str
    servers: int
    seconds: float
    """For one recording, on the average."""
    spread: float
    """Of the service time, as a part of it."""


class Served(NamedTuple):
    """What became of a stage in a day."""

    busy: float
    """Part of the servers' time."""
    median: float
    """Seconds of waiting."""
    p99: float
    worst: float


def arrivals(count: int, chance: random.Random) -> list[float]:
    """Moments of a day, in order."""
    hours = chance.choices(range(24), BY_HOUR, k=count)
    return sorted((hour + chance.random()) * 3600 for hour in hours)


def served(moments: Iterable[float], stage: Stage, chance: random.Random) -> tuple[list[float], Served]:
    """When each recording leaves a stage that serves in the order of coming; and how that went."""
    free = [0.0] * stage.servers
    heapq.heapify(free)
    leaves, waits, work = [], [], 0.0
    shape = 1 / stage.spread**2  # a gamma distribution of that mean and spread
    for moment in moments:
        start = max(moment, heapq.heappop(free))
        takes = chance.gammavariate(shape, stage.seconds / shape)
        heapq.heappush(free, start + takes)
        leaves.append(start + takes)
        waits.append(start - moment)
        work += takes
    waits.sort()
    return sorted(leaves), Served(
        work / stage.servers / max(DAY, leaves[-1]),
        statistics.median(waits),
        waits[int(len(waits) * 0.99)],
        waits[-1],
    )


def least(count: int, seconds: float) -> int:
    """Servers that keep up with the busiest hour."""
    return max(1, math.ceil(count * max(BY_HOUR) / sum(BY_HOUR) / 3600 * seconds))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--talk", type=float, default=180, help="seconds of a recording")
    parser.add_argument("--card", type=float, default=0.011, help="seconds of a card for a second of talk")
    parser.add_argument("--core", type=float, default=0.14, help="seconds of a core for a second of talk")
    parser.add_argument("--draft", type=float, default=0.06, help="seconds of a core to draft and judge")
    parser.add_argument("--write", type=float, default=0.034, help="seconds of the writer")
    given = parser.parse_args()
    print("| a day | speech on | stage | servers | busy | median wait | 99 % wait | worst wait |")
    print("|---|---|---|---|---|---|---|---|")
    for count in (10_000, 100_000, 1_000_000):
        for name, rate in (("cards", given.card), ("cores", given.core)):
            chance = random.Random(count)
            moments = arrivals(count, chance)
            for stage in (
                Stage("speech", least(count, given.talk * rate), given.talk * rate, 0.5),
                Stage("drafting", least(count, given.draft), given.draft, 0.5),
                Stage("writer", 1, given.write, 0.8),
            ):
                moments, day = served(moments, stage, chance)
                waits = " | ".join(_time(one) for one in (day.median, day.p99, day.worst))
                print(
                    f"| {count:,} | {name} | {stage.name} | {stage.servers:,} | {day.busy:.0%} | {waits} |",
                    flush=True,
                )


def _time(seconds: float) -> str:
    for unit, size in (("h", 3600.0), ("min", 60.0)):
        if seconds >= size:
            return f"{seconds / size:.1f} {unit}"
    return f"{seconds:.2f} s"


if __name__ == "__main__":
    main()
