"""Links by which an owner reads the summary of one walkround, without an account."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.desk.access import journal, secret
from witnessmark.desk.access.people import Person
from witnessmark.desk.problems import Refused
from witnessmark.types import Frozen

if TYPE_CHECKING:
    from sqlite_utils import Database

USUAL = 30
"""Days."""
LONGEST = 365


class Link(Frozen):
    """What is known of a link."""

    id: str
    walkround: str
    by: str
    """Name of who made it."""
    made_at: datetime
    expires_at: datetime
    opened: int
    """How often the page was fetched."""
    opened_at: datetime | None
    """When last."""


def make(db: Database, by: Person, walkround: str, days: int) -> tuple[Link, str]:
    """A new link and its secret, of which only the hash is kept.

    Args:
        db: the desk's own file.
        by: who answers for it.
        walkround: its whole id.
        days: 1 to ``LONGEST``.

    Raises:
        Refused: it would last too long or not at all.
    """
    if not 1 <= days <= LONGEST:
        raise Refused(422, f"a link lasts 1 to {LONGEST} days.")
    made, identity = secret.make(), uuid4().hex
    db.table("links").insert(
        {
            "id": identity,
            "digest": secret.digest(made),
            "walkround": walkround,
            "made_by": by.id,
            "made_at": secret.stamp(),
            "expires_at": secret.stamp(timedelta(days=days)),
        }
    )
    journal.note(db, by.name, f"made a link to the summary of {walkround} for {days} days")
    return next(link for link in all_of(db) if link.id == identity), made


def all_of(db: Database) -> tuple[Link, ...]:
    """The links that can still be opened, the newest first."""
    rows = db.execute(
        "SELECT links.id, walkround, people.name, links.made_at, expires_at, opened, opened_at "
        "FROM links JOIN people ON people.id = links.made_by WHERE expires_at > ? "
        "ORDER BY links.made_at DESC, links.rowid DESC",
        [secret.stamp()],
    )
    return tuple(map(_link, rows))


def end(db: Database, by: Person, identity: str) -> None:
    """Make a link of no use.

    Raises:
        Refused: there is none such.
    """
    row = db.execute("DELETE FROM links WHERE id = ? RETURNING walkround", [identity]).fetchone()
    if row is None:
        raise Refused(404, "there is no such link any more.")
    journal.note(db, by.name, f"ended a link to the summary of {row[0]}")


def opens(db: Database, made: str) -> str | None:
    """The walkround that a secret opens; None where it opens none, whyever."""
    row = db.execute(
        "SELECT walkround FROM links WHERE digest = ? AND expires_at > ?",
        [secret.digest(made), secret.stamp()],
    ).fetchone()
    return str(row[0]) if row else None


def opened(db: Database, made: str) -> None:
    """Count that a link was opened now."""
    db.execute(
        "UPDATE links SET opened = opened + 1, opened_at = ? WHERE digest = ?",
        [secret.stamp(), secret.digest(made)],
    )


def _link(row: tuple[str, str, str, str, str, int, str | None]) -> Link:
    identity, walkround, by, made, expires, count, last = row
    return Link(
        id=identity,
        walkround=walkround,
        by=by,
        made_at=datetime.fromisoformat(made),
        expires_at=datetime.fromisoformat(expires),
        opened=count,
        opened_at=datetime.fromisoformat(last) if last else None,
    )
