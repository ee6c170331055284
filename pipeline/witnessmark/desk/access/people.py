"""The people of a workshop and their passwords."""

from __future__ import annotations

from datetime import UTC, datetime
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.desk.problems import Refused
from witnessmark.types import Frozen

if TYPE_CHECKING:
    from argon2 import PasswordHasher
    from sqlite_utils import Database

SHORTEST = 10
"""Characters of a password."""
LONGEST = 200


class Role(StrEnum):
    """What somebody is in the workshop."""

    TECHNICIAN = "technician"
    REVIEWER = "reviewer"
    READER = "reader"
    ADMINISTRATOR = "administrator"


class May(StrEnum):
    """What a role allows."""

    READ = "read"
    RECORD = "record"
    REVIEW = "review"
    ADMINISTER = "administer"


ALLOWED: dict[Role, frozenset[May]] = {
    Role.READER: frozenset({May.READ}),
    Role.TECHNICIAN: frozenset({May.READ, May.RECORD}),
    Role.REVIEWER: frozenset({May.READ, May.RECORD, May.REVIEW}),
    Role.ADMINISTRATOR: frozenset(May),
}


class Person(Frozen):
    """Somebody with an account."""

    id: str
    name: str
    """As it stands in the trail of decisions."""
    role: Role
    epoch: int = 0

    def may(self, what: May) -> bool:
        """Whether the role allows it."""
        return what in ALLOWED[self.role]


def add(db: Database, name: str, role: Role, password: str) -> Person:
    """A new person.

    Raises:
        Refused: the name is empty or taken, or the password too short.
    """
    name = " ".join(name.split())
    if not name or len(name) > 80 or not name.isprintable():
        raise Refused(422, "a name of 1 to 80 letters is needed.", "It will stand beside every decision.")
    if db.execute("SELECT 1 FROM people WHERE name = ?", [name]).fetchone():
        raise Refused(409, f"there is somebody called {name} already.", "Add a second name or a number.")
    person = Person(id=uuid4().hex, name=name, role=role)
    db.table("people").insert(
        {
            "id": person.id,
            "name": name,
            "role": role.value,
            "password": hashed(password),
            "made_at": datetime.now(UTC).isoformat(),
        }
    )
    return person


def by_id(db: Database, identity: str) -> Person | None:
    """The person of that id who may still sign in."""
    row = db.execute(
        "SELECT id, name, role, epoch FROM people WHERE id = ? AND active", [identity]
    ).fetchone()
    return row and Person(id=row[0], name=row[1], role=Role(row[2]), epoch=row[3])


def matching(db: Database, name: str, password: str) -> Person | None:
    """The person of that name, where the password is theirs. Takes as long for a name that is not known."""
    row = db.execute(
        "SELECT id, password FROM people WHERE name = ? AND active", [" ".join(name.split())]
    ).fetchone()
    known = _fits(row[1] if row else _nobodys(), password[: LONGEST + 1])
    return by_id(db, row[0]) if row and known else None


def hashed(password: str) -> str:
    """Argon2id hash with its parameters and salt.

    Raises:
        Refused: the password is too short or too long.
    """
    if not SHORTEST <= len(password) <= LONGEST:
        raise Refused(
            422, f"a password has {SHORTEST} to {LONGEST} characters.", "Three or four words do well."
        )
    return _hasher().hash(password)


def _fits(kept: str, password: str) -> bool:
    from argon2.exceptions import VerificationError

    try:
        return _hasher().verify(kept, password)
    except VerificationError:
        return False


@cache
def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher

    return PasswordHasher()


@cache
def _nobodys() -> str:
    return _hasher().hash(uuid4().hex)
