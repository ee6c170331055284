"""Photographs that come with a recording: kept beside it until the record has its walkround."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.desk.problems import Refused
from witnessmark.desk.there import there
from witnessmark.desk.walk import journal
from witnessmark.desk.walk.bodies import Arrived
from witnessmark.desk.walk.forms import State
from witnessmark.desk.walk.incoming import Incoming
from witnessmark.desk.walk.journal import Photo, Row
from witnessmark.desk.walk.media import PICTURES
from witnessmark.desk.walk.parts import put
from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.record import Store

_log = logging.getLogger(__name__)

MOST = 200
"""Of one recording."""
_HEAD = 64
"""Bytes by which a kind of picture is known."""


def kind_of(path: Path) -> str:
    """The media type of a picture, by its content.

    Raises:
        Refused: 415.
    """
    from witnessmark.record.photos import media_type_of

    with path.open("rb") as file:
        head = file.read(_HEAD)
    try:
        kind = media_type_of(head)
    except BadInputError:
        kind = ""
    if kind not in PICTURES:
        raise Refused(415, "this is no picture that every browser shows.", "Send JPEG, PNG or WebP.")
    return kind


def keep(incoming: Incoming, record: Store, row: Row, arrived: Arrived, at: float | None) -> tuple[str, bool]:
    """Keep a picture whose bytes are on the disk; returns its media type and whether it is new.

    Args:
        incoming: where recordings come in.
        record: takes it at once where the recording has been read.
        row: of the recording.
        arrived: the picture.
        at: seconds from the start of the recording.

    Raises:
        Refused: 409 there are too many, 410 the recording was dropped or erased, 415 it is no picture, 507
            the disk is full.
    """
    assert arrived.path is not None
    photo = Photo(arrived.sha256, at, kind_of(arrived.path), arrived.size, False)
    with incoming.writing() as db:
        now = journal.row(db, row.id)
        if now is None or now.state is State.DROPPED:
            raise Refused(410, "this recording was dropped.", "Begin a new one.")
        if now.state is not State.READ:
            return photo.media_type, _beside(incoming, db, now, photo, arrived.path)
    assert now.walkround is not None
    there(record, now.walkround)
    before = {one.sha256 for one in record.photos(now.walkround)}
    record.add_photo(now.walkround, arrived.path.read_bytes(), row.who, at)
    return photo.media_type, arrived.sha256 not in before


def _beside(incoming: Incoming, db: Database, row: Row, photo: Photo, path: Path) -> bool:
    here = journal.photos(db, row.id)
    if photo.sha256 in {one.sha256 for one in here}:
        return False
    if len(here) >= MOST:
        raise Refused(409, f"{MOST} pictures of one recording are enough.", "Begin another recording.")
    put(path, incoming.parts.photo(row.id, photo.sha256))
    journal.add_photo(db, row.id, photo)
    return True


def hand_over(incoming: Incoming, record: Store, row: Row, walkround: str) -> None:
    """Give the pictures of a recording to the record. Doing it twice changes nothing."""
    with incoming.writing() as db:
        waiting = [photo for photo in journal.photos(db, row.id) if not photo.handed_over]
    for photo in waiting:
        try:
            content = incoming.parts.photo(row.id, photo.sha256).read_bytes()
            record.add_photo(walkround, content, row.who, photo.at)
        except FileNotFoundError:
            _log.error("%s: the picture %s is no longer on the disk", row.id, photo.sha256)
        with incoming.writing() as db:
            journal.hand_over(db, row.id, photo.sha256)
