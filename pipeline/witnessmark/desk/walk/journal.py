"""The journal of recordings: rows of the desk's own file, inside the transaction of who calls."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from witnessmark.desk.walk.forms import MOST_CHUNKS, Problem, Start, State

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.desk.access.people import Person

SHOWN_MISSING = 500
_UNSETTLED = (State.COMING, State.WAITING, State.READING, State.FAILED)


class Row(NamedTuple):
    """One recording."""

    id: str
    person: str
    who: str
    machine: str | None
    jurisdiction: str | None
    given_day: str | None
    day: date
    media_type: str
    name: str
    started_at: datetime
    came_at: datetime
    notes: tuple[str, ...]
    state: State
    chunks: int | None
    """In all, once it is over."""
    bytes: int | None
    """Likewise."""
    damaged: bool
    progress: float
    tries: int
    ends: int
    problem: Problem | None
    walkround: str | None


class Chunk(NamedTuple):
    """A piece of a recording."""

    number: int
    size: int
    sha256: str


class Photo(NamedTuple):
    """A photograph that came with a recording."""

    sha256: str
    at: float | None
    media_type: str
    size: int
    handed_over: bool


_COLUMNS = (
    "id, person, who, machine, jurisdiction, given_day, day, media_type, name, started_at, came_at, notes, "
    "state, chunks, bytes, damaged, progress, tries, ends, walkround, what, remedy"
)


def now() -> str:
    """The desk's clock, UTC."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def _row(values: tuple[Any, ...]) -> Row:
    fields = dict(zip(_COLUMNS.split(", "), values, strict=True))
    what, remedy = fields.pop("what"), fields.pop("remedy")
    fields |= {
        "day": date.fromisoformat(fields["day"]),
        "started_at": datetime.fromisoformat(fields["started_at"]),
        "came_at": datetime.fromisoformat(fields["came_at"]),
        "notes": tuple(json.loads(fields["notes"])),
        "state": State(fields["state"]),
        "damaged": bool(fields["damaged"]),
        "problem": Problem(what=what, remedy=remedy) if what else None,
    }
    return Row(**fields)


def begin(db: Database, walk: str, person: Person, start: Start, day: date, notes: list[str]) -> None:
    """Note a recording that begins."""
    db.table("walks").insert(
        {
            "id": walk,
            "person": person.id,
            "who": person.name,
            "machine": start.machine,
            "jurisdiction": start.jurisdiction,
            "given_day": start.on and start.on.isoformat(),
            "day": day.isoformat(),
            "media_type": start.media_type,
            "name": start.name,
            "started_at": start.started_at.isoformat(),
            "came_at": now(),
            "notes": json.dumps(notes),
        }
    )


def row(db: Database, walk: str) -> Row | None:
    """The recording of this id."""
    found = db.execute(f"SELECT {_COLUMNS} FROM walks WHERE id = ?", [walk]).fetchone()
    return found and _row(found)


def of_walkround(db: Database, walkround: str) -> Row | None:
    """The recording that became a walkround of the record; the first where it came several times."""
    found = db.execute(
        f"SELECT {_COLUMNS} FROM walks WHERE walkround = ? ORDER BY came_at LIMIT 1", [walkround]
    ).fetchone()
    return found and _row(found)


def under_way(db: Database, person: str | None, since: str, limit: int = 200) -> list[Row]:
    """Recordings that are not settled, or were read after ``since``; newest first.

    Args:
        person: only this one's; everybody's if None.
        since: UTC.
    """
    found = db.execute(
        f"SELECT {_COLUMNS} FROM walks WHERE (? IS NULL OR person = ?) AND (state IN (?, ?, ?, ?) "
        "OR (state = ? AND settled_at > ?)) ORDER BY came_at DESC, rowid DESC LIMIT ?",
        [person, person, *_UNSETTLED, State.READ, since, limit],
    )
    return [_row(values) for values in found.fetchall()]


def readable(db: Database, seconds: float) -> list[Row]:
    """Recordings to be read, the one that ended first at the front.

    Args:
        seconds: the present time since 1970; those that are to wait longer are left out.
    """
    found = db.execute(
        f"SELECT {_COLUMNS} FROM walks WHERE (state = ? AND not_before <= ?) OR state = ? ORDER BY ended_at",
        [State.WAITING, seconds, State.READING],
    )
    return [_row(values) for values in found.fetchall()]


