"""Looks the record over: file sound, trail whole, nothing confirmed without a decision."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from pydantic import ValidationError

from witnessmark.record import chain, derive
from witnessmark.record.migrations import VERSION
from witnessmark.record.opening import pragma
from witnessmark.record.rows import TABLES
from witnessmark.types import DecisionKind

if TYPE_CHECKING:
    from sqlite_utils import Database


def problems(db: Database) -> list[str]:
    """What is wrong with the record, one sentence each; empty when nothing is."""
    found: list[str] = []
    checks: tuple[Callable[[Database], Iterator[str]], ...] = (
        _version,
        _file,
        _references,
        chain.faults,
        chain.altered_bodies,
        _astray,
        _derived,
        _entries,
    )
    for check in checks:
        try:
            found += check(db)
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


def _derived(db: Database) -> Iterator[str]:
    """The confirmed tables against what the trail says, read anew."""
    due, there = derive.due(db), _there(db)
    for key in sorted(due.keys() | there.keys()):
        table, walkround, item = key
        if key not in due:
            yield f"{item} of {walkround} is in {table} without a decision that lets it in"
        elif key not in there:
            yield f"{item} of {walkround} was let in and is missing from {table}"
        elif due[key] != there[key]:
            yield f"{item} of {walkround} in {table} is not what was decided"


def _entries(db: Database) -> Iterator[str]:
    """The entries against the drafts and the trail, and their words against them."""
    odd = db.execute(
        "SELECT s.walkround, s.item, e.standing FROM standing AS s LEFT JOIN entries AS e "
        "ON e.walkround = s.walkround AND e.item = s.item WHERE e.standing IS NOT "
        "iif(s.waiting, 'waiting', iif(s.kind = 'reject', 'rejected', 'confirmed'))"
    )
    for walkround, item, standing in odd.fetchall():
        yield f"the entry of {item} of {walkround} is {standing or 'missing'}, which is not what was decided"
    entries, words = db.execute(
        "SELECT (SELECT count(*) FROM entries), (SELECT count(*) FROM entry_words_docsize)"
    ).fetchone()
    if entries != words:
        yield f"the words of {abs(entries - words)} entries are out of step with them"


def _there(db: Database) -> derive.Rows:
    return {
        (table, row["walkround"], row["item"]): row
        for table in TABLES.values()
        for row in db.table(table).rows
    }


def _astray(db: Database) -> Iterator[str]:
    """Decisions on items that were neither drafted nor added; ``review`` lets none through."""
    known = derive.drafted(db).keys()
    added: set[tuple[str, str]] = set()
    for seq, decision in derive.decisions(db):
        key = decision.walkround, decision.item
        if decision.kind is DecisionKind.ADD:
            added.add(key)
        elif key not in known and key not in added:
            yield f"decision {seq} is about {decision.item} of {decision.walkround}, which is not there"
