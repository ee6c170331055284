"""The bytes of recordings on their way in: a folder for each, beside the record.

    <walk>/0.part, 1.part, …    chunks
    <walk>/whole/<name>         the recording, once it is over
    <walk>/photos/<sha256>
    <walk>.lock                 held while somebody joins, reads or drops it
    arriving/.…                 bodies of requests; as everything that begins with a dot, not whole yet, and
                                swept up when nobody writes to it any more

A file has its name only once its bytes are on the disk.
"""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.desk.problems import Refused

if TYPE_CHECKING:
    from filelock import BaseFileLock

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_BLOCK = 1 << 20
LEFT_OVER = 600.0
"""Seconds after which a file that is not whole is nobody's."""


class Parts:
    """The files of all recordings.

    Args:
        folder: made at first use.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @property
    def arriving(self) -> Path:
        """Where the bodies of requests come in."""
        return self.folder / "arriving"

    def of(self, walk: str) -> Path:
        """The folder of one recording."""
        return self.folder / walk

    def chunk(self, walk: str, number: int) -> Path:
        """Where a chunk lies."""
        return self.of(walk) / f"{number}.part"

    def chunks(self, walk: str) -> list[Path]:
        """The chunks that lie there."""
        return [path for path in self.of(walk).glob("*.part") if path.stem.isdecimal()]

    def last_at(self, walk: str) -> datetime | None:
        """When the last chunk came, UTC: as the folder tells, for there may be thousands of chunks."""
        try:
            return datetime.fromtimestamp(self.of(walk).stat().st_mtime, UTC)
        except FileNotFoundError:
            return None

    def photo(self, walk: str, sha256: str) -> Path:
        """Where a photograph lies."""
        return self.of(walk) / "photos" / sha256

    def whole(self, walk: str) -> Path | None:
        """The joined recording, where it is joined."""
        return next((self.of(walk) / "whole").glob("[!.]*"), None)

    def lock(self, walk: str) -> BaseFileLock:
        """Held by whoever joins, reads or drops the recording; let go by the system when its holder dies."""
        from filelock import FileLock

        with making_room():
            self.folder.mkdir(parents=True, exist_ok=True)
        return FileLock(self.folder / f"{walk}.lock", thread_local=False)

    def join(self, walk: str, name: str, chunks: int) -> tuple[Path, str]:
        """The recording made of its chunks, which stay; returns its file, not yet in place, and its SHA-256.

        Raises:
            Refused: 507, the disk is full; nothing is left behind.
        """
        with new_file(self.of(walk) / "whole") as path:
            hashed = hashlib.sha256()
            with path.open("wb") as file:
                for number in range(chunks):
                    for block in _blocks(self.chunk(walk, number)):
                        hashed.update(block)
                        file.write(block)
                file.flush()
                os.fsync(file.fileno())
            return path, hashed.hexdigest()

    def drop_chunks(self, walk: str) -> None:
        """Remove the chunks of a recording that is joined."""
        for path in self.chunks(walk):
            path.unlink(missing_ok=True)

    def remove(self, walk: str) -> None:
        """Remove all files of a recording."""
        shutil.rmtree(self.of(walk), ignore_errors=True)
        (self.folder / f"{walk}.lock").unlink(missing_ok=True)

    def sweep(self) -> None:
        """Remove files that are not whole and to which nobody has written for a while."""
        for path in self.folder.glob("**/.*"):
            with suppress(FileNotFoundError):
                if path.is_file() and time.time() - path.stat().st_mtime > LEFT_OVER:
                    path.unlink()


def _blocks(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while block := file.read(_BLOCK):
            yield block


@contextmanager
def new_file(folder: Path) -> Iterator[Path]:
    """A name for a file that is not whole yet; whatever lies there is removed on any error.

    Raises:
        Refused: 507, the disk is full.
    """
    path = folder / f".{uuid4().hex}"
    with making_room():
        folder.mkdir(parents=True, exist_ok=True)
        try:
            yield path
        except BaseException:
            path.unlink(missing_ok=True)
            raise


def put(path: Path, target: Path) -> None:
    """Give a file whose bytes are on the disk its name, so that it lasts through a power cut."""
    with making_room():
        target.parent.mkdir(parents=True, exist_ok=True)
        path.replace(target)
        if os.name != "nt":
            handle = os.open(target.parent, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


@contextmanager
def making_room() -> Iterator[None]:
    """Tell a disk that is full as what it is.

    Raises:
        Refused: 507.
    """
    try:
        yield
    except OSError as error:
        if error.errno not in _FULL:
            raise
        raise disk_full() from error


def disk_full() -> Refused:
    """The refusal where there is no room."""
    return Refused(
        507,
        "the disk of this desk is full; nothing of this was kept.",
        "What was sent before is safe. Make room there; then it can be sent again.",
    )
