"""Intake step by step: what was done of a recording that is not in yet, so that it need not be done again."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from sqlite_utils import Database


class SetAside(NamedTuple):
    """A recording that could not be taken in."""

    source: str
    tries: int
    reason: str
    last: datetime


class Finished(NamedTuple):
    """A source of a longer work, and the step that is done with it."""

    source: str
    step: str
    result: str


def finish(db: Database, finished: Finished) -> None:
    """Keep that a source is done, and forget vain tries at it."""
    keep(db, *finished)
    forgive(db, finished.source)


def keep(db: Database, recording: str, step: str, result: str) -> None:
    """Keep what a step came to; the same step again replaces it."""
    now = datetime.now(UTC).isoformat()
    db.execute("INSERT OR REPLACE INTO steps VALUES (?, ?, ?, ?)", [recording, step, result, now])


def done(db: Database, recording: str, step: str) -> str | None:
    """What a step came to; None where it was not done, or its walkround is in."""
    row = db.execute(
        "SELECT result FROM steps WHERE recording = ? AND step = ?", [recording, step]
    ).fetchone()
    return row[0] if row else None


def forget(db: Database, now: datetime) -> None:
    """Drop what was heard of recordings that have not come in for a month: words nobody will ask for."""
    before = (now - timedelta(days=STALE_DAYS)).isoformat()
    db.execute("DELETE FROM steps WHERE step LIKE 'transcribe %' AND done_at < ?", [before])


STALE_DAYS = 30


def failed(db: Database, source: str, reason: str) -> int:
    """Count one more vain try; returns how many there were."""
    (tries,) = db.execute(
        "INSERT INTO set_aside VALUES (?, 1, ?, ?) ON CONFLICT (source) DO UPDATE SET tries = tries + 1, "
        "reason = excluded.reason, last_at = excluded.last_at RETURNING tries",
        [source, reason, datetime.now(UTC).isoformat()],
    ).fetchone()
    return int(tries)


def forgive(db: Database, source: str) -> None:
    """Forget vain tries: it is in, or is to be tried again."""
    db.execute("DELETE FROM set_aside WHERE source = ?", [source])


def set_aside(db: Database, least: int) -> list[SetAside]:
    """Those tried in vain at least so often, the last first."""
    rows = db.execute(
        "SELECT source, tries, reason, last_at FROM set_aside WHERE tries >= ? ORDER BY last_at DESC", [least]
    ).fetchall()
    return [
        SetAside(source, tries, reason, datetime.fromisoformat(last)) for source, tries, reason, last in rows
    ]
