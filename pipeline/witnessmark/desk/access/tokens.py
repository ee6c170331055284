"""Tokens by which programs use the API in somebody's name."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.desk.access import journal, people, secret
from witnessmark.desk.access.people import Person, Role
from witnessmark.desk.problems import Refused
from witnessmark.types import Frozen

if TYPE_CHECKING:
    from sqlite_utils import Database

LONGEST = 365
"""Days."""
MOST = 20
"""Tokens of one person."""
STALE = timedelta(minutes=1)
"""The time of use is written no more often than this."""


class Token(Frozen):
    """What is known of a token."""

    id: str
    name: str
    role: Role
    expires_at: datetime
    used_at: datetime | None
    expired: bool


def make(db: Database, owner: Person, name: str, role: Role, days: int) -> str:
    """The secret of a new token; only its hash is kept.

    Args:
        db: the desk's own file.
        owner: whose decisions its own will be.
        name: what it is for.
        role: not above the owner's.
        days: 1 to ``LONGEST``.

    Raises:
        Refused: name, role or days are outside of that, or there are too many.
    """
    name = people.written(name)
    if not 0 < len(name) <= 80 or not name.isprintable():
        raise Refused(422, "a token needs a name of 1 to 80 letters.", "Say which program it is for.")
    if role not in people.within(owner.role):
        raise Refused(
            403, f"{owner.role.one} cannot make a token of {role.one}.", "Choose a role within yours."
        )
    if not 1 <= days <= LONGEST:
        raise Refused(422, f"a token lasts 1 to {LONGEST} days.")
    if len(of(db, owner)) >= MOST:
        raise Refused(409, f"there are {MOST} tokens already.", "End one that is not needed.")
    made = secret.make()
    db.table("tokens").insert(
        {
            "id": uuid4().hex,
            "digest": secret.digest(made),
            "person": owner.id,
            "name": name,
            "role": role.value,
            "made_at": secret.stamp(),
            "expires_at": secret.stamp(timedelta(days=days)),
        }
    )
    journal.note(db, owner.name, f"made the API token “{name}” of {role.one}")
    return made


def of(db: Database, owner: Person) -> tuple[Token, ...]:
    """Somebody's tokens, the newest first."""
    rows = db.execute(
        "SELECT id, name, role, expires_at, used_at FROM tokens WHERE person = ? "
        "ORDER BY made_at DESC, rowid DESC",
        [owner.id],
    )
    return tuple(map(_token, rows))


def end(db: Database, owner: Person, identity: str) -> None:
    """Make one's own token of no use.

    Raises:
        Refused: there is none such.
    """
    row = db.execute(
        "DELETE FROM tokens WHERE id = ? AND person = ? RETURNING name", [identity, owner.id]
    ).fetchone()
    if row is None:
        raise Refused(404, "there is no such token any more.")
    journal.note(db, owner.name, f"ended the API token “{row[0]}”")


def end_all(db: Database, owner: Person) -> int:
    """Make every token of somebody of no use; returns how many still worked."""
    gone = db.execute("DELETE FROM tokens WHERE person = ? RETURNING expires_at", [owner.id]).fetchall()
    return sum(expires > secret.stamp() for (expires,) in gone)


def working(db: Database) -> dict[str, int]:
    """Id of each person with tokens that work → how many."""
    rows = db.execute(
        "SELECT person, count(*) FROM tokens WHERE expires_at > ? GROUP BY person", [secret.stamp()]
    )
    return dict(rows.fetchall())


def ended(count: int) -> str:
    """What to add where tokens ended with something else: ``, and 2 API tokens ended``; empty for none."""
    return f", and {count} API token{'' if count == 1 else 's'} ended" if count else ""


def bearer(db: Database, made: str) -> tuple[Person | None, bool]:
    """In whose name a request with this secret comes.

    Returns:
        The owner with the token's role (the owner's, where that is less by now), or None where the token is
        unknown or expired or the owner may not sign in; and whether its use should be written down.
    """
    row = db.execute(
        "SELECT person, role, used_at FROM tokens WHERE digest = ? AND expires_at > ?",
        [secret.digest(made), secret.stamp()],
    ).fetchone()
    owner = people.by_id(db, row[0]) if row else None
    if owner is None:
        return None, False
    role = Role(row[1]) if Role(row[1]) in people.within(owner.role) else owner.role
    stale = row[2] is None or datetime.fromisoformat(row[2]) < secret.now() - STALE
    return owner.model_copy(update={"role": role}), stale


def used(db: Database, made: str) -> None:
    """Write down that a token was used now."""
    db.execute("UPDATE tokens SET used_at = ? WHERE digest = ?", [secret.stamp(), secret.digest(made)])


def _token(row: tuple[str, str, str, str, str | None]) -> Token:
    identity, name, role, expires, used_at = row
    until = datetime.fromisoformat(expires)
    return Token(
        id=identity,
        name=name,
        role=Role(role),
        expires_at=until,
        used_at=datetime.fromisoformat(used_at) if used_at else None,
        expired=until <= secret.now(),
    )
