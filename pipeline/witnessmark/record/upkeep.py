"""Copies of the whole record, and taking back the room that it no longer needs."""

from __future__ import annotations

import os
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from uuid import uuid4

from witnessmark.errors import StoreError
from witnessmark.record import answers, blobs, chain, originals, photos, sounds
from witnessmark.record.trouble import told

if TYPE_CHECKING:
    from sqlite_utils import Database

Progress = Callable[[float, float], None]
"""Takes what is done and the whole, in any unit."""


def unwatched(done: float, whole: float) -> None:
    """Where nobody watches the progress."""


PAGES = 2_000
"""Copied at once; between them the progress is told."""
STALE_SECONDS = 86_400.0
"""A file without its row may belong to an intake that is under way; after a day it does not."""


class Room(NamedTuple):
    """What compacting came to, in bytes of the record's file."""

    before: int
    after: int
    files: int
    """Sounds and pictures taken away that nobody wanted."""


class Copied(NamedTuple):
    """A copy of the record."""

    path: Path
    head: str
    """Hash of the last row of its trail."""
    files: int
    """Sounds and pictures that were copied; those there already are not counted."""


def backup(db: Database, record: Path, target: Path, progress: Progress) -> Copied:
    """Copy the record as it is at this moment; others go on writing meanwhile. See ``Store.backup``."""
    if not target.parent.is_dir():
        raise StoreError("the folder does not exist", str(target.parent), "Make it, or name another.")
    part = target.with_name(f".{target.name}.{uuid4().hex}")
    for left in target.parent.glob(f".{target.name}.*"):
        if left.stat().st_mtime < time.time() - STALE_SECONDS:
            left.unlink(missing_ok=True)  # of a copy that was killed
    try:
        with told(target):
            head = _copy(db, part, progress)
        files = sum(_copy_files(record, target, progress))  # first, so that no copy names what it has not
        part.replace(target)
    except OSError as error:
        raise _unwritable(error, target) from error
    finally:
        for left in (part, *(part.with_name(part.name + end) for end in ("-wal", "-shm", "-journal"))):
            left.unlink(missing_ok=True)
    return Copied(target, head, files)


def _copy(db: Database, part: Path, progress: Progress) -> str:
    """The copy on disk, looked over; returns the head of its trail."""
    # This first read holds one moment fast, so that writers neither wait nor make the copy start anew.
    wanted = chain.head(db)
    with closing(sqlite3.connect(part)) as copy:
        db.conn.backup(
            copy, pages=PAGES, progress=lambda _, left, whole: progress(whole - left, whole), sleep=0
        )
        copy.execute("PRAGMA journal_mode = DELETE")
        (said,) = copy.execute("PRAGMA quick_check").fetchone()
        (head,) = copy.execute("SELECT value FROM meta WHERE key = 'last_hash'").fetchone()
    if said != "ok" or head != wanted:
        raise StoreError("the copy is not what was copied", str(part), "Check the disk; try another.")
    with part.open("rb") as file:
        os.fsync(file.fileno())
    return str(head)


def _copy_files(record: Path, target: Path, progress: Progress) -> Iterator[int]:
    """Sounds and pictures that the copy does not have yet: named by content, they never change."""
    for folder_of in (_sound_folder, photos.folder_of, originals.folder_of):
        source, goal = folder_of(record), folder_of(target)
        files = _kept(source)
        for number, path in enumerate(files, 1):
            yield _copy_file(path, goal / path.relative_to(source))
            progress(number, len(files))


def _copy_file(path: Path, goal: Path) -> int:
    part = goal.with_name(f".{goal.name}.{uuid4().hex}")
    try:
        if goal.exists() and goal.stat().st_size == path.stat().st_size:
            return 0
        goal.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, part)
        part.replace(goal)
    except FileNotFoundError:
        return 0  # a rule took it away meanwhile
    except OSError as error:
        raise _unwritable(error, goal) from error
    finally:
        part.unlink(missing_ok=True)
    return 1


def _unwritable(error: OSError, target: Path) -> StoreError:
    return StoreError(
        f"the copy cannot be written ({error.strerror})", str(target), "Make room, or name another place."
    )


def _sound_folder(record: Path) -> Path:
    return sounds.path_of(record, "").parent


def orphans(db: Database, record: Path) -> list[Path]:
    """Files that no row of the record wants, and that no intake is busy with."""
    wanted = {
        file
        for (id,) in db.execute(
            "SELECT w.id FROM walkrounds AS w LEFT JOIN sounds AS s ON s.walkround = w.id "
            "WHERE w.erased_at IS NULL AND s.removed_at IS NULL"
        ).fetchall()
        for file in sounds.files_of(db, record, id)
    }
    folder = photos.folder_of(record)
    wanted |= {blobs.place(folder, sha256) for (sha256,) in db.execute("SELECT sha256 FROM photos")}
    folders = (_sound_folder(record), folder, originals.folder_of(record))
    lying = [path for f in folders for path in f.rglob("*") if path.is_file()]
    before = time.time() - STALE_SECONDS
    return [path for path in lying if path not in wanted and path.stat().st_mtime < before]


def broken_files(db: Database, record: Path, progress: Progress) -> Iterator[str]:
    """Sounds and pictures that are not there, and these and recordings that are not what was stored."""
    yield from answers.left_over(db, record)
    heard = db.execute("SELECT walkround FROM sounds WHERE removed_at IS NULL").fetchall()
    seen = db.execute("SELECT DISTINCT sha256 FROM photos").fetchall()
    reads: list[Callable[[], object]] = [
        *(partial(sounds.whole, record, id, sounds.of(db, id)) for (id,) in heard),
        *(partial(blobs.get, photos.folder_of(record), sha256) for (sha256,) in seen),
        *(partial(originals.whole, record, path.name) for path in _kept(originals.folder_of(record))),
    ]
    for number, read in enumerate(reads, 1):
        try:
            read()
        except StoreError as error:
            yield f"{error.where}: {error.what}"
        progress(number, len(reads))


def _kept(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file() and not path.name.startswith(".")]


def tidy(db: Database) -> None:
    """Leave no words in the file that were taken out of its tables: not in index, free room or log.

    SQLite's ``secure_delete`` is not enough: where a row grows, what it was stays between other rows.
    """
    db.execute("INSERT INTO entry_words (entry_words) VALUES ('optimize')")
    db.execute("VACUUM")
    db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()


def compact(db: Database, record: Path, lost: list[Path]) -> Room:
    """Write the file anew without its free room, and take away the files that nobody wants."""
    before = record.stat().st_size
    tidy(db)
    for path in lost:
        path.unlink(missing_ok=True)
    return Room(before, record.stat().st_size, len(lost))
