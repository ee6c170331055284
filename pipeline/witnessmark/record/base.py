"""The file under the record: opening, closing, and transactions that are whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from witnessmark.errors import StoreError
from witnessmark.record import answers, opening, upkeep
from witnessmark.record.trouble import told

if TYPE_CHECKING:
    from sqlite_utils import Database


class RecordFile:
    """One open file. Use it as a context manager or call ``close``. One thread at a time."""

    def __init__(self, db: Database, path: Path) -> None:
        self._db, self.path = db, path

    @staticmethod
    def default_path() -> Path:
        """Where the record is kept when nobody says otherwise: the user's data folder."""
        from platformdirs import user_data_path

        return user_data_path("witnessmark", appauthor=False) / "record.sqlite"

    @classmethod
    def open(cls, path: Path) -> Self:
        """The record at ``path``, made when there is none (and its folder too, for the default path).

        One of an older version is copied beside itself and brought up to date.

        Raises:
            StoreError: the folder is missing or closed to us, the file is no record of ours, is damaged or
                from a newer version, the disk is full, or another program holds the file too long.
        """
        from sqlite_utils import Database

        with told(path):
            if path == cls.default_path():
                _make_folder(path.parent)
            record = cls(Database(opening.connect(path), execute_plugins=False), path)
        record._take_answers_over()
        return record

    def _take_answers_over(self) -> None:
        """What earlier versions kept in a file of its own; it goes once all of it is in the trail."""
        if answers.file_of(self.path).exists():
            with self.writing() as db:
                whole = answers.take_over(db, self.path)
            if whole:
                answers.let_go(self.path)

    @staticmethod
    def version_of(path: Path) -> int:
        """The schema's version of the file as it is; opening it would bring it up to date.

        Raises:
            StoreError: it is not there, no record of ours, or damaged.
        """
        return opening.version_of(path)

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def writing(self) -> Iterator[Database]:
        """All or nothing. Writers queue at the start, so that nothing they read is stale when they write."""
        with told(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield self._db
                self._db.execute("COMMIT")
            except BaseException:
                self._db.rollback()
                raise

    @contextmanager
    def reading(self) -> Iterator[Database]:
        """Everything read inside is of one moment."""
        with told(self.path):
            self._db.execute("BEGIN")
            try:
                yield self._db
            finally:
                self._db.rollback()

    def tidy(self) -> None:
        """Write the file anew without its free room, where words can stand that were taken out.

        Raises:
            StoreError: the disk is full, or another program holds the file too long.
        """
        with told(self.path):
            upkeep.tidy(self._db)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            "the folder cannot be made", str(folder), f"({error.strerror}) Name another place for the record."
        ) from error
