"""Killed at any moment, the record is whole, nothing acknowledged is lost, and the work goes on."""

from __future__ import annotations

import os
import random
import shutil
import signal
import time
import wave
from collections import Counter
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from threading import Thread
from typing import NoReturn

import numpy as np
import pytest

from witnessmark.errors import StoreError
from witnessmark.intake import sound_file, take_in
from witnessmark.record import Keeping, Store
from witnessmark.review import apply, queue
from witnessmark.types import Decision, DecisionKind, Sound, Transcript

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system with fork")

TALK = "Registration Q24 LOT. Front tyre tread is 0.8 millimetres. The horn works, says Ada Lamb."


class ByHand:
    """Stands for the speech model: the talk is known; every time it is asked is told."""

    model = "by hand"

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell

    def transcribe(self, sound: Sound, progress: object = None) -> Transcript:
        """The talk."""
        self._tell(f"heard {sound.recording.name}")
        return Transcript(recording=sound.recording, text=TALK, model=self.model)


def recordings(folder: Path, count: int) -> list[Path]:
    """Short sounds, no two alike."""
    paths = [folder / f"{number:03}.wav" for number in range(count)]
    for number, path in enumerate(paths):
        with wave.open(str(path), "wb") as file:
            file.setparams((1, 2, 16_000, 0, "NONE", ""))
            file.writeframes(np.full(1600, number + 1, "<i2").tobytes())
    return paths


def work(record: Path, files: list[Path], log: Path) -> None:
    """Take everything in, decide on everything, copy: what is done already is left, and all is told."""
    with log.open("a", buffering=1) as told, Store.open(record) as store:

        def tell(line: str) -> None:
            told.write(f"{line}\n")

        for file in files:
            taken = take_in(file, store, ByHand(tell), date(2026, 5, 21), "GB")  # type: ignore[arg-type]
            tell(f"in {taken.walkround.id}")
            for item in queue(taken.walkround):
                now = store.walkround(taken.walkround.id)
                made = Decision(
                    walkround=now.id, item=item, kind=DecisionKind.CONFIRM, who="Ada", when=datetime.now(UTC)
                )
                store.decide(made, apply(now, [made]))
                tell(f"decided {now.id} {item}")
            if Keeping(store, "Ben").redact(taken.walkround.id, "Ada Lamb"):
                tell(f"redacted {taken.walkround.id}")
            store.backup(record.with_name("copy.sqlite"))
            tell("copied")


def child(do: Callable[[], None]) -> int:
    """Do it in a process of its own, which starts with everything imported."""
    pid = os.fork()
    return pid if pid else _end(do)


def _end(do: Callable[[], None]) -> NoReturn:
    try:
        do()
    except BaseException:
        import traceback

        traceback.print_exc()
        os._exit(1)
    os._exit(0)


def told(log: Path) -> list[str]:
    """Whole lines only: the last may be cut off."""
    text = log.read_text("utf-8") if log.exists() else ""
    return text[: text.rfind("\n") + 1].splitlines()


def look_over(record: Path, log: Path) -> None:
    """The record is sound, and holds everything that was told."""
    with Store.open(record) as store:
        assert store.check() == []
        ids = [row.id for row in store.walkrounds()]
        assert len(ids) == len(set(ids))
        lines = [line.split() for line in told(log)]
        assert {line[1] for line in lines if line[0] == "in"} <= set(ids)
        decided = {(id, made.item) for id in ids for made in store.walkround(id).decisions}
        assert {(line[1], line[2]) for line in lines if line[0] == "decided"} <= decided
        for line in lines:
            if line[0] == "redacted":
                assert "Lamb" not in store.walkround(line[1]).transcript.text
    copy = record.with_name("copy.sqlite")
    if copy.exists():
        with Store.open(copy) as store:
            assert store.check() == []


