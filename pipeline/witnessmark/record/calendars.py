"""What calendars say of follow-ups: kept apart, answered by a person, and never a confirmed finding.

A calendar knows that somebody ticked something off or moved a day. It does not know what was found or done,
so nothing of it reaches the history, a forecast or a page; the next calendar follows what was accepted.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Literal, NamedTuple

from witnessmark.errors import StoreError
from witnessmark.record import rows, seals
from witnessmark.record.acts import Act
from witnessmark.record.chain import append

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.record.store import Store

Says = Literal["done", "moved", "dropped"]


class CameBack(NamedTuple):
    """A follow-up as it came back from a calendar."""

    uid: str
    walkround: str
    """On which it rests."""
    about: str
    """``look`` for looking again, or the key of the item that is wanted."""
    sequence: int
    stamp: datetime
    says: Says | None
    """None: it is as it was exported."""
    day: date | None
    """Moved to, or done on."""
    reckoned: date | None
    """The day that was exported."""


class Entry(NamedTuple):
    """What a calendar says of a follow-up, and what a person said to that."""

    uid: str
    walkround: str
    registration: str | None
    about: str
    says: Says
    day: date | None
    reckoned: date | None
    source: str
    accepted: bool | None
    """None while nobody has answered."""
    who: str | None
    """Who answered."""


class Calendars:
    """What came back from calendars into a record.

    Args:
        store: the record.
    """

    def __init__(self, store: Store) -> None:
        self._store = store

    def take(self, source: str, entries: Iterable[CameBack], who: str) -> int:
        """Keep what a calendar says, to be answered; of two of the same uid the newer counts (RFC 5545).

        Args:
            source: the name of the file.
            entries: follow-ups of this record.
            who: who takes them in; it stands in the trail.

        Returns:
            How many were new or newer and say something; the same again changes nothing.
        """
        with self._store.writing() as db:
            changed = sum([_take(db, source, entry) for entry in entries])
            if changed:
                what = {"source": source, "follow_ups": changed}
                append(db, Act(kind="import", who=who, when=datetime.now(UTC), what=what))
            return changed

    def entries(self) -> list[Entry]:
        """Everything that calendars say otherwise than it was exported, what waits for an answer first."""
        with self._store.reading() as db:
            found = db.execute(
                "SELECT uid, walkround, registration, about, says, day, reckoned, source, accepted, who "
                "FROM said_by_calendars ORDER BY accepted IS NOT NULL, walkround, uid"
            ).fetchall()
        return [_entry(*row) for row in found]

    def answer(self, uid: str, accepted: bool, who: str, why: str = "") -> Entry:
        """Accept or refuse what a calendar says; an act of the trail, which can be answered anew.

        Raises:
            StoreError: no calendar says anything of this follow-up.
        """
        entry = next((one for one in self.entries() if one.uid == uid), None)
        if entry is None:
            raise StoreError("no calendar says anything of this follow-up", uid, "List what they say.")
        what = {
            "about": entry.about,
            "says": entry.says,
            "day": entry.day.isoformat() if entry.day else None,
            "accepted": accepted,
        }
        act = Act(
            kind="calendar", walkround=entry.walkround, who=who, when=datetime.now(UTC), why=why, what=what
        )
        with self._store.writing() as db:
            seq = append(db, act)
            db.execute(
                "UPDATE calendar_entries SET accepted = ?, answered = ? WHERE uid = ?", [accepted, seq, uid]
            )
            seals.put(db, "calendar_entries", "uid = ?", (uid,))
        return entry._replace(accepted=accepted, who=who)


def _take(db: Database, source: str, entry: CameBack) -> bool:
    """Keep an entry if it is newer than what is known; whether it says something new."""
    stamp = entry.stamp.astimezone(UTC).isoformat(timespec="seconds")
    known = db.execute(
        "SELECT sequence, stamp, says, day FROM calendar_entries WHERE uid = ?", [entry.uid]
    ).fetchone()
    if known and (known[0], known[1]) >= (entry.sequence, stamp):
        return False
    day, reckoned = (one.isoformat() if one else None for one in (entry.day, entry.reckoned))
    if known and known[2:] == (entry.says, day):  # sent again: what was answered stays answered
        db.execute(
            "UPDATE calendar_entries SET sequence = ?, stamp = ? WHERE uid = ?",
            [entry.sequence, stamp, entry.uid],
        )
        seals.put(db, "calendar_entries", "uid = ?", (entry.uid,))
        return False
    db.execute("DELETE FROM calendar_entries WHERE uid = ?", [entry.uid])
    row = {
        "uid": entry.uid,
        "walkround": entry.walkround,
        "about": entry.about,
        "sequence": entry.sequence,
        "stamp": stamp,
        "says": entry.says,
        "day": day,
        "reckoned": reckoned,
        "source": source,
        "adopted_at": datetime.now(UTC).isoformat(),
    }
    rows.insert(db, "calendar_entries", row)
    seals.put(db, "calendar_entries", "uid = ?", (entry.uid,))
    return entry.says is not None or known is not None


def _entry(
    uid: str,
    walkround: str,
    registration: str | None,
    about: str,
    says: Says,
    day: str | None,
    reckoned: str | None,
    source: str,
    accepted: int | None,
    who: str | None,
) -> Entry:
    """One row of the view."""
    on, before = (date.fromisoformat(one) if one else None for one in (day, reckoned))
    answer = None if accepted is None else bool(accepted)
    return Entry(uid, walkround, registration, about, says, on, before, source, answer, who)