def of_state(db: Database, *states: State) -> list[Row]:
    """All recordings in these states, oldest first."""
    marks = ", ".join("?" * len(states))
    found = db.execute(f"SELECT {_COLUMNS} FROM walks WHERE state IN ({marks}) ORDER BY came_at", states)
    return [_row(values) for values in found.fetchall()]


def count_coming(db: Database, person: str) -> int:
    """How many recordings of somebody have begun and not ended."""
    (count,) = db.execute(
        "SELECT count(*) FROM walks WHERE person = ? AND state = ?", [person, State.COMING]
    ).fetchone()
    return int(count)


def chunk(db: Database, walk: str, number: int) -> Chunk | None:
    """The chunk of this number."""
    found = db.execute(
        "SELECT number, size, sha256 FROM walk_chunks WHERE walk = ? AND number = ?", [walk, number]
    ).fetchone()
    return found and Chunk(*found)


def chunks(db: Database, walk: str) -> list[Chunk]:
    """All chunks in order."""
    found = db.execute("SELECT number, size, sha256 FROM walk_chunks WHERE walk = ? ORDER BY number", [walk])
    return [Chunk(*values) for values in found.fetchall()]


def add_chunk(db: Database, walk: str, piece: Chunk) -> None:
    """Note a chunk whose bytes are safe."""
    db.table("walk_chunks").insert({"walk": walk, **piece._asdict()})


def size(db: Database, walk: str) -> int:
    """Bytes of all chunks."""
    (total,) = db.execute("SELECT coalesce(sum(size), 0) FROM walk_chunks WHERE walk = ?", [walk]).fetchone()
    return int(total)


def standing(db: Database, walk: str, wanted: int | None = None) -> tuple[int, tuple[int, ...]]:
    """How many chunks are here without a gap, and the first numbers that are missing.

    Args:
        wanted: chunks in all; where None, up to the last that is here.
    """
    here = {number for (number,) in db.execute("SELECT number FROM walk_chunks WHERE walk = ?", [walk])}
    until = min(max(here, default=-1) + 1 if wanted is None else wanted, MOST_CHUNKS)
    missing = tuple(number for number in range(until) if number not in here)
    return (missing[0] if missing else until), missing[:SHOWN_MISSING]


def change(db: Database, walk: str, **columns: object) -> None:
    """Set columns of a recording."""
    places = ", ".join(f"{name} = ?" for name in columns)
    db.execute(f"UPDATE walks SET {places} WHERE id = ?", [*columns.values(), walk])


def settle(db: Database, walk: str, walkround: str, notes: list[str]) -> None:
    """Note that a recording is in the record."""
    done = {"state": State.READ, "walkround": walkround, "progress": 1.0, "settled_at": now()}
    change(db, walk, **done, notes=json.dumps(notes), what=None, remedy=None)
    forget_chunks(db, walk)


def forget_chunks(db: Database, walk: str) -> None:
    """Strike the chunks of a recording off; their bytes are no longer needed."""
    db.execute("DELETE FROM walk_chunks WHERE walk = ?", [walk])


def forget_chunk(db: Database, walk: str, number: int) -> None:
    """Strike one chunk off, so that it is asked for again."""
    db.execute("DELETE FROM walk_chunks WHERE walk = ? AND number = ?", [walk, number])


def add_photo(db: Database, walk: str, photo: Photo) -> bool:
    """Note a photograph whose bytes are safe; False when it is there already."""
    made = db.execute(
        "INSERT OR IGNORE INTO walk_photos VALUES (?, ?, ?, ?, ?, ?)",
        [walk, *photo[:4], int(photo.handed_over)],
    )
    return bool(made.rowcount)


def photos(db: Database, walk: str) -> list[Photo]:
    """Photographs of a recording, by their moment."""
    found = db.execute(
        "SELECT sha256, at, media_type, size, handed_over FROM walk_photos WHERE walk = ? ORDER BY at",
        [walk],
    )
    return [Photo(sha256, at, kind, size, bool(done)) for sha256, at, kind, size, done in found.fetchall()]


def hand_over(db: Database, walk: str, sha256: str) -> None:
    """Note that the record has a photograph."""
    db.execute("UPDATE walk_photos SET handed_over = 1 WHERE walk = ? AND sha256 = ?", [walk, sha256])