@pytest.mark.parametrize("kills", [20, pytest.param(300, marks=pytest.mark.full)])
def test_killed_at_any_moment_it_resumes(path: Path, tmp_path: Path, kills: int) -> None:
    chance = random.Random(kills)
    sounds = tmp_path / "sounds"
    sounds.mkdir()
    files = recordings(sounds, kills)
    log = tmp_path / "log"
    work(tmp_path / "warm.sqlite", files[:1], tmp_path / "warm")  # so that each child starts at once
    struck = 0
    for _ in range(20 * kills):
        pid = child(lambda: work(path, files, log))
        time.sleep(chance.uniform(0, 0.25))
        os.kill(pid, signal.SIGKILL)
        struck += os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == -signal.SIGKILL
        if path.exists():
            look_over(path, log)
        if struck == kills:
            break
    assert struck == kills
    last = child(lambda: work(path, files, log))
    assert os.waitstatus_to_exitcode(os.waitpid(last, 0)[1]) == 0
    look_over(path, log)
    with Store.open(path) as store:
        assert len(store.walkrounds()) == len(files)
        assert all(row.waiting == 0 for row in store.walkrounds())
        assert all(store.sound(row.id).exists() for row in store.walkrounds())
        assert store.search("Lamb") == []
    # What was heard before a kill is not heard again, except where the kill came before it could be kept.
    heard = Counter(line for line in told(log) if line.startswith("heard"))
    assert sum(heard.values()) - len(files) <= struck


def test_two_processes_take_the_same_recordings_in_once(path: Path, tmp_path: Path) -> None:
    files = recordings(tmp_path, 6)
    work(tmp_path / "warm.sqlite", files[:1], tmp_path / "warm")

    def intake(order: list[Path]) -> None:
        with Store.open(path) as store:
            for file in order:
                take_in(file, store, ByHand(lambda _: None), None, "GB")  # type: ignore[arg-type]

    both = [child(lambda: intake(files)), child(lambda: intake(files[::-1]))]
    assert [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in both] == [0, 0]
    with Store.open(path) as store:
        assert store.check() == []
        assert len(store.walkrounds()) == 6
        assert all(store.sound(row.id).exists() for row in store.walkrounds())


def test_an_intake_stopped_after_hearing_does_not_hear_again(path: Path, tmp_path: Path) -> None:
    (file,) = recordings(tmp_path, 1)
    heard: list[str] = []

    class StoppedError(Exception):
        """Raised where the program was stopped."""

    def stop(stage: str, _: object) -> None:
        if stage == "extract":
            raise StoppedError

    with Store.open(path) as store:
        with pytest.raises(StoppedError):
            take_in(file, store, ByHand(heard.append), None, "GB", stage=stop)  # type: ignore[arg-type]
        assert store.walkrounds() == []
        taken = take_in(file, store, ByHand(heard.append), None, "GB")  # type: ignore[arg-type]
        assert taken.new
        assert heard == ["heard 000.wav"]
        assert store.step(taken.walkround.transcript.recording.sha256, "transcribe by hand") is None
        assert store.sound(taken.walkround.id) == sound_file(path, taken.walkround.id)


def test_removed_sound_does_not_come_back_with_the_recording(path: Path, tmp_path: Path) -> None:
    (file,) = recordings(tmp_path, 1)
    with Store.open(path) as store:
        id = take_in(file, store, ByHand(lambda _: None), None, "GB").walkround.id  # type: ignore[arg-type]
        sound_file(path, id).unlink()  # lost: it comes back
        take_in(file, store, ByHand(lambda _: None), None, "GB")  # type: ignore[arg-type]
        assert store.sound(id).exists()
        Keeping(store, "Ben").remove_sound(id)  # taken away: it does not
        take_in(file, store, ByHand(lambda _: None), None, "GB")  # type: ignore[arg-type]
        assert not sound_file(path, id).exists()


def powerless(path: Path, folder: Path, log: bytes) -> Store:
    """The record as a disk might have it after a power cut: the main file, and so much of the log."""
    copy = folder / "after.sqlite"
    for old in folder.glob("after.sqlite*"):
        old.unlink()
    copy.write_bytes(path.read_bytes())
    copy.with_name("after.sqlite-wal").write_bytes(log)
    return Store.open(copy)


