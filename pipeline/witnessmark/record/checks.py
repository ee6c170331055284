"""Looks the record over: file sound, trail whole, nothing confirmed without a decision."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from functools import partial
from typing import TYPE_CHECKING

from witnessmark.record import chain, derive, entries, seals
from witnessmark.record.migrations import VERSION, upgrade
from witnessmark.record.opening import pragma
from witnessmark.record.rows import TABLES, Connection, Row, item_rows
from witnessmark.types import Assessment, Decision, DecisionKind

if TYPE_CHECKING:
    from sqlite_utils import Database


Trail = list[tuple[int, Decision]]
Progress = Callable[[float, float], None]
"""Takes what is done and the whole, in any unit."""


def problems(db: Database, quick: bool, progress: Progress) -> list[str]:
    """What is wrong with the record, one sentence each; empty when nothing is.

    Args:
        db: the record.
        quick: pass over whether what was confirmed, and what is searched, follows from the trail.
        progress: told how many walkrounds are looked over.
    """
    found: list[str] = []
    of_the_file = (_version, _schema, _file, _references)
    for check in (*of_the_file, chain.faults, chain.altered_bodies, seals.faults, _texts):
        found += _readable(partial(check, db))
    if quick:
        return found
    ids = db.execute("SELECT id FROM walkrounds WHERE erased_at IS NULL ORDER BY number").fetchall()
    for number, (id,) in enumerate(ids, 1):
        found += _readable(partial(_walkround, db, id))
        progress(number, len(ids))
    return found


def _readable(check: Callable[[], Iterator[str]]) -> list[str]:
    """What a check finds, or that it could not read what it had to."""
    found: list[str] = []
    try:
        found.extend(check())
    except (
        sqlite3.Error,
        ValueError,
        TypeError,
        LookupError,
    ) as error:  # whatever a damaged row is taken for
        found.append(f"a part of the record cannot be read: {str(error).splitlines()[0]}")
    return found


def _version(db: Database) -> Iterator[str]:
    (said,) = db.execute("SELECT value FROM meta WHERE key = 'schema_version'").fetchone() or (None,)
    if said != str(VERSION) or pragma(db.conn, "user_version") != VERSION:
        yield f"the schema version is {said} in one place and {pragma(db.conn, 'user_version')} in another"


def _file(db: Database) -> Iterator[str]:
    for (line,) in db.execute("PRAGMA integrity_check").fetchall():
        if line != "ok":
            yield f"the file is damaged: {line}"


def _references(db: Database) -> Iterator[str]:
    for table, _, parent, _ in db.execute("PRAGMA foreign_key_check").fetchall():
        yield f"a row of {table} names a row of {parent} that is not there"


def _schema(db: Database) -> Iterator[str]:
    """Tables, views and triggers that are not those of a new record; more indexes and views do no harm."""
    there, due = _made(db), _new_schema()
    for name in sorted(due.keys() | {name for name in there if name.startswith("trigger")}):
        if name not in there:
            yield f"the {name} is missing"
        elif there[name] != due.get(name):
            yield f"the {name} is not as this version makes it"


def _made(db: Connection) -> dict[str, tuple[str, str]]:
    """Kind and name of everything in the file → of which table, and how it was made."""
    rows = db.execute("SELECT type || ' ' || name, tbl_name, sql FROM sqlite_master").fetchall()
    return {name: (table, sql) for name, table, sql in rows}


def _new_schema() -> dict[str, tuple[str, str]]:
    with closing(sqlite3.connect(":memory:")) as new:
        upgrade(new, since=0)
        return _made(new)


def _texts(db: Database) -> Iterator[str]:
    """What is read of transcripts without their bodies, against these."""
    rows = db.execute(
        "SELECT t.recording FROM transcripts AS t JOIN recordings AS r ON r.sha256 = t.recording "
        "WHERE (t.recording, t.text, r.name, r.duration) IS NOT (t.body ->> '$.recording.sha256', "
        "t.body ->> '$.text', t.body ->> '$.recording.name', t.body ->> '$.recording.duration') "
        "OR t.model <> t.body ->> '$.model' AND t.body ->> '$.model' <> ''"  # what was erased keeps it
    )
    for (recording,) in rows.fetchall():
        yield f"the text, name or length of {recording} is not that of its transcript"


def index_faults(db: Database) -> Iterator[str]:
    """Whether the search index is that of the entries. FTS5 holds writers up meanwhile: 8 s for a million."""
    try:
        db.execute("INSERT INTO entry_words (entry_words, rank) VALUES ('integrity-check', 1)")
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_CORRUPT:
            raise
        yield "the search index is out of step with what it finds: `store compact` makes it anew"


def _walkround(db: Database, id: str) -> Iterator[str]:
    """Everything that follows from the draft and the trail of one walkround."""
    (body,) = db.execute("SELECT body FROM drafts WHERE walkround = ?", [id]).fetchone()
    assessment, trail = Assessment.model_validate_json(body), derive.decisions(db, id)
    drafts = derive.entries_of(id, assessment)
    yield from _astray(drafts, trail)
    yield from _derived(derive.due(drafts, trail), _there(db, id))
    yield from _compared(db, "items", id, {row["item"]: row for row in item_rows(id, assessment)})
    made = entries.due(id, assessment, [decision for _, decision in trail], worded=False)
    yield from _compared(db, "entries", id, made)


def _astray(drafts: derive.Drafts, trail: Trail) -> Iterator[str]:
    """Decisions on items that were neither drafted nor added; ``review`` lets none through."""
    known = set(drafts)
    for seq, decision in trail:
        key = decision.walkround, decision.item
        if decision.kind is DecisionKind.ADD:
            known.add(key)
        elif key not in known:
            yield f"decision {seq} is about {decision.item} of {decision.walkround}, which is not there"


def _derived(due: derive.Rows, there: derive.Rows) -> Iterator[str]:
    """The confirmed rows against what the trail says, read anew."""
    for key in sorted(due.keys() | there.keys()):
        table, walkround, item = key
        if key not in due:
            yield f"{item} of {walkround} is in {table} without a decision that lets it in"
        elif key not in there:
            yield f"{item} of {walkround} was let in and is missing from {table}"
        elif due[key] != there[key]:
            yield f"{item} of {walkround} in {table} is not what was decided"


def _there(db: Database, id: str) -> derive.Rows:
    return {
        (table, row["walkround"], row["item"]): row
        for table in TABLES.values()
        for row in _rows(db, table, id)
    }


def _rows(db: Database, table: str, id: str) -> Iterator[Row]:
    """Every row of a table that is of a walkround."""
    cursor = db.execute(f"SELECT * FROM {table} WHERE walkround = ?", [id])
    names = [column[0] for column in cursor.description]
    for row in cursor.fetchall():
        yield dict(zip(names, row, strict=True))


def _compared(db: Database, table: str, id: str, due: dict[str, Row]) -> Iterator[str]:
    """The rows of what is searched and listed, by item. Their words may be those of an older vocabulary."""
    there = {row["item"]: row for row in _rows(db, table, id)}
    for item in sorted(due.keys() | there.keys()):
        if item not in there:
            yield f"{item} of {id} is missing from {table}"
        elif item not in due:
            yield f"{item} of {id} is in {table} and was neither drafted nor added"
        elif {**there[item], **due[item], "words": None} != {**there[item], "words": None}:
            yield f"{item} of {id} in {table} is not as it was drafted or decided"
