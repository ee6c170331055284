"""Reads the recordings that wait, oldest first, into the record: one thread in each running desk."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING

from witnessmark import intake
from witnessmark.desk.walk import journal, photos
from witnessmark.desk.walk.forms import State
from witnessmark.desk.walk.journal import Row
from witnessmark.desk.walk.known import there
from witnessmark.desk.walk.parts import LEFT_OVER
from witnessmark.desk.walk.turns import Queued, Turns
from witnessmark.errors import BadInputError, WitnessmarkError

if TYPE_CHECKING:
    from witnessmark.desk.walk.incoming import Incoming
    from witnessmark.desk.web import Desk
    from witnessmark.transcribe import Transcriber

_log = logging.getLogger(__name__)

LOOK = 5.0
"""Seconds after which the queue is looked at even if nobody called, as another desk may have filled it."""
FIRST_PAUSE, LONGEST_PAUSE = 5.0, 900.0
"""Seconds before a reading is tried again that failed for want of something; doubled each time."""
MOST_ENDS = 5
"""Readings in which the whole desk ended, before a recording is no longer tried."""
LONGEST = 4 * 3600.0
"""Seconds of a recording. What is longer is no walk, and would fill the memory of a small computer."""
PATIENCE = 2.0
"""Seconds that stopping waits for the thread."""
_TELL = 1.0
"""Seconds between two notes of how far the reading is."""
_ENDED = (
    "each time it was read, the whole desk ended.",
    "Play it and look what is special about it; then try again.",
)


class _StoppedError(Exception):
    """The desk is going down."""


class Worker:
    """Takes recordings into the record.

    Args:
        desk: whose record it is.
        incoming: whose recordings.
        transcriber: the speech model; loaded at the first recording.
        turns: of that model.
    """

    def __init__(self, desk: Desk, incoming: Incoming, transcriber: Transcriber, turns: Turns) -> None:
        self._desk, self._incoming = desk, incoming
        self._transcriber, self._turns = transcriber, turns
        self._stop, self._call = Event(), Event()
        self._thread: Thread | None = None
        self._walk: str | None = None
        """Being read."""
        self._swept = time.monotonic()

    def start(self) -> None:
        """Begin to read."""
        self._stop.clear()
        self._thread = Thread(target=self._run, name="reading", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Break off; what was being read waits for the next start."""
        self._stop.set()
        self._call.set()
        if self._thread:
            self._thread.join(PATIENCE)
        if (
            walk := self._walk
        ):  # the speech model does not let go so soon; the lock is ours until the very end
            with suppress(WitnessmarkError), self._incoming.writing() as db:
                row = journal.row(db, walk)
                if row and row.state is State.READING:
                    journal.change(db, walk, state=State.WAITING, progress=0.0)

    def wake(self) -> None:
        """Say that there is something to read."""
        self._call.set()

    def _run(self) -> None:
        while not self._stop.is_set():
            self._call.clear()
            try:
                found = self.read_one()
            except Exception:
                _log.exception("the queue of recordings could not be looked at")
                found = False
            if not found:
                self._sweep()
                self._call.wait(LOOK)

    def _sweep(self) -> None:
        """Now and then: a desk that was killed just before this one began left files that were too young."""
        if time.monotonic() > self._swept + LEFT_OVER:
            self._swept = time.monotonic()
            self._incoming.parts.sweep()

    def read_one(self) -> bool:
        """Read the first recording that waits and that no other desk reads; False where there is none."""
        from filelock import Timeout

        with self._desk.own.reading() as db:
            waiting = journal.readable(db, time.time())
        for row in waiting:
            lock = self._incoming.parts.lock(row.id)
            try:
                lock.acquire(timeout=0)
            except Timeout:
                continue
            try:
                if self._claim(row.id):
                    self._read(row)
                    return True
            finally:
                lock.release()
        return False

    def _claim(self, walk: str) -> bool:
        """Whether it still waits; one that is being read while its lock is free was left by a dead desk."""
        with self._incoming.writing() as db:
            row = journal.row(db, walk)
            if row is None or row.state not in (State.WAITING, State.READING):
                return False
            ends = row.ends + (row.state is State.READING)
            if ends >= MOST_ENDS:
                journal.change(db, walk, state=State.FAILED, what=_ENDED[0], remedy=_ENDED[1])
                return False
            journal.change(db, walk, state=State.READING, ends=ends, progress=0.0)
            return True

    def _read(self, row: Row) -> None:
        self._walk = row.id
        try:
            self._take_in(row)
        except _StoppedError:
            self._set(row.id, state=State.WAITING, progress=0.0)
        except intake.DamagedError as error:
            remedy = "Record it again, or have it read as far as it goes."
            self._failed(row.id, _told(error, self._incoming.parts.of(row.id)), remedy)
        except BadInputError as error:
            self._failed(row.id, _told(error, self._incoming.parts.of(row.id)), error.remedy)
        except (WitnessmarkError, OSError) as error:
            self._later(row, error)
        except Exception:
            _log.exception("%s could not be read", row.id)
            what = "it could not be read because of a fault in this program; the desk's log says more."
            self._failed(row.id, what, "The recording is kept. Try again after the next version.")
        finally:
            self._walk = None

    def _take_in(self, row: Row) -> None:
        whole = self._incoming.parts.whole(row.id)
        if whole is None:
            raise BadInputError("its bytes are no longer on the disk.", None, "Send it again.")
        turn = Queued(self._turns, self._look_up)
        told: list[str] = []
        try:
            with self._desk.record() as record:
                taken = intake.take_in(
                    whole,
                    record,
                    self._transcriber,
                    row.day,
                    row.jurisdiction,
                    damaged=row.damaged,
                    longest=LONGEST,
                    speaker=row.who,
                    stage=lambda stage, _: turn.take() if stage == "capture" else None,
                    progress=self._progress(row.id, turn),
                    note=lambda text: told.append(text.replace(f"{whole.parent}/", "")),
                )
                if taken.walkround.on != row.day:
                    told.append(f"The record had this recording already, of {taken.walkround.on}.")
                while not self._settle(row, taken.walkround.id, told):
                    photos.hand_over(self._incoming, record, row, taken.walkround.id)
        finally:
            turn.leave()

    def _progress(self, walk: str, turn: Queued) -> Callable[[float, float], None]:
        told = time.monotonic()

        def progress(done: float, total: float) -> None:
            nonlocal told
            self._look_up()
            turn.give_way()
            if time.monotonic() - told > _TELL:
                told = time.monotonic()
                with suppress(WitnessmarkError):
                    self._set(walk, progress=min(1.0, done / total) if total else 0.0)

        return progress

    def _look_up(self) -> None:
        if self._stop.is_set():
            raise _StoppedError

    def _settle(self, row: Row, walkround: str, told: list[str]) -> bool:
        """It is in the record, which has its sound; False while a photograph is still to be handed over."""
        with self._incoming.writing() as db:
            if any(not photo.handed_over for photo in journal.photos(db, row.id)):
                return False
            noted = there(journal.row(db, row.id)).notes  # more may have come meanwhile
            journal.settle(db, row.id, walkround, [*noted, *told])
        self._incoming.parts.remove(row.id)
        return True

    def _later(self, row: Row, error: WitnessmarkError | OSError) -> None:
        """Nothing is wrong with the recording; it is tried again after a while, and longer each time."""
        _log.warning("%s waits: %s", row.id, error)
        tries = row.tries + 1
        pause = min(FIRST_PAUSE * 2 ** min(row.tries, 20), LONGEST_PAUSE)
        what = error.what if isinstance(error, WitnessmarkError) else f"the disk: {error.strerror}"
        remedy = "It is tried again by itself."
        if isinstance(error, WitnessmarkError) and error.remedy:
            remedy = f"{error.remedy} {remedy}"
        self._set(
            row.id, state=State.WAITING, tries=tries, not_before=time.time() + pause, what=what, remedy=remedy
        )

    def _failed(self, walk: str, what: str, remedy: str | None) -> None:
        self._set(walk, state=State.FAILED, what=what, remedy=remedy)

    def _set(self, walk: str, **columns: object) -> None:
        with self._incoming.writing() as db:
            journal.change(db, walk, **columns)


def _told(error: BadInputError, folder: Path) -> str:
    """What is wrong as a sentence about the recording, without folders of this computer."""
    what = error.what.replace(f"{folder / 'whole'}/", "")
    return f"it {what}" if what.startswith("is ") else what
