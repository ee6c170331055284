"""How the record holds out with a million findings: history, search, decisions, the check, and its size.

``python tests/bench/bench_record.py`` prints the figures; it is no test. Some hundred walkrounds go in and
are decided on by the program itself. Then they are copied row by row under other ids, registrations and days,
as many times as wanted, with a trail that holds: the program's own check of the chain is part of the figures.
"""

from __future__ import annotations

import argparse
import hashlib
import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench_extract import TEXTS

from witnessmark import run
from witnessmark.record import Store, chain, seals
from witnessmark.record.chain import digest, link, new_salt
from witnessmark.record.opening import FIRST
from witnessmark.record.rows import plain
from witnessmark.review import MACHINE, apply, queue
from witnessmark.types import Decision, DecisionKind, Machine, Odometer, Recording, Transcript, Walkround

NAME = "Q00 AAAA"
"""Registration of every walkround that is copied."""
VISITS = 8
"""Walkrounds of one machine."""
DAY = date(2019, 1, 1)
SEARCHES = (
    "brake pads worn", "front tyre tread", "fork seal leak", "chain", "t", "sound", "4.0 mm", "Q00 AABC",
    "oil leak left", "ada", "rear", "battery voltage 12", "not seen", "horn works", "unicorn",
    "wheel bearing pl",
)  # fmt: skip
GOALS = {"history": 20.0, "search": 100.0, "decision": 10.0}
"""Milliseconds: the 95th percentile."""


class Times(NamedTuple):
    """Milliseconds of some runs: on the clock, and of this process."""

    median: float
    p95: float
    worst: float
    processor: float
    """The 95th percentile."""


