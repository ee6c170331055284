"""Opens the file: makes a new record, or makes sure that it is one we can read."""

from __future__ import annotations

import sqlite3
import time
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

from witnessmark.errors import StoreError
from witnessmark.record.chain import FIRST

VERSION = 1
"""Of the schema: ``PRAGMA user_version`` and ``meta``."""
APPLICATION_ID = 0x57744D6B
"""Marks the file as ours (the letters WtMk), in bytes 68 to 71 of its header."""
BUSY_SECONDS = 10.0
"""How long to wait for another program that is writing."""
OLDEST_SQLITE = (3, 37, 0)
"""The first with strict tables."""


def connect(path: Path) -> sqlite3.Connection:
    """A connection to the record at ``path``, which is made when there is none.

    Raises:
        StoreError: the file is another program's, from a newer version or damaged; it was left alone.
        sqlite3.Error: for the caller to translate.
    """
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise StoreError(
            f"SQLite {sqlite3.sqlite_version} is too old",
            remedy=f"Use a Python with SQLite {'.'.join(map(str, OLDEST_SQLITE))} or later.",
        )
    if not path.parent.is_dir():
        raise StoreError("the folder does not exist", str(path.parent), "Make it, or name another.")
    connection = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
    try:
        if _is_blank(connection):
            _create(connection)
        _recognise(connection, path)
        _prepare(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def pragma(connection: sqlite3.Connection, name: str) -> int:
    """Value of a numeric pragma."""
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def _is_blank(connection: sqlite3.Connection) -> bool:
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    return not tables and not pragma(connection, "application_id") and not pragma(connection, "user_version")


def _create(connection: sqlite3.Connection) -> None:
    """All or nothing, and only once where two programs start together."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        if _is_blank(connection):
            for statement in _statements(
                files("witnessmark.record").joinpath("schema.sql").read_text("utf-8")
            ):
                connection.execute(statement)
            facts = {
                "schema_version": str(VERSION),
                "made_at": datetime.now(UTC).isoformat(),
                "last_hash": FIRST,
            }
            connection.executemany("INSERT INTO meta VALUES (?, ?)", facts.items())
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _lay_out(connection: sqlite3.Connection) -> None:
    for statement in _statements(files(__package__).joinpath("schema.sql").read_text("utf-8")):
        connection.execute(statement)
    made_at = datetime.now(UTC).isoformat()
    facts = {"schema_version": str(VERSION), "made_at": made_at, "last_hash": FIRST}
    connection.executemany("INSERT INTO meta VALUES (?, ?)", facts.items())
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {VERSION}")


def _statements(script: str) -> list[str]:
    """The script's statements one by one: ``executescript`` would commit before it starts."""
    statements, pending = [], ""
    for line in script.splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            statements.append(pending)
            pending = ""
    return statements


def _recognise(connection: sqlite3.Connection, path: Path) -> None:
    """Before anything is written to it."""
    if pragma(connection, "application_id") != APPLICATION_ID:
        raise StoreError("the file is another program's database", str(path), "Name another file.")
    version = pragma(connection, "user_version")
    if version > VERSION:
        raise StoreError(
            f"the record was written by a newer Witnessmark (schema {version}, this one knows {VERSION})",
            str(path),
            "Install the newer one; the file was left as it is.",
        )
    if version < VERSION:
        raise StoreError(f"schema {version} of the record is not known", str(path), "Restore a good copy.")


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
