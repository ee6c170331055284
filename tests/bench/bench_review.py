"""How a desk on a large record serves many reviewers at once: the page of a long walkround, and decisions.

``python tests/bench/bench_review.py`` prints the figures; it is no test. A real server runs in a process of
its own on a record of a million findings. First one reviewer asks for a walkround of sixty items and decides
on another as fast as answers come; then the others work at once, each on a walkround of his own, with one to
three seconds between two decisions.
"""

from __future__ import annotations

import argparse
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[2]))

import httpx
from bench_extract import TEXTS
from bench_record import loaded, walkround
from tests.desk.conftest import PASSWORD

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role
from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings
from witnessmark.record import Store

PAGE_GOAL, DECISION_GOAL = 300.0, 50.0
"""Milliseconds: first usable page of sixty items, and the 95th percentile of decisions."""
ITEMS = 60
PAGES = 15
PAUSE = 2.0
"""Seconds between two decisions of one reviewer, on average."""


def prepared(path: Path, reviewers: int) -> tuple[list[str], str]:
    """People to sign in, a walkround for each of them, and a long one."""
    app = create(Settings(record=path, live=False))
    with app.state.desk.own.writing() as db:
        for number in range(reviewers):
            people.add(db, f"Reviewer {number}", Role.REVIEWER, PASSWORD)
    number = 2_000_000 + int(time.time()) % 1_000_000 * 100
    with Store.open(path) as store:
        taken = [walkround(number + n, TEXTS[n % len(TEXTS)]) for n in range(reviewers)]
        long = next(w for w in _longer(number + reviewers) if len(w.draft.items) >= ITEMS - 5)
        for one in (*taken, long):
            store.ingest(one)
    return [one.id for one in taken], long.id


def _longer(number: int) -> Iterator:
    text = ""
    for n, more in enumerate(TEXTS):
        text = f"{text} {more}"
        yield walkround(number + n, text)


@contextmanager
def serving(path: Path) -> Iterator[str]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "witnessmark", "desk", "--store", str(path), "--port", str(port)]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    address = f"http://localhost:{port}"
    try:
        for _ in range(600):
            try:
                httpx.get(f"{address}/sign-in")
                break
            except httpx.TransportError:
                time.sleep(0.1)
        yield address
    finally:
        server.terminate()
        server.wait()


def signed_in(address: str, number: int) -> httpx.Client:
    client = httpx.Client(base_url=address, timeout=60)
    client.post("/sign-in", data={"name": f"Reviewer {number}", "password": PASSWORD})
    page = client.get("/me").text
    client.headers["X-Form-Key"] = page.partition('name="form-key" content="')[2].partition('"')[0]
    return client


def clear(client: httpx.Client, id: str, taken: list[float], worst: list[int], pause: float) -> None:
    """Confirm everything in a walkround; what cannot be confirmed is rejected with a reason."""
    for key in client.get(f"/api/walkrounds/{id}").json()["queue"]:
        time.sleep(pause * random.uniform(0.5, 1.5))
        for kind, why in (("confirm", ""), ("reject", "cannot be filed so")):
            started = time.perf_counter()
            answer = client.post(
                f"/api/walkrounds/{id}/decisions", json={"item": key, "kind": kind, "why": why, "seen": 0}
            )
            if answer.status_code == 201:
                taken.append((time.perf_counter() - started) * 1e3)
                break
            worst.append(answer.status_code)


def told(what: str, taken: list[float], goal: float) -> None:
    ordered = sorted(taken)
    p95 = ordered[int(len(ordered) * 0.95)]
    verdict = "reached" if p95 <= goal else "missed"
    print(f"| {what} | {len(taken)} | {statistics.median(ordered):.0f} | {p95:.0f} | {goal:g}: {verdict} |")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--findings", type=int, default=1_000_000)
    parser.add_argument("--walkrounds", type=int, default=300, help="that the program itself takes in")
    parser.add_argument("--record", type=Path, help="use this one; it is made where there is none")
    parser.add_argument("--reviewers", type=int, default=20)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = given.record or Path(folder) / "record.sqlite"
        if not path.exists():
            loaded(path, given.findings, given.walkrounds)
        own, long = prepared(path, given.reviewers)
        with serving(path) as address:
            clients = [signed_in(address, number) for number in range(given.reviewers)]
            pages, alone, together = [], [], []
            refused: list[int] = []
            for _ in range(PAGES):
                started = time.perf_counter()
                clients[0].get(f"/review/{long}").raise_for_status()
                clients[0].get(f"/api/walkrounds/{long}").raise_for_status()
                pages.append((time.perf_counter() - started) * 1e3)
            clear(clients[0], own[0], alone, refused, 0)
            threads = [
                threading.Thread(target=clear, args=(client, id, together, refused, PAUSE))
                for client, id in zip(clients[1:], own[1:], strict=True)
            ]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join()
        print("| | times | median ms | 95th percentile | goal |\n|---|---|---|---|---|")
        told(f"page and data of a walkround of {ITEMS} items", pages, PAGE_GOAL)
        told("a decision, one reviewer", alone, DECISION_GOAL)
        told(f"a decision, {given.reviewers - 1} at once", together, DECISION_GOAL)
        print(f"Refused: {len(refused)} ({', '.join(map(str, sorted(set(refused))))})")


if __name__ == "__main__":
    main()
