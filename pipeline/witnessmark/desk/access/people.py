"""The people of a workshop."""

from __future__ import annotations

import unicodedata
from enum import StrEnum
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.desk.access import passwords, secret
from witnessmark.desk.problems import Refused
from witnessmark.types import Frozen

if TYPE_CHECKING:
    from sqlite_utils import Database


class Role(StrEnum):
    """What somebody is in the workshop."""

    TECHNICIAN = "technician"
    REVIEWER = "reviewer"
    READER = "reader"
    ADMINISTRATOR = "administrator"

    @property
    def one(self) -> str:
        """``a reader``, ``an administrator``."""
        return f"{'an' if self.value[0] in 'aeiou' else 'a'} {self.value}"


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
    active: bool = True

    def may(self, what: May) -> bool:
        """Whether the role allows it."""
        return what in ALLOWED[self.role]


def within(role: Role) -> tuple[Role, ...]:
    """The roles that allow nothing which this one does not, itself among them; the least first."""
    fitting = [other for other in Role if ALLOWED[other] <= ALLOWED[role]]
    return tuple(sorted(fitting, key=lambda other: len(ALLOWED[other])))


def add(db: Database, name: str, role: Role, password: str) -> Person:
    """A new person.

    Raises:
        Refused: the name is empty or taken, or the password no good.
    """
    name = written(name)
    if not name or len(name) > 80 or not name.isprintable():
        raise Refused(422, "a name of 1 to 80 letters is needed.", "It will stand beside every decision.")
    if named(db, name):
        raise Refused(409, f"there is somebody called {name} already.", "Add a second name or a number.")
    person = Person(id=uuid4().hex, name=name, role=role)
    db.table("people").insert(
        {
            "id": person.id,
            "name": name,
            "role": role.value,
            "password": passwords.hashed(password),
            "made_at": secret.stamp(),
        }
    )
    return person


def written(name: str) -> str:
    """A name with its letters in one form and single spaces."""
    return unicodedata.normalize("NFC", " ".join(name.split()))


def by_id(db: Database, identity: str) -> Person | None:
    """The person of that id who may still sign in."""
    person = anyone(db, identity)
    return person if person and person.active else None


def anyone(db: Database, identity: str) -> Person | None:
    """The person of that id, active or not."""
    rows = db.execute("SELECT id, name, role, epoch, active FROM people WHERE id = ?", [identity])
    return next(map(_person, rows), None)


def named(db: Database, name: str) -> Person | None:
    """The person of that name, active or not; case does not matter."""
    rows = db.execute("SELECT id, name, role, epoch, active FROM people WHERE name = ?", [written(name)])
    return next(map(_person, rows), None)


def everyone(db: Database) -> tuple[Person, ...]:
    """All people, the active ones first, by name."""
    rows = db.execute("SELECT id, name, role, epoch, active FROM people ORDER BY active DESC, name")
    return tuple(map(_person, rows))


def matching(db: Database, name: str, password: str) -> Person | None:
    """The person of that name, where the password is theirs. Takes as long for a name that is not known."""
    row = db.execute("SELECT id, password FROM people WHERE name = ? AND active", [written(name)]).fetchone()
    known = passwords.fits(row[1] if row else None, password)
    return by_id(db, row[0]) if row and known else None


def set_role(db: Database, person: Person, role: Role) -> None:
    """Give somebody another role, which holds from their next request on.

    Raises:
        Refused: no administrator would be left.
    """
    if role is not Role.ADMINISTRATOR:
        _keep_one_administrator(db, person)
    db.execute("UPDATE people SET role = ? WHERE id = ?", [role.value, person.id])


def set_active(db: Database, person: Person, active: bool) -> None:
    """Let somebody in again, or end all their sign-ins and let them in no more.

    Raises:
        Refused: no administrator would be left.
    """
    if not active:
        _keep_one_administrator(db, person)
    db.execute("UPDATE people SET active = ?, epoch = epoch + 1 WHERE id = ?", [active, person.id])


def set_password(db: Database, person: Person, password: str) -> Person:
    """Replace the password and end all sign-ins made with the one before.

    Raises:
        Refused: the password is no good.
    """
    kept = passwords.hashed(password)
    db.execute("UPDATE people SET password = ?, epoch = epoch + 1 WHERE id = ?", [kept, person.id])
    return person.model_copy(update={"epoch": person.epoch + 1})


def administrators(db: Database) -> int:
    """How many there are who can sign in."""
    (count,) = db.execute(
        "SELECT count(*) FROM people WHERE active AND role = ?", [Role.ADMINISTRATOR.value]
    ).fetchone()
    return int(count)


def _keep_one_administrator(db: Database, person: Person) -> None:
    if person.role is Role.ADMINISTRATOR and person.active and administrators(db) == 1:
        raise Refused(
            409, f"{person.name} is the only administrator.", "Make somebody else an administrator first."
        )


def _person(row: tuple[str, str, str, int, int]) -> Person:
    identity, name, role, epoch, active = row
    return Person(id=identity, name=name, role=Role(role), epoch=epoch, active=bool(active))
