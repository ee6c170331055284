"""The sound that reviewers hear: a file beside the record, its hash in it."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.errors import StoreError

if TYPE_CHECKING:
    from sqlite_utils import Database


class Kept(NamedTuple):
    """What the record knows of a walkround's sound."""

    sha256: str
    size: int
    """Bytes."""
    removed_at: datetime | None
    """When a rule or a request took it away; None while it is there."""


def path_of(record: Path, walkround: str) -> Path:
    """Where the sound of a walkround lies. Its id is the beginning of its recording's hash."""
    return record.with_suffix(".sound") / f"{walkround}.flac"


def measured(path: Path) -> Kept:
    """Hash and size of a file of sound.

    Raises:
        StoreError: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            return Kept(sha256, file.tell(), None)
    except OSError as error:
        raise StoreError(
            f"the sound cannot be read ({error.strerror})", str(path), "Check the disk."
        ) from error


def note(db: Database, walkround: str, kept: Kept) -> None:
    """Know the sound of a walkround by its hash from now on, inside the caller's transaction."""
    db.execute(
        "INSERT INTO sounds (walkround, sha256, size, kept_at) VALUES (?, ?, ?, ?) "
        "ON CONFLICT (walkround) DO UPDATE SET sha256 = excluded.sha256, size = excluded.size, "
        "kept_at = excluded.kept_at, removed_at = NULL",
        [walkround, kept.sha256, kept.size, datetime.now(UTC).isoformat()],
    )


def of(db: Database, walkround: str) -> Kept | None:
    """What is known of a walkround's sound; None where it came in without, or before version 3."""
    row = db.execute(
        "SELECT sha256, size, removed_at FROM sounds WHERE walkround = ?", [walkround]
    ).fetchone()
    return Kept(row[0], row[1], datetime.fromisoformat(row[2]) if row[2] else None) if row else None


def whole(record: Path, walkround: str, kept: Kept | None) -> Path:
    """The file, found to be what was stored.

    Raises:
        StoreError: it was removed, is not there, or was changed.
    """
    path = path_of(record, walkround)
    if kept and kept.removed_at:
        day = kept.removed_at.date()
        raise StoreError(f"the sound was removed on {day}", walkround, "The words are still in the record.")
    if not path.exists():
        raise StoreError("the sound is not there", str(path), "Restore it from a copy, or ingest it again.")
    if kept and measured(path).sha256 != kept.sha256:
        raise StoreError("the sound was changed after it was stored", str(path), "Restore it from a copy.")
    return path
