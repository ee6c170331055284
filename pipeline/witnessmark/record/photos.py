"""Pictures of a walkround: what and when in the record, the bytes in files beside it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.errors import BadInputError, StoreError
from witnessmark.record import seals

if TYPE_CHECKING:
    from sqlite_utils import Database


class Photo(NamedTuple):
    """One picture."""

    sha256: str
    """Of its bytes, which ``Store.photo_bytes`` reads."""
    walkround: str
    seconds: float | None
    """From the start of the recording; None for the walkround as a whole."""
    media_type: str
    size: int
    """Bytes."""
    who: str
    when: datetime
    """UTC."""


_BEGINS: tuple[tuple[str, int, bytes], ...] = (
    ("image/jpeg", 0, b"\xff\xd8\xff"),
    ("image/png", 0, b"\x89PNG\r\n\x1a\n"),
    ("image/webp", 8, b"WEBP"),
    ("image/avif", 4, b"ftypavif"),
    ("image/heic", 4, b"ftypheic"),
    ("image/heic", 4, b"ftypmif1"),
)
"""Media type, and the bytes that such a file has at a place.

Only formats that hold pictures and nothing else: an SVG could carry a program into a page that shows it.
"""


def media_type_of(content: bytes) -> str:
    """The kind of picture, by its first bytes.

    Raises:
        BadInputError: it is no picture of a known kind.
    """
    for media_type, at, mark in _BEGINS:
        if content[at : at + len(mark)] == mark:
            return media_type
    raise BadInputError("this is no picture of a known kind", remedy="Use JPEG, PNG, WebP, AVIF or HEIC.")


def folder_of(record: Path) -> Path:
    """Where the bytes lie: beside the record's file."""
    return record.with_suffix(".photos")


def add(db: Database, photo: Photo) -> Photo:
    """The picture in the record, inside the caller's transaction; the one that is there already if it is."""
    walkround = photo.walkround
    if not db.execute("SELECT 1 FROM walkrounds WHERE id = ?", [walkround]).fetchone():
        raise StoreError("there is no such walkround", walkround, "Take it in first.")
    for known in of(db, walkround):
        if (known.sha256, known.seconds) == (photo.sha256, photo.seconds):
            return known
    db.execute(
        "INSERT INTO photos (sha256, walkround, seconds, media_type, size, who, added_at) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        [*photo[:6], photo.when.isoformat()],
    )
    seals.put(db, "photos", "walkround = ?", (walkround,))
    return photo


def of(db: Database, walkround: str) -> tuple[Photo, ...]:
    """The pictures of a walkround: of the whole first, then by their moment."""
    rows = db.execute(
        "SELECT sha256, walkround, seconds, media_type, size, who, added_at FROM photos "
        "WHERE walkround = ? ORDER BY seconds, number",
        [walkround],
    ).fetchall()
    return tuple(
        Photo(sha256, id, seconds, media_type, size, who, datetime.fromisoformat(when))
        for sha256, id, seconds, media_type, size, who, when in rows
    )
