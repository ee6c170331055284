"""Who changed what about access. Entries are added; the file refuses to change or drop one."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from witnessmark.desk.access import secret
from witnessmark.types import Frozen

if TYPE_CHECKING:
    from sqlite_utils import Database

AT_THE_COMPUTER = "somebody at the computer"
"""Who made a link with the command: whoever may use that computer."""


class Entry(Frozen):
    """One change."""

    at: datetime
    who: str
    what: str


def note(db: Database, who: str, what: str) -> None:
    """Add an entry, in the transaction that makes the change."""
    db.execute("INSERT INTO access_journal (at, who, what) VALUES (?, ?, ?)", [secret.stamp(), who, what])


def latest(db: Database, count: int = 100) -> tuple[Entry, ...]:
    """The last entries, newest first."""
    rows = db.execute("SELECT at, who, what FROM access_journal ORDER BY number DESC LIMIT ?", [count])
    return tuple(Entry(at=datetime.fromisoformat(at), who=who, what=what) for at, who, what in rows)
