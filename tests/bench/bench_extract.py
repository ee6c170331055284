"""How long drafting takes, how it grows with the talk, and what memory it keeps.

``python tests/bench/bench_extract.py`` prints the figures; it is no test. A long talk is made of the gold
walkrounds in ``tests/walkrounds/own``, one after the other. The floor is spaCy's own English tokenizer with a
PhraseMatcher over the same phrases, measured in the same run.
"""

from __future__ import annotations

import argparse
import gc
import itertools
import json
import os
import random
import re
import resource
import statistics
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import NamedTuple

import spacy
from spacy.matcher import PhraseMatcher
from spacy.tokens import Doc

from witnessmark.extract import extract
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.phrases import GAP, expand

GOLD = Path(__file__).parents[1] / "walkrounds" / "own"
TEXTS = [json.loads(path.read_text("utf-8"))["text"] for path in sorted(GOLD.glob("*.json"))]
GOAL_MS = 100
"""Milliseconds for a walkround of 2,000 words."""
SIZES = (500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000, 100_000)


class Timed(NamedTuple):
    """Seconds of the median run, on the clock and of this process."""

    wall: float
    cpu: float


def talk_of(words: int) -> str:
    """A talk of so many words."""
    source = itertools.cycle(word for text in TEXTS for word in text.split())
    return " ".join(itertools.islice(source, words))


def timed(run: Callable[[], object], runs: int) -> Timed:
    """The median of some runs; of more than one, the first only warms up."""
    if runs > 1:
        run()
    wall, cpu = [], []
    for _ in range(runs):
        gc.collect()
        started, used = time.perf_counter(), time.process_time()
        run()
        wall.append(time.perf_counter() - started)
        cpu.append(time.process_time() - used)
    return Timed(statistics.median(wall), statistics.median(cpu))


def floor() -> Callable[[str], int]:
    """spaCy alone: tokens and phrase matches of a text."""
    nlp = spacy.blank("en")
    nlp.max_length = 10_000_000
    matcher = PhraseMatcher(nlp.vocab, attr="LOWER")
    for number, row in enumerate(lexicon().rows):
        phrases = {words for phrase in row.phrases for words in expand(phrase) if GAP not in words}
        matcher.add(str(number), [Doc(nlp.vocab, words=list(words)) for words in sorted(phrases)])
    return lambda text: len(matcher(nlp(text)))


def one_walkround(alone: Callable[[str], int]) -> None:
    talk = talk_of(2_000)
    ours, theirs = timed(partial(extract, talk), 15), timed(partial(alone, talk), 15)
    print("A walkround of 2,000 words, warm, one core, median of 15 runs\n")
    print("| | wall ms | processor ms |\n|---|---|---|")
    print(f"| drafted | {ours.wall * 1e3:.1f} | {ours.cpu * 1e3:.1f} |")
    print(f"| spaCy's tokenizer and PhraseMatcher alone | {theirs.wall * 1e3:.1f} | {theirs.cpu * 1e3:.1f} |")
    print(f"| ratio | {ours.wall / theirs.wall:.1f} | {ours.cpu / theirs.cpu:.1f} |")
    print(f"\nGoal {GOAL_MS} ms: {'reached' if ours.cpu * 1e3 <= GOAL_MS else 'missed'}\n")


def growth() -> None:
    print("Cost by length, median of 3 runs, one of the long ones\n")
    print("| words | processor ms | microseconds a word | against 2,000 words |\n|---|---|---|---|")
    base = timed(partial(extract, talk_of(2_000)), 3).cpu / 2_000
    for words in SIZES:
        used = timed(partial(extract, talk_of(words)), 3 if words < 20_000 else 1).cpu
        each = used / words
        print(f"| {words:,} | {used * 1e3:,.1f} | {each * 1e6:.1f} | {each / base:.2f} |", flush=True)
    print()


def fresh_talks(count: int) -> Iterator[str]:
    """Walkrounds of which no two are alike: other figures, other registrations, other names."""
    chance = random.Random(0)
    for _ in range(count):
        text = chance.choice(TEXTS)
        sentences = re.split(r"(?<=[.?!]) ", text)
        begin = chance.randrange(max(1, len(sentences) - 6))
        part = " ".join(sentences[begin : begin + 6])
        name = "".join(chance.choices("abcdefghijklmnopqrstuvwxyz", k=7))
        yield f"For {name}, {chance.randrange(100_000)} miles. " + re.sub(
            r"\d+", lambda m: str(chance.randrange(10 ** len(m[0]))), part
        )


def resident() -> float:
    """Megabytes of memory that this process holds."""
    pages = Path("/proc/self/statm")
    if pages.exists():
        return int(pages.read_text("ascii").split()[1]) * resource.getpagesize() / 1e6
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3


def memory(count: int) -> None:
    marks = {count // 10, count // 2, count}
    print(f"Memory over {count:,} walkrounds in one process\n\n| walkrounds | resident MB |\n|---|---|")
    held: dict[int, float] = {}
    for number, talk in enumerate(fresh_talks(count), 1):
        extract(talk)
        if number in marks:
            gc.collect()
            held[number] = resident()
            print(f"| {number:,} | {held[number]:.1f} |", flush=True)
    first, last = held[count // 10], held[count]
    print(f"\nGrowth from {count // 10:,} to {count:,}: {last - first:+.1f} MB ({last / first - 1:+.1%})")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--walkrounds", type=int, default=10_000, help="how many for the memory figures")
    given = parser.parse_args()
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    one_walkround(floor())
    growth()
    memory(given.walkrounds)


if __name__ == "__main__":
    main()
