"""Looks the record over: file sound, trail whole, nothing confirmed without a decision."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from pydantic import ValidationError

from witnessmark.record import chain, derive
from witnessmark.record.entries import STANDING
from witnessmark.record.migrations import VERSION
from witnessmark.record.opening import pragma
from witnessmark.record.rows import TABLES
from witnessmark.types import Decision, DecisionKind

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
    for check in (_version, _file, _references, chain.faults, chain.altered_bodies, _words):
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
    except (sqlite3.Error, ValidationError) as error:
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


def _words(db: Database) -> Iterator[str]:
    entries, words = db.execute(
        "SELECT (SELECT count(*) FROM entries), (SELECT count(*) FROM entry_words_docsize)"
    ).fetchone()
    if entries != words:
        yield f"the words of {abs(entries - words)} entries are out of step with them"


def _walkround(db: Database, id: str) -> Iterator[str]:
    """Everything that follows from the draft and the trail of one walkround."""
    drafts, trail = derive.drafted(db, id), derive.decisions(db, id)
    yield from _astray(drafts, trail)
    yield from _derived(derive.due(drafts, trail), _there(db, id))
    yield from _entries(db, id, drafts, trail)


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
        for row in db.table(table).rows_where("walkround = ?", [id])
    }


def _entries(db: Database, id: str, drafts: derive.Drafts, trail: Trail) -> Iterator[str]:
    """What is searched and listed, by what was decided last."""
    due = {item: "waiting" for _, item in drafts}
    due |= {decision.item: STANDING[decision.kind] for _, decision in trail}
    there = dict(db.execute("SELECT item, standing FROM entries WHERE walkround = ?", [id]).fetchall())
    for item in sorted(due.keys() | there.keys()):
        if due.get(item) != there.get(item):
            yield f"the entry of {item} of {id} is {there.get(item, 'missing')}, and not as it was decided"