def times(works: list[Callable[[], object]]) -> Times:
    return spread([timed(work) for work in works])


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Milliseconds on the clock and of this process."""
    started, used = time.perf_counter(), time.process_time()
    work()
    return (time.perf_counter() - started) * 1e3, (time.process_time() - used) * 1e3


def spread(taken: list[tuple[float, float]]) -> Times:
    wall, used = sorted(wall for wall, _ in taken), sorted(used for _, used in taken)
    last = min(len(taken) - 1, int(len(taken) * 0.95))
    return Times(statistics.median(wall), wall[last], wall[-1], used[last])


def walkround(number: int, text: str) -> Walkround:
    """A walkround of a gold talk; no two numbers have the same recording."""
    recording = Recording(sha256=digest(f"base {number}"), name=f"{number}.wav", duration=90)
    transcript = Transcript(recording=recording, text=text, model="by hand")
    return run.walkround(transcript, DAY, "GB", lambda *_: None)


def decide(store: Store, taken: Walkround, item: str, kind: DecisionKind, becomes: Any = None) -> None:
    now = store.walkround(taken.id)
    made = Decision(
        walkround=now.id, item=item, kind=kind, who="Ada Foreman", when=datetime.now(UTC), becomes=becomes
    )
    outcome = apply(now, [made])
    store.decide(made, outcome)


def base(store: Store, count: int) -> None:
    """Walkrounds taken in and confirmed by the program, each of the machine ``NAME``."""
    for number in range(count):
        taken = walkround(number, TEXTS[number % len(TEXTS)])
        if not taken.draft.items:
            continue
        store.ingest(taken)
        clock = Odometer(value=1000.0 + number, unit="km")
        decide(store, taken, MACHINE, DecisionKind.CORRECT, Machine(registration=NAME, odometer=clock))
        for item in queue(store.walkround(taken.id)):
            decide(store, taken, item, DecisionKind.CONFIRM)


def registration(machine: int) -> str:
    letters = "".join(chr(65 + machine // 26**place % 26) for place in (3, 2, 1, 0))
    return f"Q{machine // 26**4:02} {letters}"


HEAD = ("recordings", "transcripts", "walkrounds", "drafts")
ITEMS = (
    "items", "entries", "machines", "confirmed_findings", "confirmed_readings", "confirmed_actions",
)  # fmt: skip


class Copier:
    """Copies every row of the base under other names, with a chain that holds."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        self._seq, self._previous = db.execute(
            "SELECT seq, hash FROM decisions ORDER BY seq DESC LIMIT 1"
        ).fetchone()
        self._entry = db.execute("SELECT max(number) FROM entries").fetchone()[0]
        self._rows = {table: self._of(table) for table in (*HEAD, "decisions", *ITEMS)}
        self._base = [(row["id"], row["recording"]) for row in self._rows["walkrounds"]]

    def _of(self, table: str) -> list[dict[str, Any]]:
        """Rows of a table as they are inserted: without what is generated from others."""
        names = [r[1] for r in self._db.execute(f"PRAGMA table_info({table})")]
        if table == "decisions":
            names = ["seq", "body", "salt", "sealed", "draft", "previous", "hash"]
        rows = self._db.execute(f"SELECT {', '.join(names)} FROM {table}")
        return [dict(zip(names, row, strict=True)) for row in rows]

    def copy(self, turn: int) -> int:
        """One more copy of the base; returns how many items it has."""
        names = self._names(turn)
        drafts: dict[str, str] = {}
        seqs: dict[int, int] = {}
        self._db.execute("BEGIN")
        for table in HEAD:
            self._put(table, [self._made(table, row, names, drafts) for row in self._rows[table]])
        self._put("decisions", list(self._trail(names, drafts, seqs)))
        for table in ITEMS:
            self._put(table, [self._row(row, names[row["walkround"]], seqs) for row in self._rows[table]])
        self._db.execute("COMMIT")
        return len(self._rows["entries"])

    def _names(self, turn: int) -> dict[str, tuple[tuple[str, str], ...]]:
        """Base id → what is replaced by what: hash, id, registration with and without its space."""
        names = {}
        for number, (id, recording) in enumerate(self._base):
            sha256 = digest(f"{turn} {number}")
            name = registration((turn * len(self._base) + number) // VISITS + 1)
            swaps = (recording, sha256), (id, f"w-{sha256[:12]}"), (NAME, name), (plain(NAME), plain(name))
            names[id] = names[recording] = swaps
        return names

    def _made(self, table: str, row: dict[str, Any], names: Any, drafts: dict[str, str]) -> dict[str, Any]:
        key = row.get("walkround") or row.get("recording") or row.get("sha256")
        new = self._row(row, names[row["id"]] if table == "walkrounds" else names[key], {})
        if table == "walkrounds":
            new |= {
                "number": None,
                "inspected_on": (DAY + timedelta(days=random.randrange(2500))).isoformat(),
            }
        if "salt" in new:
            new |= {"salt": (salt := new_salt()), "sha256": digest(salt + new["body"])}
        if table == "drafts":
            drafts[row["walkround"]] = new["sha256"]
        return new

    def _row(self, row: dict[str, Any], swaps: Any, seqs: dict[int, int]) -> dict[str, Any]:
        new = {key: _swapped(value, swaps) for key, value in row.items()}
        if "decision" in new:
            new["decision"] = seqs[new["decision"]]
        if "number" in new:
            self._entry += 1
            new["number"] = self._entry
        return new

    def _trail(self, names: Any, drafts: dict[str, str], seqs: dict[int, int]) -> Iterator[dict[str, Any]]:
        for row in self._rows["decisions"]:
            id = row["body"][at : at + 14] if (at := row["body"].index('"w-') + 1) else ""
            body, salt = _swapped(row["body"], names[id]), new_salt()
            self._seq += 1
            seqs[row["seq"]] = self._seq
            sealed = digest(salt + body)
            made = link(self._seq, self._previous, drafts[id], sealed)
            values = (self._seq, body, salt, sealed, drafts[id], self._previous, made)
            yield dict(zip(row, values, strict=True))
            self._previous = made

    def _put(self, table: str, rows: list[dict[str, Any]]) -> None:
        marks = ", ".join("?" * len(rows[0]))
        self._db.executemany(
            f"INSERT INTO {table} ({', '.join(rows[0])}) VALUES ({marks})",
            [list(row.values()) for row in rows],
        )


def _swapped(value: Any, swaps: Any) -> Any:
    if isinstance(value, str):
        for old, new in swaps:
            if old in value:
                value = value.replace(old, new)
    return value


def loaded(path: Path, wanted: int, walkrounds: int) -> None:
    with Store.open(path) as store:
        store._db.execute("PRAGMA synchronous = OFF")
        base(store, walkrounds)
        db = store._db.conn
        db.execute("PRAGMA cache_size = -400000")
        copier, items, turn = Copier(db), 0, 0
        started = time.perf_counter()
        while items < wanted:
            turn += 1
            items += copier.copy(turn)
            if turn % 50 == 0:
                print(
                    f"  {items:,} items, {time.perf_counter() - started:.0f} s", file=sys.stderr, flush=True
                )
        with store.writing() as written:
            seals.put_all(written)
        store._db.execute("PRAGMA synchronous = FULL")
        print(f"Loaded: {items:,} items in {time.perf_counter() - started:.0f} s\n")


def told(what: str, times: Times, goal: float | None = None) -> None:
    """One row. Other programs slow the clock and not the processor's time; a slow disk only the clock."""
    figures = " | ".join(f"{one:.2f}" for one in (times.median, times.p95, times.worst, times.processor))
    ends = [f"{goal:g} ms: {_reached(times.p95, goal)}, {_reached(times.processor, goal)}"] if goal else [""]
    print(f"| {what} | {figures} | {ends[0]} |", flush=True)


def _reached(taken: float, goal: float) -> str:
    return "reached" if taken <= goal else "missed"


def decisions(path: Path) -> Times:
    """Deciding on everything in twenty fresh walkrounds; reading what is decided on is not counted."""
    works = []
    with Store.open(path) as store:
        for number in range(20):
            taken = walkround(time.time_ns() + number, TEXTS[number % len(TEXTS)])
            store.ingest(taken)
            for item in (MACHINE, *(item.key for item in taken.draft.items)):
                now = store.walkround(taken.id)
                corrected = Machine(registration=registration(77)) if item == MACHINE else None
                kind = DecisionKind.CORRECT if corrected else DecisionKind.CONFIRM
                made = Decision(
                    walkround=now.id, item=item, kind=kind, who="A", when=datetime.now(UTC), becomes=corrected
                )
                outcome = apply(now, [made])
                works.append(timed(partial(store.decide, made, outcome)))
    return spread(works)


def checked(path: Path) -> None:
    """The chain's check against the least there is to do: read the rows and hash them twice."""
    with Store.open(path) as store, store.reading() as db:
        for attempt in ("cold", "warm"):
            started = time.perf_counter()
            faults = list(chain.faults(db))
            ours = time.perf_counter() - started
            started = time.perf_counter()
            count, previous = 0, FIRST
            for body, salt, draft in db.execute("SELECT body, salt, draft FROM decisions ORDER BY seq"):
                sealed = hashlib.sha256((salt + body).encode()).hexdigest()
                previous = hashlib.sha256(f"{sealed}{draft}{previous}{count}".encode()).hexdigest()
                count += 1
            alone = time.perf_counter() - started
            assert not faults, faults
            print(
                f"Check of the chain, {attempt}: {count:,} decisions in {ours:.1f} s, "
                f"{count / ours:,.0f} a second; "
                f"reading and hashing alone {count / alone:,.0f} a second, ratio {ours / alone:.2f}"
            )
    with Store.open(path) as store:
        for quick in (True, False):
            started = time.perf_counter()
            problems = store.check(quick=quick)
            what = "quick" if quick else "whole"
            print(
                f"The {what} check: {time.perf_counter() - started:.0f} s, {len(problems)} problems",
                flush=True,
            )


def measured(path: Path) -> None:
    chance = random.Random(3)
    with Store.open(path) as store:
        machines = store.machines()
        walkrounds = sum(row.walkrounds for row in machines)
        size = path.stat().st_size
        print(f"{walkrounds:,} walkrounds of {len(machines):,} machines, {size / 1e9:.2f} GB\n")
        print(
            "| what | median ms | 95 % ms | worst ms | processor 95 % ms | goal: clock, processor |\n"
            "|---|---|---|---|---|---|"
        )
        names = [
            row.registration
            for row in chance.sample(machines, min(100, len(machines)))
            if row.registration != NAME
        ]
        told("history of one machine", times([lambda n=n: store.history(n) for n in names]), GOALS["history"])
        told("search", times([lambda w=w: store.search(w) for w in SEARCHES * 3]), GOALS["search"])
        for words in SEARCHES:
            told(f"– {words!r}", times([lambda w=words: store.search(w) for _ in range(3)]))
        told("open and close", times([lambda: Store.open(path).close() for _ in range(50)]))
        told("all machines", times([store.machines] * 3))
        told("all walkrounds", times([store.walkrounds] * 3))
        told("most found, all years", times([store.most_found] * 3))
        month = (date(2022, 3, 1), date(2022, 3, 31))
        told("most found, one month", times([lambda: store.most_found(*month)] * 3))
    told("decision", decisions(path), GOALS["decision"])
    print()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--findings", type=int, default=1_000_000)
    parser.add_argument("--walkrounds", type=int, default=300, help="that the program itself takes in")
    parser.add_argument("--record", type=Path, help="measure this one; it is made where there is none")
    given = parser.parse_args()
    random.seed(1)
    with tempfile.TemporaryDirectory() as folder:
        path = given.record or Path(folder) / "record.sqlite"
        if not path.exists():
            loaded(path, given.findings, given.walkrounds)
        measured(path)
        checked(path)


if __name__ == "__main__":
    main()
