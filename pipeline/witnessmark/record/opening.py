"""Opens the file: makes a new record, brings an older one up to date, or makes sure that we can read it."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from witnessmark.errors import StoreError
from witnessmark.record.migrations import VERSION, upgrade
from witnessmark.record.trouble import told

FIRST = "0" * 64
"""Stands for the hash before the first decision."""
APPLICATION_ID = 0x57744D6B
"""Marks the file as ours (the letters WtMk), in bytes 68 to 71 of its header."""
BUSY_SECONDS = 10.0
"""How long to wait for another program that is writing."""
OLDEST_SQLITE = (3, 38, 0)
"""The first with strict tables and with ``->>``."""


def connect(path: Path) -> sqlite3.Connection:
    """A connection to the record at ``path``, which is made when there is none.

    A record of an older version is copied beside itself and brought up to date.

    Raises:
        StoreError: the file is another program's, from a newer version or damaged; it was left alone.
        sqlite3.Error: for the caller to translate.
    """
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise StoreError(
            f"SQLite {sqlite3.sqlite_version} is too old",
            remedy=f"Use a Python with SQLite {'.'.join(map(str, OLDEST_SQLITE))} or later.",
        )
    try:
        there = path.parent.is_dir()
    except PermissionError as error:
        what = "the folder may not be looked into by this user"
        raise StoreError(what, str(path.parent), "Change its permissions, or name another.") from error
    if not there:
        raise StoreError("the folder does not exist", str(path.parent), "Make it, or name another.")
    # One store is used by one thread at a time, but a web server may open and use it in different ones.
    connection = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False)
    try:
        if _is_blank(connection):
            _at_once(connection, lambda: _create(connection))
        if recognise(connection, path) < VERSION:
            _at_once(connection, lambda: _bring_up(connection, path))
        _prepare(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def version_of(path: Path) -> int:
    """The schema's version, without a change to the file; see ``RecordFile.version_of``."""
    with told(path), closing(sqlite3.connect(path.absolute().as_uri() + "?mode=ro", uri=True)) as looked_at:
        return recognise(looked_at, path)


def pragma(connection: sqlite3.Connection, name: str) -> int:
    """Value of a numeric pragma."""
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def _is_blank(connection: sqlite3.Connection) -> bool:
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    return not tables and not pragma(connection, "application_id") and not pragma(connection, "user_version")


def _at_once(connection: sqlite3.Connection, change: Callable[[], None]) -> None:
    """All of a change or nothing; two programs that start together come one after the other."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        change()
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _create(connection: sqlite3.Connection) -> None:
    if not _is_blank(connection):
        return  # another program made it meanwhile
    upgrade(connection, since=0)
    made_at = datetime.now(UTC).isoformat()
    facts = {"schema_version": str(VERSION), "made_at": made_at, "last_hash": FIRST}
    connection.executemany("INSERT INTO meta VALUES (?, ?)", facts.items())
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def _bring_up(connection: sqlite3.Connection, path: Path) -> None:
    version = pragma(connection, "user_version")
    if version < VERSION:  # or else another program did it meanwhile
        _copy_beside(path, version)
        upgrade(connection, since=version)


def _copy_beside(path: Path, version: int) -> Path:
    """The record as it was before the change: whole or not at all.

    The copy is made while the change is held back, so nothing is lost between the two.
    """
    when = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    target = path.with_name(f"{path.stem}.version{version}-{when}{path.suffix}")
    part = target.with_name(f".{target.name}.part")
    try:
        with closing(sqlite3.connect(path)) as old, closing(sqlite3.connect(part)) as copy:
            old.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return target


def recognise(connection: sqlite3.Connection, path: Path) -> int:
    """The schema's version, before anything is written to the file.

    Raises:
        StoreError: it is no record of ours, or of a version that is not known.
    """
    if pragma(connection, "application_id") != APPLICATION_ID:
        raise StoreError("the file is another program's database", str(path), "Name another file.")
    version = pragma(connection, "user_version")
    if version > VERSION:
        raise StoreError(
            f"the record was written by a newer Witnessmark (schema {version}, this one knows {VERSION})",
            str(path),
            "Install the newer one; the file was left as it is.",
        )
    if version < 1:
        raise StoreError(f"schema {version} of the record is not known", str(path), "Restore a good copy.")
    return version


def _prepare(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")
    if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        _write_ahead(connection)


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Switch to write-ahead logging; SQLite does not wait here by itself where others are at it too."""
    until = time.monotonic() + BUSY_SECONDS
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.05)
