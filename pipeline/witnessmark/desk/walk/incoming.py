"""Takes recordings in piece by piece; each step is in the journal only once its bytes are safe."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.desk.access.people import Person
from witnessmark.desk.own import Own
from witnessmark.desk.problems import Refused
from witnessmark.desk.settings import Settings
from witnessmark.desk.walk import clock, journal
from witnessmark.desk.walk.bodies import Arrived, too_large
from witnessmark.desk.walk.forms import Start, State
from witnessmark.desk.walk.journal import Chunk, Row
from witnessmark.desk.walk.known import first_parts, over, same_chunk, same_walk, theirs, there
from witnessmark.desk.walk.media import kind_of
from witnessmark.desk.walk.parts import Parts, disk_full, put
from witnessmark.errors import StoreError

if TYPE_CHECKING:
    from sqlite_utils import Database

MOST_COMING = 20
"""Recordings of one person that have begun and not ended."""
WHOLE_CAME = "All of it has come since, as a walk of its own."


class Expected(NamedTuple):
    """What may come under a chunk's number."""

    known: Chunk | None
    """The chunk that is here already."""
    room: int
    """Bytes until the recording is too large."""


class Incoming:
    """Recordings on their way in.

    Args:
        own: the desk's own file.
        settings: limits, and where files lie.
    """

    def __init__(self, own: Own, settings: Settings) -> None:
        self._own, self._settings = own, settings
        self.parts = Parts(settings.uploads)

    def row(self, walk: str, person: Person) -> Row:
        """The recording, where it is theirs to see.

        Raises:
            Refused: 404.
        """
        with self._own.reading() as db:
            return theirs(journal.row(db, walk), person)

    def begin(self, walk: str, person: Person, start: Start) -> tuple[Row, bool]:
        """A recording that begins, and whether it is new; the same again changes nothing.

        Raises:
            Refused: 415 a kind that cannot be read, 409 begun otherwise before, 429 too many at once.
        """
        kind_of(start.media_type, start.name)
        start = start.model_copy(update={"jurisdiction": self._country(start)})
        day, notes = clock.day_of(start, datetime.now().astimezone())
        notes += _of_country(start.jurisdiction)
        with self.writing() as db:
            if known := journal.row(db, walk):
                return same_walk(theirs(known, person), start), False
            notes += _of_its_beginning(db, start, person)
            if journal.count_coming(db, person.id) >= MOST_COMING:
                raise Refused(
                    429, "too many recordings have begun and not ended.", "End or drop some of them first."
                )
            journal.begin(db, walk, person, start, day, notes)
            return there(journal.row(db, walk)), True

    def _country(self, start: Start) -> str | None:
        given = start.jurisdiction.upper() if start.jurisdiction else None
        return given or self._settings.jurisdiction

    def expect(self, walk: str, person: Person, number: int) -> Expected:
        """What may come under a number.

        Raises:
            Refused: 404, or 410 when the recording has ended without it.
        """
        with self._own.reading() as db:
            row = theirs(journal.row(db, walk), person)
            known = journal.chunk(db, walk, number)
            if row.state is not State.COMING and known is None:
                raise over(row)
            return Expected(known, self._settings.largest_upload - journal.size(db, walk))

    def keep(self, walk: str, number: int, arrived: Arrived) -> bool:
        """Keep a chunk whose bytes are on the disk; False when the same is here already.

        Raises:
            Refused: 409 other bytes are here under this number, 410 the recording has ended, 413 it is too
                large, 507 the disk is full; nothing is kept then.
        """
        assert arrived.path is not None
        with self._or_nothing(walk, number), self.writing() as db:
            row = there(journal.row(db, walk))
            if known := journal.chunk(db, walk, number):
                return same_chunk(known, arrived.sha256)
            if row.state is not State.COMING:
                raise over(row)
            if journal.size(db, walk) + arrived.size > self._settings.largest_upload:
                raise too_large(self._settings.largest_upload)
            # Before the journal says so, and while nobody else may write there.
            put(arrived.path, self.parts.chunk(walk, number))
            journal.add_chunk(db, walk, Chunk(number, arrived.size, arrived.sha256))
        return True

    @contextmanager
    def _or_nothing(self, walk: str, number: int) -> Iterator[None]:
        """On an error, such as a disk that is full at the last moment, no bytes stay that nobody knows of."""
        try:
            yield
        except BaseException:
            with suppress(StoreError), self._own.writing() as db:
                if journal.chunk(db, walk, number) is None:
                    self.parts.chunk(walk, number).unlink(missing_ok=True)
            raise

    def again(self, walk: str, person: Person, damaged: bool) -> Row:
        """Queue a recording that could not be read once more.

        Raises:
            Refused: 404, or 409 when there is nothing to try again.
        """
        with self.writing() as db:
            row = theirs(journal.row(db, walk), person)
            if row.state not in (State.FAILED, State.WAITING):
                raise Refused(409, f"there is nothing to try again: it is {row.state}.", None)
            fresh = {"what": None, "remedy": None, "not_before": 0.0, "tries": 0, "ends": 0, "progress": 0.0}
            journal.change(db, walk, state=State.WAITING, damaged=int(damaged or row.damaged), **fresh)
            return there(journal.row(db, walk))

    def drop(self, walk: str, person: Person) -> Row:
        """Throw a recording away that is not in the record yet.

        Raises:
            Refused: 404, or 409 when it is in the record or being read.
        """
        self.row(walk, person)
        with self.alone(walk, wait=0), self.writing() as db:
            row = there(journal.row(db, walk))
            if row.state is State.READ:
                raise Refused(409, "it is in the record already.", "Reject in review what should not stand.")
            journal.change(db, walk, state=State.DROPPED, settled_at=journal.now())
            journal.forget_chunks(db, walk)
        self.parts.remove(walk)
        return self.row(walk, person)

    def mend(self, row: Row) -> None:
        """Bring the journal in step with the files of a recording that is still coming.

        A chunk whose bytes are gone or cut short is asked for again; bytes that the journal does not know
        of were never acknowledged.
        """
        with self.writing() as db:
            sizes = {piece.number: piece.size for piece in journal.chunks(db, row.id)}
            found = {int(path.stem): path for path in self.parts.chunks(row.id)}
            for number in sizes.keys() | found.keys():
                path = found.get(number)
                if path is None or path.stat().st_size != sizes.get(number):
                    journal.forget_chunk(db, row.id, number)
                    self.parts.chunk(row.id, number).unlink(missing_ok=True)

    @contextmanager
    def alone(self, walk: str, wait: float) -> Iterator[None]:
        """While nobody else joins, reads or drops the recording.

        Raises:
            Refused: 409, somebody does so for longer than ``wait`` seconds.
        """
        from filelock import Timeout

        lock = self.parts.lock(walk)
        try:
            lock.acquire(timeout=wait)
        except Timeout as error:
            raise Refused(409, "it is being read or ended just now.", "Try again in a while.") from error
        try:
            yield
        finally:
            lock.release()

    @contextmanager
    def writing(self) -> Iterator[Database]:
        """A transaction of the journal.

        Raises:
            Refused: 507, the disk is full.
        """
        try:
            with self._own.writing() as db:
                yield db
        except StoreError as error:
            code = getattr(error.__cause__, "sqlite_errorcode", 0) & 0xFF
            if code != sqlite3.SQLITE_FULL:
                raise
            raise disk_full() from error


def _of_its_beginning(db: Database, start: Start, person: Person) -> list[str]:
    """What the reviewers of both should know where this brings whole what ended early before."""
    before = journal.row(db, str(start.whole_of)) if start.whole_of else None
    if before is None or before.person != person.id or before.state in (State.COMING, State.DROPPED):
        return []
    journal.change(db, before.id, notes=json.dumps([*before.notes, WHOLE_CAME]))
    read = f", which became {before.walkround}" if before.walkround else ""
    return [
        f"Its beginning, {first_parts(before.chunks or 0)}, came before as a walk of its own{read}. "
        "What stands in both is one and the same: reject it in one of them."
    ]


def _of_country(jurisdiction: str | None) -> list[str]:
    """What a person should know where no limits of law will apply."""
    from witnessmark.knowledge.limits import rules

    if jurisdiction is None:
        return ["No country was given: nothing passes or fails by law."]
    return [] if rules(jurisdiction).chain else [f"No limits are known for {jurisdiction}."]
