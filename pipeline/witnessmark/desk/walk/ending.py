"""Ends recordings that come in piece by piece: their chunks are joined and queued for reading."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.desk.access.people import Person
from witnessmark.desk.problems import Refused
from witnessmark.desk.walk import journal
from witnessmark.desk.walk.forms import Finish, State
from witnessmark.desk.walk.journal import Row
from witnessmark.desk.walk.known import first_parts, over, there
from witnessmark.desk.walk.media import file_name, kind_of
from witnessmark.desk.walk.parts import put
from witnessmark.errors import StoreError

if TYPE_CHECKING:
    from witnessmark.desk.own import Own
    from witnessmark.desk.walk.incoming import Incoming

JOINING = 120.0
"""Seconds that somebody waits for another who ends the same recording."""


class Ending:
    """Ends recordings.

    Args:
        own: the desk's own file.
        incoming: where they come in.
    """

    def __init__(self, own: Own, incoming: Incoming) -> None:
        self._own, self._incoming, self._parts = own, incoming, incoming.parts

    def end(self, walk: str, person: Person, finish: Finish) -> Row:
        """Join the chunks and queue the recording; the same again changes nothing.

        Raises:
            Refused: 404, 409 chunks are missing or more than said, 410 it was dropped, 422 the whole has
                another hash, 507 the disk is full; all chunks stay then.
        """
        row = self._once(walk, person, lambda row: self._end_whole(row, finish))
        if row.chunks != finish.chunks:
            raise Refused(409, f"it has ended with {row.chunks} chunks.", "Ask how it stands.")
        return row

    def end_early(self, walk: str, person: Person) -> Row:
        """Join and queue what is here without a gap, where the recorder does not come back.

        What is missing stands in the notes for the reviewer. Again, it changes nothing.

        Raises:
            Refused: 404, 409 its beginning is not here, 410 it was dropped, 507 the disk is full.
        """
        return self._once(walk, person, lambda row: self._end_with_what_came(row, person))

    def _once(self, walk: str, person: Person, end: Callable[[Row], None]) -> Row:
        """End a recording that is still coming, alone; the recording as it then stands."""
        if self._incoming.row(walk, person).state is State.COMING:
            with self._incoming.alone(walk, JOINING):
                row = self._incoming.row(walk, person)
                if row.state is State.COMING:
                    end(row)
        row = self._incoming.row(walk, person)
        if row.state is State.DROPPED:
            raise over(row)
        return row

    def _end_whole(self, row: Row, finish: Finish) -> None:
        self._check_all_here(row.id, finish.chunks)
        try:
            self._join(row, finish)
        except FileNotFoundError:
            self._incoming.mend(row)
            self._check_all_here(row.id, finish.chunks)
            raise

    def _end_with_what_came(self, row: Row, person: Person) -> None:
        self._incoming.mend(row)
        with self._own.reading() as db:
            in_row, _ = journal.standing(db, row.id)
            later = len(journal.chunks(db, row.id)) - in_row
        if not in_row:
            raise Refused(409, "nothing of its beginning has come.", "Wait for the phone, or drop it.")
        notes = json.dumps([*row.notes, *_cut_short(person.name, in_row, later)])
        self._join(row, Finish(chunks=in_row), notes=notes, damaged=1)

    def _join(self, row: Row, finish: Finish, **columns: object) -> None:
        path, sha256 = self._parts.join(row.id, row.name, finish.chunks)
        with unkept(path):
            if finish.sha256 not in (None, sha256):
                raise Refused(
                    422,
                    "the chunks together are not the recording that was told of.",
                    "Every chunk is kept as it came. End it without a hash to have it read as it is.",
                )
            size = path.stat().st_size
            target = path.with_name(file_name(row.name, kind_of(row.media_type, row.name)))
            put(path, target)
            ended = {"ended_at": journal.now(), "chunks": finish.chunks, "bytes": size, **columns}
            with self._or_no_whole(row.id, target), self._incoming.writing() as db:
                journal.change(db, row.id, state=State.WAITING, **ended)
        self._parts.drop_chunks(row.id)

    @contextmanager
    def _or_no_whole(self, walk: str, target: Path) -> Iterator[None]:
        """On an error, such as a disk that is full at the last moment, only the chunks stay."""
        try:
            yield
        except BaseException:
            with suppress(StoreError), self._own.reading() as db:
                if there(journal.row(db, walk)).state is State.COMING:
                    target.unlink(missing_ok=True)
            raise

    def _check_all_here(self, walk: str, chunks: int) -> None:
        with self._own.reading() as db:
            _, missing = journal.standing(db, walk, chunks)
            beyond = [piece.number for piece in journal.chunks(db, walk)[-1:] if piece.number >= chunks]
        if missing:
            raise Refused(
                409, "not all chunks are here.", "Send those that are missing.", missing=list(missing)
            )
        if beyond:
            raise Refused(
                409, f"more than {chunks} chunks came: one has the number {beyond[0]}.", "End it with all."
            )


def _cut_short(who: str, in_row: int, later: int) -> Iterator[str]:
    """What the reviewer should know."""
    yield (
        f"{who} ended this at the desk with what had come: {first_parts(in_row)}. What was said "
        "after that is missing here, and may still be on the phone."
    )
    if later:
        yield f"Part {in_row + 1} never came; of the parts after it, {later:,} had come and are left out."


@contextmanager
def unkept(path: Path) -> Iterator[None]:
    """Remove a file at the end unless it was given its place meanwhile."""
    try:
        yield
    finally:
        path.unlink(missing_ok=True)