def test_a_power_cut_leaves_a_record_up_to_some_decision(path: Path, tmp_path: Path) -> None:
    """What SQLite had not synced may be missing or torn; what is there is whole (sqlite.org/wal.html)."""
    chance = random.Random(7)
    with Store.open(path) as store:
        store._db.execute("PRAGMA wal_autocheckpoint = 0").fetchone()
        (file,) = recordings(tmp_path, 1)
        taken = take_in(file, store, ByHand(lambda _: None), None, "GB").walkround  # type: ignore[arg-type]
        for kind in (DecisionKind.CONFIRM, DecisionKind.POSTPONE) * 3:
            for item in queue(taken):
                now = store.walkround(taken.id)
                made = Decision(walkround=taken.id, item=item, kind=kind, who="Ada", when=datetime.now(UTC))
                store.decide(made, apply(now, [made]))
        trail = store.walkround(taken.id).decisions
        log = path.with_name("record.sqlite-wal").read_bytes()
        shutil.copytree(path.with_suffix(".sound"), tmp_path / "disk" / "after.sound")
        lengths: set[int] = set()
        for _ in range(40):
            torn = bytearray(log[: chance.randrange(len(log))])
            if torn and chance.random() < 0.5:  # a sector that was never written
                at = chance.randrange(len(torn))
                torn[at : at + 512] = bytes(len(torn[at : at + 512]))
            with powerless(path, tmp_path / "disk", bytes(torn)) as after:
                assert after.check() == []
                left = after.walkround(taken.id).decisions if after.has(taken.id) else ()
                assert left == trail[: len(left)]
                lengths.add(len(left))
        assert len(lengths) > 5


def test_a_power_cut_while_the_log_is_written_back_loses_nothing(path: Path, tmp_path: Path) -> None:
    """Pages come into the main file in any order, sectors of 512 bytes even (sqlite.org/atomiccommit.html).

    The log is only written over once every page is on the disk, so it is there to mend all of them.
    """
    chance = random.Random(11)
    files = recordings(tmp_path, 3)
    Store.open(path).close()
    with Store.open(path) as store:
        store._db.execute("PRAGMA wal_autocheckpoint = 0").fetchall()
        before = path.read_bytes()
        for file in files:
            take_in(file, store, ByHand(lambda _: None), date(2026, 5, 21), "GB")  # type: ignore[arg-type]
        rows = store.walkrounds()
        log = path.with_name("record.sqlite-wal").read_bytes()
        store._db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    after = path.read_bytes()
    assert len(after) > len(before)
    shutil.copytree(path.with_suffix(".sound"), tmp_path / "disk" / "after.sound")
    half = tmp_path / "half.sqlite"
    for _ in range(40):
        torn = bytearray(before.ljust(len(after), b"\0"))
        for at in range(0, len(after), 512):
            if chance.random() < 0.5:
                torn[at : at + 512] = after[at : at + 512]
        half.write_bytes(bytes(torn[: chance.choice((len(after), max(len(before), 4096)))]))
        with powerless(half, tmp_path / "disk", log) as mended:
            assert mended.check() == []
            assert mended.walkrounds() == rows


def test_a_slow_disk_is_waited_for(path: Path) -> None:
    with Store.open(path) as store, Store.open(path) as slow:
        slow._db.execute("BEGIN IMMEDIATE")

        def write() -> None:
            with Store.open(path) as other:
                other.tried("a", "slow")

        other = Thread(target=write)
        other.start()
        time.sleep(1)
        assert other.is_alive()
        slow._db.rollback()
        other.join()
        assert [one.source for one in store.set_aside()] == ["a"]


def test_a_disk_that_cannot_be_written_is_told(path: Path, tmp_path: Path) -> None:
    Store.open(path).close()
    for folder in tmp_path.parents:
        if folder.name.startswith(("pytest-", "popen-")):  # those that pytest made
            folder.chmod(0o755)  # for the other user
    path.chmod(0o444)
    tmp_path.chmod(0o555)

    def look() -> None:
        if os.getuid() == 0:
            os.setuid(65534)  # whoever may do everything has no disk that cannot be written
        with pytest.raises(StoreError, match="cannot be opened for writing"):
            Store.open(path)

    pid = child(look)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0
    tmp_path.chmod(0o755)
