"""How a backlog grows with its workers, with some of them killed, and what the one writer can take.

``python tests/bench/bench_backlog.py`` prints the figures; it is no test. The recordings are transcripts, so
that no speech is decoded; each job waits first, as long as it is told, in place of a speech engine on another
processor. So four workers can be measured on a machine with fewer cores. Ideal is the time of one worker
divided by their number.
"""

from __future__ import annotations

import argparse
import json
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from hashlib import sha256
from pathlib import Path
from uuid import uuid4

from bench_extract import TEXTS
from distributed import Client

from witnessmark.cli.backlog import jobs_of
from witnessmark.cli.backlog_loop import Tally, drive
from witnessmark.cli.backlog_pool import cluster
from witnessmark.cli.backlog_work import Job, Read
from witnessmark.record import Store
from witnessmark.types import Recording, Transcript


def transcripts(folder: Path, count: int) -> None:
    folder.mkdir()
    for number in range(count):
        digest = sha256(str(number).encode()).hexdigest()
        recording = Recording(sha256=digest, name=f"{number}.wav", duration=180)
        transcript = Transcript(recording=recording, text=TEXTS[number % len(TEXTS)], model="none")
        (folder / f"{number:05}.json").write_text(transcript.model_dump_json(), "utf-8")


def waiting(job: Job, seconds: float) -> Read:
    """A job that waits in place of the speech engine, then drafts and judges."""
    from witnessmark.cli.backlog_work import read

    time.sleep(seconds)
    return read(job)


def dask(*arguments: object) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "dask", *map(str, arguments)]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


Process = subprocess.Popen[bytes]


@contextmanager
def workers(folder: Path, count: int) -> Iterator[tuple[str, list[Process], partial[Process]]]:
    """A scheduler's address, its running workers, and what starts another."""
    file = folder / f"scheduler-{uuid4().hex}.json"
    another = partial(
        dask, "worker", "--scheduler-file", file, "--nthreads", 1, "--no-nanny", "--no-dashboard"
    )
    running = [
        dask("scheduler", "--scheduler-file", file, "--host", "127.0.0.1", "--port", 0, "--no-dashboard")
    ]
    try:
        while not file.exists():
            time.sleep(0.1)
        running += [another() for _ in range(count)]
        yield json.loads(file.read_text("utf-8"))["address"], running, another
    finally:
        for process in running:
            process.kill()
            process.wait()


def timed(folder: Path, source: Path, count: int, wait: float, kills: int) -> tuple[float, Tally]:
    """Seconds of a backlog once its workers are warm, and what became of it."""
    jobs = list(jobs_of([str(source)], None, "GB", None))
    chance = random.Random(kills)
    strikes = {chance.randrange(len(jobs) // 10, len(jobs) * 9 // 10) for _ in range(kills)}
    with (
        workers(folder, count) as (address, running, another),
        Store.open(folder / f"{count}-{kills}.sqlite") as record,
    ):

        def told(now: Tally) -> None:
            if now.done in strikes:
                running[-1].send_signal(signal.SIGKILL)
                running.append(another())

        with Client(address) as client:
            client.wait_for_workers(count)
        with cluster(address, {}) as pool:
            warm = pool.start()
            for future in [warm.submit(waiting, jobs[0], 1.0) for _ in range(2 * count)]:
                future.result()  # every worker has read its knowledge
            started = time.perf_counter()
            tally = drive(jobs, pool, record, 3 * count, told, partial(waiting, seconds=wait))
            took = time.perf_counter() - started
        assert tally.new == len(jobs), tally
        assert len(record.walkrounds()) == len(jobs)
    return took, tally


def writer(folder: Path, source: Path) -> float:
    """Walkrounds a second that one process writes, read already."""
    from concurrent.futures import ThreadPoolExecutor

    from witnessmark.cli.backlog_pool import Pool
    from witnessmark.cli.backlog_work import read

    jobs = list(jobs_of([str(source)], None, "GB", None))
    done = {job.source: read(job) for job in jobs}
    with Store.open(folder / "writer.sqlite") as record:
        pool = Pool(lambda: ThreadPoolExecutor(1), 1)
        started = time.perf_counter()
        drive(jobs, pool, record, 8, lambda _: None, lambda job: done[job.source])
        return len(jobs) / (time.perf_counter() - started)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--recordings", type=int, default=120)
    parser.add_argument("--wait", type=float, default=0.5, help="seconds that the speech engine would take")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        transcripts(folder / "in", given.recordings)
        print(f"{given.recordings} recordings, {given.wait:g} s each in place of the speech engine\n")
        print("| workers | killed | s | recordings a second | of ideal | accounted for once |")
        print("|---|---|---|---|---|---|")
        alone = None
        for count, kills in ((1, 0), (2, 0), (4, 0), (4, 5)):
            took, tally = timed(folder, folder / "in", count, given.wait, kills)
            alone = alone or took
            ratio = alone / count / took
            print(
                f"| {count} | {kills} | {took:.1f} | {given.recordings / took:.2f} | {ratio:.2f} | "
                f"{tally.done} of {given.recordings} |",
                flush=True,
            )
        print(f"\nThe one writer: {writer(folder, folder / 'in'):.0f} walkrounds a second")


if __name__ == "__main__":
    main()
