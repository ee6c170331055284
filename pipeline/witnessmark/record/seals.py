"""Hashes of rows that no body of the trail or of a draft holds: when, where from, by whom.

They show that a row was changed behind the program's back. They are no part of the chain.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from witnessmark.record.chain import canonical, digest
from witnessmark.record.rows import Connection

SEALED = {
    "walkrounds": "*, (SELECT knowledge FROM drafts AS d WHERE d.walkround = walkrounds.id) AS knowledge",
    "sounds": "*",
    "photos": "*",
    "adopted": "*",
    "calendar_entries": "*",
}
"""Table → what a row's hash is made of; always without the hash itself."""


def put(db: Connection, table: str, where: str = "TRUE", values: tuple[Any, ...] = ()) -> None:
    """Give rows their hashes once they are as they are to be, inside the caller's transaction."""
    for number, _, due in list(_rows(db, table, where, values)):
        db.execute(f"UPDATE {table} SET seal = ? WHERE rowid = ?", [due, number])


def put_all(db: Connection) -> None:
    """Give every row its hash: those of an older version have none."""
    for table in SEALED:
        put(db, table)


def faults(db: Connection) -> Iterator[str]:
    """Rows that are not what they were when they were stored."""
    for table in SEALED:
        for number, held, due in _rows(db, table):
            if held != due:
                yield f"row {number} of {table} was changed after it was stored"


def _rows(
    db: Connection, table: str, where: str = "TRUE", values: tuple[Any, ...] = ()
) -> Iterator[tuple[int, str, str]]:
    """Number, hash as stored and hash as it should be."""
    cursor = db.execute(f"SELECT rowid, {SEALED[table]} FROM {table} WHERE {where}", values)
    names = [column[0] for column in cursor.description]
    for number, *row in cursor.fetchall():
        held = dict(zip(names[1:], row, strict=True))
        seal = held.pop("seal")
        yield number, seal, digest(canonical(held))
