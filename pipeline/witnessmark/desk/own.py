"""The desk's own file beside the record."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.errors import StoreError

if TYPE_CHECKING:
    from sqlite_utils import Database

BUSY_SECONDS = 10.0
_BUSY = sqlite3.SQLITE_BUSY


class Own:
    """Opens the file anew for each piece of work, so that every thread and process may use it at once."""

    def __init__(self, path: Path) -> None:
        self.path = path
        with self._connected() as connection:
            _write_ahead(connection)
            connection.executescript(files(__package__).joinpath("own.sql").read_text("utf-8"))
        path.chmod(0o600)
        # One that stays open, so that the files beside it stay too: they could not be made on a full disk.
        self._kept = sqlite3.connect(path, check_same_thread=False)
        self._kept.execute("SELECT count(*) FROM facts").fetchone()

    @contextmanager
    def reading(self) -> Iterator[Database]:
        """Everything read inside is of one moment.

        Raises:
            StoreError: the file cannot be read.
        """
        with self._connected() as connection:
            connection.execute("BEGIN")
            yield _database(connection)

    @contextmanager
    def writing(self) -> Iterator[Database]:
        """All or nothing; writers queue.

        Raises:
            StoreError: the file cannot be written, such as on a full disk.
        """
        with self._connected() as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield _database(connection)
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise

    @contextmanager
    def _connected(self) -> Iterator[sqlite3.Connection]:
        try:
            connection = sqlite3.connect(
                self.path, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
            )
            try:
                connection.execute("PRAGMA foreign_keys = ON")
                yield connection
            finally:
                connection.close()
        except (sqlite3.OperationalError, sqlite3.DatabaseError) as error:
            if isinstance(error, sqlite3.IntegrityError):
                raise
            raise StoreError(
                f"the desk's own file cannot be used ({error}).",
                str(self.path),
                "Free some space, or try again.",
            ) from error


def _database(connection: sqlite3.Connection) -> Database:
    from sqlite_utils import Database

    return Database(connection, execute_plugins=False)


def _write_ahead(connection: sqlite3.Connection) -> None:
    """SQLite does not wait here by itself where others are at it too."""
    until = time.monotonic() + BUSY_SECONDS
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != _BUSY or time.monotonic() > until:
                raise
            time.sleep(0.05)
