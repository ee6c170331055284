"""The sound that reviewers hear: a file beside the record, its hash in it."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.errors import StoreError
from witnessmark.record import blobs, originals, seals

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


def files_of(db: Database, record: Path, walkround: str) -> list[Path]:
    """Where the voice of a walkround may lie: what reviewers hear, and the recording where it was kept."""
    (recording,) = db.execute("SELECT recording FROM walkrounds WHERE id = ?", [walkround]).fetchone()
    return [path_of(record, walkround), blobs.place(originals.folder_of(record), recording)]


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
    seals.put(db, "sounds", "walkround = ?", (walkround,))


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


def keep_sound_days(db: Database) -> int | None:
    """The rule in force: days after the last decision; None keeps sound for good."""
    row = db.execute(
        "SELECT json_extract(body, '$.what.keep_sound_days') FROM decisions "
        "WHERE item IS NULL AND kind = 'policy' ORDER BY seq DESC LIMIT 1"
    ).fetchone()
    return row[0] if row else None


def due(db: Database, now: datetime) -> tuple[str, ...]:
    """Walkrounds decided on whole, so long ago that the rule lets their sound go."""
    days = keep_sound_days(db)
    if days is None:
        return ()
    before = now.astimezone(UTC) - timedelta(days=days)
    last = db.execute(
        "SELECT s.walkround, (SELECT max(seq) FROM decisions AS d WHERE d.walkround = s.walkround AND "
        "d.item IS NOT NULL) AS last FROM sounds AS s WHERE s.removed_at IS NULL AND NOT EXISTS "
        "(SELECT 1 FROM entries AS e WHERE e.walkround = s.walkround AND e.standing = 'waiting')"
    ).fetchall()
    return tuple(walkround for walkround, seq in last if seq is not None and _decided_at(db, seq) <= before)


def _decided_at(db: Database, seq: int) -> datetime:
    (when,) = db.execute("SELECT decided_at FROM decisions WHERE seq = ?", [seq]).fetchone()
    return datetime.fromisoformat(when).astimezone(UTC)


def mark_removed(db: Database, walkround: str) -> None:
    """Know that the sound of a walkround is taken away, inside the caller's transaction."""
    now = datetime.now(UTC).isoformat()
    db.execute("UPDATE sounds SET removed_at = ? WHERE walkround = ?", [now, walkround])
    seals.put(db, "sounds", "walkround = ?", (walkround,))
