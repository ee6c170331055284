"""The record of every machine: one SQLite file on the workshop's own disk."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from witnessmark.errors import StoreError
from witnessmark.record import (
    blobs,
    chain,
    checks,
    derive,
    entries,
    fleet,
    intake,
    lookup,
    opening,
    photos,
    queue,
    search,
)
from witnessmark.record import history as histories
from witnessmark.record.trouble import told
from witnessmark.types import Decision, Outcome, PastReading, Walkround

if TYPE_CHECKING:
    from sqlite_utils import Database


class Store:
    """The record in one file; what is confirmed is derived from a trail that only grows.

    Every call is one transaction: it is stored whole or, on any error, not at all. Two programs may use
    the file at once. Use it as a context manager or call ``close``.
    """

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

        Raises:
            StoreError: the folder is missing or closed to us, the file is no record of ours, is damaged or
                from a newer version, the disk is full, or another program holds the file too long.
        """
        from sqlite_utils import Database

        with told(path):
            if path == cls.default_path():
                _make_folder(path.parent)
            return cls(Database(opening.connect(path), execute_plugins=False), path)

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
    def _writing(self) -> Iterator[Database]:
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
    def _reading(self) -> Iterator[Database]:
        """Everything read inside is of one moment."""
        with told(self.path):
            self._db.execute("BEGIN")
            try:
                yield self._db
            finally:
                self._db.rollback()

    def ingest(self, walkround: Walkround) -> bool:
        """Take a walkround in.

        Returns:
            False when its recording, by content, is there already; the store is then as it was.

        Raises:
            StoreError: it comes with decisions, or could not be stored.
        """
        if walkround.decisions:
            raise StoreError("a walkround comes in undecided", walkround.id, "Take it in, then decide.")
        with self._writing() as db:
            return intake.take_in(db, walkround)

    def walkround(self, which: str) -> Walkround:
        """One walkround with its trail.

        Args:
            which: its id, the beginning of its id (with or without ``w-``), or ``latest`` for the one that
                came in last.

        Raises:
            StoreError: there is none such, or several.
        """
        with self._reading() as db:
            return lookup.load(db, lookup.id_of(db, which))

    def walkrounds(self) -> list[lookup.Summary]:
        """Every walkround, the last that came in first."""
        with self._reading() as db:
            return lookup.summaries(db)

    def has(self, walkround: str) -> bool:
        """Whether the walkround of this whole id is here."""
        with self._reading() as db:
            return lookup.has(db, walkround)

    def search(self, words: str, limit: int = 50) -> list[search.Found]:
        """Items by any words: heard, names of part and condition, values, registration, VIN, who decided.

        Args:
            words: all must be there, in any order; the last also as the beginning of a word. Anything may be
                given; what is no word finds nothing.
            limit: how many at most.

        Returns:
            The best first; confirmed, rejected and waiting ones alike. Of very many, the newest are ranked.
        """
        with self._reading() as db:
            return search.search(db, words, limit)

    def waiting(self) -> list[queue.Waiting]:
        """Walkrounds with undecided items: those with something dangerous first, each kind oldest first."""
        with self._reading() as db:
            return queue.waiting(db)

    def machines(self) -> list[fleet.MachineRow]:
        """Every machine whose identity was confirmed, the one seen last first."""
        with self._reading() as db:
            return fleet.machines(db)

    def most_found(self, since: date | None = None, until: date | None = None) -> list[fleet.Commonness]:
        """How often each defect was confirmed as present, the commonest first.

        Args:
            since: the first day of inspection that counts; None for all before.
            until: the last one.
        """
        with self._reading() as db:
            return fleet.most_found(db, since, until)

    def decide(self, decision: Decision, outcome: Outcome) -> None:
        """Add a decision to the trail and bring the confirmed record in step.

        Args:
            decision: already found to fit.
            outcome: what the walkround's trail comes to with this decision as its last.

        Raises:
            StoreError: the walkround is not here, somebody else decided on the same item after the outcome's
                trail was read, or it could not be stored.
            ValueError: the outcome does not follow from the decision.
        """
        with self._writing() as db:
            self._refuse_if_overtaken(decision, outcome)
            derive.rewrite(db, chain.append(db, decision), decision, outcome)
            entries.follow(db, decision)

    def _refuse_if_overtaken(self, decision: Decision, outcome: Outcome) -> None:
        """Writers queue, so what is read here is the latest."""
        if not self._db.execute("SELECT 1 FROM walkrounds WHERE id = ?", [decision.walkround]).fetchone():
            raise StoreError("there is no such walkround", decision.walkround, "Take it in first.")
        trail = outcome.walkround.decisions
        if chain.of_item(self._db, decision) != [made for made in trail[:-1] if made.item == decision.item]:
            raise StoreError(
                "somebody decided on this item meanwhile", decision.item, "Read it again, then decide."
            )

    def history(self, machine: str) -> histories.History:
        """Everything confirmed of a machine, oldest first.

        Args:
            machine: registration or VIN; case, spaces and hyphens do not matter.

        Raises:
            StoreError: the registration was confirmed on machines of different VINs.
        """
        with self._reading() as db:
            return histories.history(db, machine)

    def past_readings(self, machine: str, before: date) -> tuple[PastReading, ...]:
        """Confirmed readings of a machine from days before ``before``, oldest first.

        Raises:
            StoreError: as ``history``.
        """
        with self._reading() as db:
            return histories.past_readings(db, machine, before)

    def add_photo(
        self, walkround: str, content: bytes, who: str, seconds: float | None = None
    ) -> photos.Photo:
        """Keep a picture with a walkround. The same one at the same moment is kept once.

        Args:
            walkround: its whole id.
            content: a JPEG, PNG, WebP, AVIF or HEIC file, to the byte.
            who: who attaches it.
            seconds: the moment it shows, from the start of the recording; None for the whole.

        Raises:
            BadInputError: it is no such picture.
            StoreError: there is no such walkround, or it cannot be written.
        """
        media_type = photos.media_type_of(content)
        sha256 = blobs.put(photos.folder_of(self.path), content)
        photo = photos.Photo(sha256, walkround, seconds, media_type, len(content), who, datetime.now(UTC))
        with self._writing() as db:
            return photos.add(db, photo)

    def photos(self, walkround: str) -> tuple[photos.Photo, ...]:
        """The pictures of a walkround by its whole id: of the whole first, then by their moment."""
        with self._reading() as db:
            return photos.of(db, walkround)

    def photo_bytes(self, sha256: str) -> bytes:
        """The bytes of a picture.

        Raises:
            StoreError: they are not there, or are not what was stored.
        """
        return blobs.get(photos.folder_of(self.path), sha256)

    def check(self) -> list[str]:
        """What is wrong with the record, one sentence each; empty when all is well."""
        with self._reading() as db:
            return checks.problems(db)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            "the folder cannot be made", str(folder), f"({error.strerror}) Name another place for the record."
        ) from error
