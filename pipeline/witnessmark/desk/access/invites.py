"""Links that are good once: to become one of the people, or to choose a new password."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.desk.access import journal, people, secret, tokens
from witnessmark.desk.access.people import May, Person, Role
from witnessmark.desk.problems import Refused
from witnessmark.types import Frozen

if TYPE_CHECKING:
    from sqlite_utils import Database

LASTS = timedelta(hours=72)
"""An invitation."""
SHORT = timedelta(hours=24)
"""A link for the first administrator or for a lost password."""
COLUMNS = "invites.id, invites.role, person, made_by, expires_at"


class Invite(Frozen):
    """A link that waits to be used."""

    id: str
    role: Role
    person: str | None
    """Id of whose password it replaces; None for somebody new."""
    made_by: str | None
    """Id of the administrator; None where it was made at the computer itself."""
    expires_at: datetime


def make(db: Database, by: Person, role: Role) -> str:
    """The secret of a link for somebody new."""
    journal.note(db, by.name, f"made a link for a new {role}")
    return _kept(db, role, None, by.id, LASTS)


def make_for(db: Database, by: Person, person: Person) -> str:
    """The secret of a link by which somebody chooses a new password; earlier ones for them end.

    Raises:
        Refused: they may not sign in.
    """
    if not person.active:
        raise Refused(409, f"{person.name} may not sign in.", "Let them in again first.")
    end_for(db, person)
    journal.note(db, by.name, f"made a link for a new password of {person.name}")
    return _kept(db, person.role, person.id, by.id, SHORT)


def make_at_the_computer(db: Database) -> str:
    """The secret of a link to become an administrator; earlier ones made so end."""
    db.execute("DELETE FROM invites WHERE made_by IS NULL AND used_at IS NULL")
    journal.note(db, journal.AT_THE_COMPUTER, "made a link for an administrator")
    return _kept(db, Role.ADMINISTRATOR, None, None, SHORT)


def _kept(db: Database, role: Role, person: str | None, by: str | None, lasts: timedelta) -> str:
    made = secret.make()
    db.table("invites").insert(
        {
            "id": uuid4().hex,
            "digest": secret.digest(made),
            "role": role.value,
            "person": person,
            "made_by": by,
            "made_at": secret.stamp(),
            "expires_at": secret.stamp(lasts),
        }
    )
    return made


def waiting(db: Database) -> tuple[Invite, ...]:
    """The links that can still be used, the newest first."""
    rows = db.execute(
        f"SELECT {COLUMNS} FROM invites WHERE used_at IS NULL AND expires_at > ? ORDER BY made_at DESC",
        [secret.stamp()],
    )
    return tuple(map(_invite, rows))


def found(db: Database, made: str) -> Invite:
    """The link of that secret.

    Raises:
        Refused: it is unknown, used or too old, or who made it is no administrator any more; which of
            these is not told.
    """
    rows = db.execute(
        f"SELECT {COLUMNS} FROM invites WHERE digest = ? AND used_at IS NULL AND expires_at > ?",
        [secret.digest(made), secret.stamp()],
    )
    invite = next(map(_invite, rows), None)
    if invite is None or not _still_meant(db, invite):
        raise Refused(404, "this link cannot be used.", "It may be used or too old. Ask for a new one.")
    return invite


def accept(db: Database, made: str, name: str, password: str) -> Person:
    """Use a link: somebody new, or a new password for who is there.

    A link made at the computer takes either name: that of somebody new, or of somebody who is there and
    becomes an administrator with this password. A new password ends all sign-ins and tokens.

    Raises:
        Refused: the link cannot be used, the name is empty or taken, or the password no good. The link
            then stays as it is.
    """
    invite = found(db, made)
    db.execute("UPDATE invites SET used_at = ? WHERE id = ?", [secret.stamp(), invite.id])
    there = people.anyone(db, invite.person) if invite.person else None
    if invite.made_by is None:
        there = people.named(db, name)
    if there is None:
        person = people.add(db, name, invite.role, password)
        journal.note(db, person.name, f"came in as {invite.role} with a link")
        return person
    if invite.made_by is None:
        people.set_active(db, there, True)
        people.set_role(db, there, invite.role)
    people.set_password(db, there, password)
    gone = tokens.end_all(db, there)
    journal.note(db, there.name, f"chose a new password with a link{tokens.ended(gone)}")
    return people.anyone(db, there.id) or there


def end(db: Database, by: Person, identity: str) -> None:
    """Make a link of no use.

    Raises:
        Refused: there is none such.
    """
    gone = db.execute("DELETE FROM invites WHERE id = ? AND used_at IS NULL", [identity]).rowcount
    if not gone:
        raise Refused(404, "there is no such link any more.", "It may be used meanwhile.")
    journal.note(db, by.name, "ended a link that was not used")


def end_for(db: Database, person: Person) -> None:
    """End the links that would give somebody a new password."""
    db.execute("DELETE FROM invites WHERE person = ? AND used_at IS NULL", [person.id])


def _still_meant(db: Database, invite: Invite) -> bool:
    """Whether who made it could make it now, and whom it is for may still come in."""
    maker = people.by_id(db, invite.made_by) if invite.made_by else None
    if invite.made_by and not (maker and maker.may(May.ADMINISTER)):
        return False
    return not invite.person or people.by_id(db, invite.person) is not None


def _invite(row: tuple[str, str, str | None, str | None, str]) -> Invite:
    identity, role, person, by, expires = row
    return Invite(
        id=identity,
        role=Role(role),
        person=person,
        made_by=by,
        expires_at=datetime.fromisoformat(expires),
    )
