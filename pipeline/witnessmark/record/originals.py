"""Recordings as they were made, kept beside the record under the hash of their bytes."""

from __future__ import annotations

import hashlib
import os
import shutil
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.errors import StoreError
from witnessmark.record import blobs

if TYPE_CHECKING:
    from witnessmark.record.store import Store


def folder_of(record: Path) -> Path:
    """Where they lie: beside the record's file."""
    return record.with_suffix(".recordings")


def whole(record: Path, sha256: str) -> Path:
    """The file of this hash, found to be what was kept.

    Raises:
        StoreError: it is not there, or was changed.
    """
    path = blobs.place(folder_of(record), sha256)
    if not path.exists():
        raise StoreError("the recording is not kept here", str(path), "Look where it came from.")
    if _hash(path) != sha256:
        raise StoreError("the recording was changed after it was kept", str(path), "Restore it from a copy.")
    return path


def _hash(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise StoreError(f"cannot be read ({error.strerror})", str(path), "Check the disk.") from error


class Originals:
    """The recordings kept beside a record.

    Args:
        store: the record.
    """

    def __init__(self, store: Store) -> None:
        self._store = store

    def keep(self, file: Path) -> str:
        """Copy a recording, whole or not at all; one that is there already is left. Returns its hash.

        Raises:
            StoreError: it cannot be read or written.
        """
        sha256 = _hash(file)
        target = blobs.place(folder_of(self._store.path), sha256)
        if target.exists() and _hash(target) == sha256:
            return sha256
        part = target.with_name(f".{sha256}.{uuid4().hex}")
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(file, part)
            with part.open("rb") as copied:
                os.fsync(copied.fileno())
            part.replace(target)
        except OSError as error:
            what = f"the recording cannot be kept ({error.strerror})"
            raise StoreError(what, str(target), "Make room and try again.") from error
        finally:
            part.unlink(missing_ok=True)
        return sha256

    def file(self, walkround: str) -> Path:
        """The recording of a walkround, by its whole id, found to be what was kept.

        Raises:
            StoreError: there is no such walkround, or the recording is not kept or was changed.
        """
        with self._store.reading() as db:
            row = db.execute("SELECT recording FROM walkrounds WHERE id = ?", [walkround]).fetchone()
        if row is None:
            raise StoreError("there is no such walkround", walkround, "List the walkrounds to see them.")
        return whole(self._store.path, row[0])
