"""``witnessmark backlog``: every recording is accounted for once, whatever happens to the workers."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path
from threading import Lock

import fsspec
import numpy as np
import pytest

from helpers_cli import Run
from witnessmark.capture import capture, write_playback
from witnessmark.cli import backlog_work
from witnessmark.cli.backlog import jobs_of
from witnessmark.cli.backlog_loop import TRIES, Tally, drive
from witnessmark.cli.backlog_pool import Pool, local, needs_of
from witnessmark.cli.backlog_work import Job, Read
from witnessmark.errors import BadInputError, StoreError, WitnessmarkError
from witnessmark.intake import sound_file
from witnessmark.record import Store
from witnessmark.types import Recording, Transcript

TALK = "Registration KX21 WPT. The rear pads are 4 millimetres. The horn works. Number {}."


def transcripts(folder: Path, count: int) -> list[Path]:
    """Files of ``witnessmark transcribe``: so no speech has to be decoded."""
    folder.mkdir(exist_ok=True)
    paths = [folder / f"{number:03}.json" for number in range(count)]
    for number, path in enumerate(paths):
        digest = sha256(str(number).encode()).hexdigest()
        recording = Recording(sha256=digest, name=f"{number}.wav", duration=60)
        text = TALK.format(number)
        path.write_text(Transcript(recording=recording, text=text, model="x").model_dump_json(), "utf-8")
    return paths


def jobs(*places: Path | str) -> list[Job]:
    return list(jobs_of([str(place) for place in places], None, "GB", None))


def threads(count: int = 4) -> Pool:
    """The same work in this process."""
    return Pool(lambda: ThreadPoolExecutor(count), count)


def quiet(_: Tally) -> None:
    """Where nobody watches."""


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "record.sqlite") as opened:
        yield opened


def counts(tally: Tally) -> tuple[int, int, int, int]:
    return tally.new, tally.known, tally.skipped, len(tally.failed)


def test_a_folder_goes_in_whole_and_once(record: Store, tmp_path: Path) -> None:
    transcripts(tmp_path / "in", 12)
    told: list[int] = []
    tally = drive(jobs(tmp_path / "in"), threads(), record, 8, lambda now: told.append(now.done))
    assert counts(tally) == (12, 0, 0, 0)
    assert tally.seconds == 12 * 60
    assert told == list(range(1, 13))
    assert len(record.walkrounds()) == 12
    assert record.check() == []
    again = drive(jobs(tmp_path / "in"), threads(), record, 8, quiet)
    assert counts(again) == (0, 0, 12, 0)


def test_a_copy_under_another_name_is_known(record: Store, tmp_path: Path) -> None:
    (path,) = transcripts(tmp_path / "in", 1)
    path.with_name("copy.json").write_bytes(path.read_bytes())
    assert counts(drive(jobs(tmp_path / "in"), threads(), record, 1, quiet)) == (1, 1, 0, 0)


def test_a_file_that_changed_is_read_again(record: Store, tmp_path: Path) -> None:
    (path,) = transcripts(tmp_path / "in", 1)
    drive(jobs(path), threads(), record, 1, quiet)
    path.write_text(path.read_text("utf-8").replace("Number 0", "Number 00"), "utf-8")
    assert counts(drive(jobs(path), threads(), record, 1, quiet)) == (0, 1, 0, 0)


def test_no_more_than_wanted_are_out_at_once(record: Store, tmp_path: Path) -> None:
    transcripts(tmp_path / "in", 10)
    out, most, lock = 0, 0, Lock()

    def work(job: Job) -> Read:
        nonlocal out, most
        with lock:
            out += 1
            most = max(most, out)
        time.sleep(0.02)
        with lock:
            out -= 1
        return backlog_work.read(job)

    drive(jobs(tmp_path / "in"), threads(8), record, 3, quiet, work)
    assert 1 < most <= 3


def test_what_fails_three_times_is_set_aside_with_the_reason(record: Store, tmp_path: Path) -> None:
    paths = transcripts(tmp_path / "in", 4)
    paths[1].write_text("nonsense", "utf-8")
    tries: Counter[str] = Counter()

    def work(job: Job) -> Read:
        tries[job.source] += 1
        return backlog_work.read(job)

    tally = drive(jobs(tmp_path / "in"), threads(), record, 2, quiet, work)
    assert counts(tally) == (3, 0, 0, 1)
    assert tries == Counter({str(path): 1 for path in paths} | {str(paths[1]): TRIES})
    ((source, reason),) = tally.failed
    assert source == str(paths[1])
    assert reason.startswith("is not JSON")
    (aside,) = record.set_aside(TRIES)
    assert (aside.source, aside.tries, aside.reason) == (source, 3, reason)
    assert counts(drive(jobs(tmp_path / "in"), threads(), record, 2, quiet)) == (0, 0, 4, 0)
    record.forgive(source)
    paths[1].write_bytes(paths[0].read_bytes())
    assert counts(drive(jobs(tmp_path / "in"), threads(), record, 2, quiet)) == (0, 1, 3, 0)
    assert record.set_aside() == []


def test_what_fails_once_is_tried_again(record: Store, tmp_path: Path) -> None:
    transcripts(tmp_path / "in", 3)
    failed: list[str] = []

    def work(job: Job) -> Read:
        if job.source not in failed:
            failed.append(job.source)
            raise OSError("the network is down")
        return backlog_work.read(job)

    assert counts(drive(jobs(tmp_path / "in"), threads(), record, 2, quiet, work)) == (3, 0, 0, 0)
    assert record.set_aside() == []


def test_a_worker_with_other_rules_stops_the_run(record: Store, tmp_path: Path) -> None:
    transcripts(tmp_path / "in", 1)

    def work(job: Job) -> Read:
        return backlog_work.read(job)._replace(knowledge="0.0.1+old")

    with pytest.raises(StoreError, match="knows other rules"):
        drive(jobs(tmp_path / "in"), threads(), record, 2, quiet, work)
    assert record.walkrounds() == []


def dies(job: Job) -> Read:
    """A recording that kills whatever reads it."""
    if job.source.endswith("002.json"):
        os._exit(9)
    return backlog_work.read(job)


def test_a_recording_that_kills_its_process_is_found_and_set_aside(record: Store, tmp_path: Path) -> None:
    transcripts(tmp_path / "in", 5)
    tally = drive(jobs(tmp_path / "in"), local(2), record, 4, quiet, dies)
    assert counts(tally) == (4, 0, 0, 1)
    ((source, reason),) = tally.failed
    assert source.endswith("002.json")
    assert "died" in reason
    assert len(record.walkrounds()) == 4


def test_recordings_elsewhere_are_fetched(record: Store, tmp_path: Path) -> None:
    files = fsspec.filesystem("memory")
    for path in transcripts(tmp_path / "in", 3):
        files.pipe(f"/shop/{path.name}", path.read_bytes())
    files.pipe("/shop/notes.doc", b"x")
    found = jobs("memory://shop")
    assert [job.source for job in found] == [f"memory:///shop/00{number}.json" for number in range(3)]
    assert counts(drive(found, threads(), record, 2, quiet)) == (3, 0, 0, 0)
    assert len(jobs(f"file://{tmp_path / 'in'}")) == 3
    with pytest.raises(BadInputError, match="holds nothing"):
        jobs("memory://nowhere")
    with pytest.raises(BadInputError, match="cannot be reached"):
        jobs("nosuchscheme://x")
    files.rm("/shop", recursive=True)


def test_lists_name_places_and_each_source_comes_once(tmp_path: Path) -> None:
    paths = transcripts(tmp_path / "in", 3)
    listing = tmp_path / "list.txt"
    listing.write_text(f"{paths[0]}\n\n{tmp_path / 'in'}\n", "utf-8")
    assert [job.source for job in jobs(listing)] == [str(path) for path in paths]
    for wrong in (tmp_path / "none.txt", tmp_path / "none"):
        with pytest.raises(BadInputError):
            jobs(wrong)


def test_needs_are_names_and_amounts() -> None:
    assert needs_of(["GPU=1", "memory=2e9", "fast"]) == {"GPU": 1.0, "memory": 2e9, "fast": 1.0}
    with pytest.raises(BadInputError):
        needs_of(["GPU=lots"])


def test_a_recording_keeps_the_sound_that_reviewers_hear(
    record: Store, wav: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    class ByHand:
        """Stands for the speech model."""

        def transcribe(self, sound: object, progress: object = None) -> Transcript:
            recording = sound.recording  # type: ignore[attr-defined]
            return Transcript(recording=recording, text=TALK, model="x")

    monkeypatch.setattr(backlog_work, "_transcriber", lambda _: ByHand())
    path = wav(np.linspace(-0.5, 0.5, 48_000))
    assert counts(drive(jobs(path), threads(), record, 2, quiet)) == (1, 0, 0, 0)
    (row,) = record.walkrounds()
    assert record.sound(row.id) == sound_file(record.path, row.id)
    noise = np.random.default_rng(1).uniform(-0.5, 0.5, 80_000)
    cut = write_playback(capture(wav(noise)), path.with_name("cut.flac"))
    cut.write_bytes(cut.read_bytes()[: cut.stat().st_size // 2])
    assert counts(drive(jobs(cut), threads(), record, 2, quiet)) == (0, 0, 0, 1)
    assert "cut off" in record.set_aside()[0].reason


def test_the_command_reports_what_became_of_each(run: Run, tmp_path: Path) -> None:
    paths = transcripts(tmp_path / "in", 4)
    paths[3].write_text("nonsense", "utf-8")
    store = tmp_path / "record.sqlite"
    ran = run("backlog", tmp_path / "in", "--store", store, "--jurisdiction", "GB", "--processes", 2)
    assert ran.status == 2
    assert ran.out.startswith(
        "3 taken in, 0 were in already, 0 passed over, 1 set aside; 0.05 hours of sound in"
    )
    assert f"{paths[3]}: set aside after three tries: is not JSON" in ran.err
    (row,) = json.loads(run("backlog", "--aside", "--store", store, "--json").out)
    assert (row["source"], row["tries"]) == (str(paths[3]), 3)
    assert str(paths[3]) in run("backlog", "--aside", "--store", store).out
    paths[3].write_bytes(paths[0].read_bytes())
    ran = run("backlog", paths[3], "--retry", "--store", store, "--processes", 1, "--json")
    assert json.loads(ran.out)["known"] == 1
    assert run("backlog", "--store", store).status == 2


def test_without_a_scheduler_it_is_told(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import distributed

    def silent(*_: object, **__: object) -> None:
        raise OSError("timed out")

    monkeypatch.setattr(distributed, "Client", silent)
    transcripts(tmp_path / "in", 1)
    monkeypatch.delenv("WITNESSMARK_TRACEBACK", raising=False)
    ran = run("backlog", tmp_path / "in", "--cluster", "tcp://127.0.0.1:1", "--store", tmp_path / "r.sqlite")
    assert ran.status == 1
    assert "no scheduler answers" in ran.err
    assert issubclass(StoreError, WitnessmarkError)


# A cluster whose workers are killed


def dask(*arguments: object) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "dask", *map(str, arguments)]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


@pytest.mark.full
def test_workers_killed_at_random_lose_no_recording(record: Store, tmp_path: Path) -> None:
    from witnessmark.cli.backlog_pool import cluster

    address = tmp_path / "scheduler.json"
    transcripts(tmp_path / "in", 120)
    worker = ("worker", "--scheduler-file", address, "--nthreads", 1, "--no-nanny", "--no-dashboard")
    running = [dask("scheduler", "--scheduler-file", address, "--port", 0, "--no-dashboard")]
    try:
        while not address.exists():
            time.sleep(0.1)
        where = json.loads(address.read_text("utf-8"))["address"]
        running += [dask(*worker), dask(*worker)]
        killed = 0

        def told(now: Tally) -> None:
            nonlocal killed
            if now.done in (10, 40, 80):
                running[-1].send_signal(signal.SIGKILL)
                running.append(dask(*worker))
                killed += 1

        with cluster(where, {}) as pool:
            tally = drive(jobs(tmp_path / "in"), pool, record, 6, told)
        assert killed == 3
        assert counts(tally) == (120, 0, 0, 0)
        assert len(record.walkrounds()) == 120
        assert record.check() == []
    finally:
        for process in running:
            process.kill()
            process.wait()
