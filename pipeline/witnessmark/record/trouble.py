"""Turns what SQLite reports into what happened, to which file, and what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from witnessmark.errors import StoreError

_DAMAGED = ("the file is damaged", "Keep a copy, and restore the last good one.")
_NO_ACCESS = ("the file cannot be opened for writing", "Check that the folder exists and may be written to.")
_BUSY = ("another program is writing to the record", "Nothing was stored. Try again in a moment.")

_TOLD: dict[int, tuple[str, str]] = {
    sqlite3.SQLITE_BUSY: _BUSY,
    sqlite3.SQLITE_LOCKED: _BUSY,
    sqlite3.SQLITE_FULL: ("the disk is full", "Nothing was stored. Make room and try again."),
    sqlite3.SQLITE_IOERR: ("the disk cannot be read or written", "Nothing was stored. Check the disk."),
    sqlite3.SQLITE_CANTOPEN: _NO_ACCESS,
    sqlite3.SQLITE_READONLY: _NO_ACCESS,
    sqlite3.SQLITE_PERM: _NO_ACCESS,
    sqlite3.SQLITE_AUTH: _NO_ACCESS,
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_NOTADB: ("the file is not a database", "Name another file, or move this one away."),
}
"""Primary result code (sqlite.org/rescode.html) → what happened, what to do."""


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Raise StoreError for any error of SQLite's inside the block."""
    try:
        yield
    except sqlite3.Error as error:
        raise as_store_error(error, path) from error
    except UnicodeDecodeError as error:  # from SQLite's own complaint, when it quotes what is damaged
        raise StoreError(_DAMAGED[0], str(path), _DAMAGED[1]) from error


def as_store_error(error: sqlite3.Error, path: Path) -> StoreError:
    """The error for people; the low byte of SQLite's extended code is the primary one."""
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    what, remedy = _TOLD.get(code, (f"the record refused: {error}", "Nothing was stored. Check the record."))
    return StoreError(what, str(path), remedy)
