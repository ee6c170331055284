"""How long the owner's papers take, and whether a thousand in a row keep memory.

``python tests/bench/bench_papers.py`` prints the figures; it is no test. The floor beside them is the same
page with nothing on it. Each summary of the batch is of another machine, as HTML and as PDF.
"""

from __future__ import annotations

import gc
import os
import resource
import statistics
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.summarise.scenario import grave, outcome, past

from witnessmark.knowledge.cards import card_for
from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import jobsheet, render, render_pdf, summarise
from witnessmark.summarise.pdf import Printable, compiled
from witnessmark.types import Machine, Odometer, Outcome

GOAL_SECONDS = 0.5
BATCH = 1_000
GOAL_GROWTH_MB = 20
"""After the first hundred: what the last thousand may add."""
WORDS, MADE = plain_words(), date(2026, 5, 22)


def milliseconds(run: Callable[[], object], runs: int = 21) -> tuple[float, float]:
    """Median and slowest of some runs; the first only warms up."""
    run()
    taken = []
    for _ in range(runs):
        started = time.perf_counter()
        run()
        taken.append((time.perf_counter() - started) * 1000)
    return statistics.median(taken), max(taken)


def resident_mb() -> float:
    """Memory of this process now."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def machine(number: int) -> Outcome:
    """The grave walkround of another machine."""
    named = Machine(registration=f"KX{number:05} WPT", odometer=Odometer(value=17930 + number, unit="mi"))
    return grave().model_copy(update={"machine": named})


def both(made: Outcome) -> int:
    """Bytes of a summary in both forms."""
    page = summarise(made, WORDS, past(), MADE)
    return len(render(page)) + len(render_pdf(page))


def first() -> float:
    """Seconds of the first summary of a process, with all that it loads."""
    started = time.perf_counter()
    both(machine(0))
    return time.perf_counter() - started


def batch() -> None:
    started, before = time.perf_counter(), 0.0
    for number in range(BATCH + 100):
        both(machine(number))
        if number == 99:
            gc.collect()
            before, started = resident_mb(), time.perf_counter()
        if number % 250 == 99:
            print(f"  after {number + 1:5} {resident_mb():7.1f} MB")
    seconds = time.perf_counter() - started
    gc.collect()
    grown = resident_mb() - before
    print(f"{BATCH} summaries, HTML and PDF: {seconds:.1f} s, {seconds / BATCH * 1000:.0f} ms each")
    print(f"memory grown by {grown:.1f} MB (goal {GOAL_GROWTH_MB})", verdict(grown <= GOAL_GROWTH_MB))
    print(f"peak {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000:.0f} MB")


def verdict(met: bool) -> str:
    return "met" if met else "MISSED"


def main() -> None:
    print(f"{'first of a process, both':24} {first() * 1000:7.1f} ms, with all that it loads")
    page, bare = summarise(grave(), WORDS, past(), MADE), summarise(outcome([]), WORDS, (), MADE)
    sheet = jobsheet(grave(), WORDS, card_for("KX21 WPT"))
    runs = {
        "one summary, both": lambda: both(machine(1)),
        "values": lambda: summarise(grave(), WORDS, past(), MADE),
        "HTML": lambda: render(page),
        "PDF": lambda: render_pdf(page),
        "PDF of an empty page": lambda: render_pdf(bare),
        "job sheet, PDF": lambda: compiled(
            Printable("jobsheet.typ", sheet.model_dump(mode="json"), sheet.language)
        ),
    }
    for name, run in runs.items():
        median, slowest = milliseconds(run)
        goal = f"(goal {GOAL_SECONDS} s) {verdict(median <= GOAL_SECONDS * 1000)}" if "both" in name else ""
        print(f"{name:24} {median:7.1f} ms, slowest {slowest:7.1f} {goal}")
    batch()


if __name__ == "__main__":
    main()
