"""How the record is looked after: its head, its check, copies, and room taken back."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from witnessmark.errors import StoreError
from witnessmark.record import chain, checks, entries, steps, upkeep
from witnessmark.record.base import RecordFile
from witnessmark.record.trouble import told


class CaredFor(RecordFile):
    """A record that can be looked over, copied and compacted."""

    def head(self) -> str:
        """Hash of the trail's last entry. Noted elsewhere, it shows later that nothing before it changed."""
        with self.reading() as db:
            return chain.head(db)

    def had_head(self, head: str) -> bool:
        """Whether the trail ends with this hash or once did."""
        with self.reading() as db:
            return chain.had(db, head)

    def check(self, progress: upkeep.Progress = upkeep.unwatched, *, quick: bool = False) -> list[str]:
        """What is wrong with the record and the files beside it, one sentence each; empty if all is well.

        Args:
            progress: told how far it is.
            quick: look at the file, the trail and the drafts only.
        """
        with self.reading() as db:
            found = checks.problems(db, quick, progress)
            if quick:
                return found
            found += upkeep.broken_files(db, self.path, progress)
        return found + self._index_faults()

    def _index_faults(self) -> list[str]:
        try:
            with self.writing() as db:
                return list(checks.index_faults(db))
        except StoreError as error:
            return [f"the search index cannot be looked over: {error.what}"]

    def backup(self, target: Path, progress: upkeep.Progress = upkeep.unwatched) -> upkeep.Copied:
        """Copy the record and the files beside it, while others go on using it.

        The copy is a record like any other: open it, or put it in the place of the one that was lost.

        Args:
            target: the copy's file; one that is there is replaced once the new one is whole. Sounds and
                pictures lie beside it and are only copied when they are not there yet.
            progress: told how far it is.

        Raises:
            StoreError: it cannot be written, or is not what was copied; what was there is left.
        """
        if target.resolve() == self.path.resolve():
            raise StoreError("is the record itself", str(target), "Name another file for the copy.")
        with self.reading() as db:
            return upkeep.backup(db, self.path, target, progress)

    def compact(self) -> upkeep.Room:
        """Take back room that is no longer needed, make the search index anew, drop files nobody wants."""
        with self.writing() as db:
            entries.rebuild(db)
            steps.forget(db, datetime.now(UTC))
            lost = upkeep.orphans(db, self.path)
        with told(self.path):
            return upkeep.compact(self._db, self.path, lost)
