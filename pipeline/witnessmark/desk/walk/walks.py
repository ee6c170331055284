"""Everything that happens to recordings in one running desk, put together."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from fastapi import Request

from witnessmark.desk.access.people import May, Person
from witnessmark.desk.walk import journal
from witnessmark.desk.walk.ending import Ending
from witnessmark.desk.walk.forms import State, Walk
from witnessmark.desk.walk.incoming import Incoming
from witnessmark.desk.walk.journal import Row
from witnessmark.desk.walk.listening import Listening
from witnessmark.desk.walk.turns import Turns
from witnessmark.desk.walk.worker import Worker

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.desk.web import Desk
    from witnessmark.transcribe import Transcriber

_log = logging.getLogger(__name__)

STILL_SHOWN = timedelta(days=1)
"""After it was read, a recording stays so long in the list of those under way."""


class Walks:
    """Takes recordings in, listens to them and reads them.

    Args:
        desk: whose record they go to.
        transcriber: the speech model; that of the settings when None.
    """

    def __init__(self, desk: Desk, transcriber: Transcriber | None = None) -> None:
        from witnessmark.transcribe import Transcriber

        settings, turns = desk.settings, Turns()
        heard_by = transcriber or Transcriber(settings.model)
        self._desk = desk
        self.incoming = Incoming(desk.own, settings)
        self.ending = Ending(desk.own, self.incoming)
        self.listening = Listening(
            self.incoming.parts, heard_by, turns, settings.live_walks if settings.live else 0
        )
        self.worker = Worker(desk, self.incoming, heard_by, turns)

    @contextmanager
    def running(self) -> Iterator[None]:
        """Read what waits for as long as the desk runs."""
        self.mend()
        self.worker.start()
        try:
            yield
        finally:
            self.listening.stop(1.0)
            self.worker.stop()

    def mend(self) -> None:
        """Bring files and journal in step after the desk was killed."""
        parts = self.incoming.parts
        with self._desk.own.reading() as db:
            coming = journal.of_state(db, State.COMING)
            settled = [row.id for row in journal.of_state(db, State.DROPPED, State.READ)]
        for row in coming:
            self.incoming.mend(row)
        for walk in settled:
            if parts.of(walk).exists():
                parts.remove(walk)
        parts.sweep()

    def shown(self, row: Row) -> Walk:
        """A recording as the API tells of it."""
        with self._desk.own.reading() as db:
            return self._shown(db, row)

    def under_way(self, person: Person) -> list[Walk]:
        """Recordings on their way in, newest first; who reviews sees everybody's."""
        since = (datetime.now(UTC) - STILL_SHOWN).isoformat(timespec="milliseconds")
        with self._desk.own.reading() as db:
            whose = None if person.may(May.REVIEW) else person.id
            return [self._shown(db, row) for row in journal.under_way(db, whose, since)]

    def _shown(self, db: Database, row: Row) -> Walk:
        coming = row.state is State.COMING
        in_row, missing = journal.standing(db, row.id) if coming else (row.chunks or 0, ())
        return Walk(
            id=row.id,
            state=row.state,
            name=row.name,
            who=row.who,
            machine=row.machine,
            jurisdiction=row.jurisdiction,
            on=row.day,
            started_at=row.started_at,
            came_at=row.came_at,
            notes=row.notes,
            chunks=in_row,
            missing=missing,
            bytes=journal.size(db, row.id) if row.bytes is None else row.bytes,
            last_at=self.incoming.parts.last_at(row.id) if coming and (in_row or missing) else None,
            progress=row.progress,
            walkround=row.walkround,
            problem=row.problem,
            photos=tuple(one.sha256 for one in journal.photos(db, row.id) if not one.handed_over),
            understood=self.listening.understood(row.id),
        )

    def came(self, walk: str) -> None:
        """A chunk has come: listen to it, if it is the next."""
        if not self._desk.settings.live:
            return
        with self._desk.own.reading() as db:
            row, (in_row, _) = journal.row(db, walk), journal.standing(db, walk)
        if row and row.state is State.COMING:
            self.listening.came(row, in_row)


def walks_of(request: Request) -> Walks:
    """The recordings of the desk that a request is put to; for ``Depends``."""
    walks: Walks = request.app.state.walks
    return walks
