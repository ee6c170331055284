"""The record of every machine: one SQLite file on the workshop's own disk."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

from witnessmark.errors import StoreError
from witnessmark.record import (
    blobs,
    chain,
    derive,
    entries,
    fleet,
    intake,
    lookup,
    photos,
    queue,
    search,
    sounds,
    steps,
)
from witnessmark.record import history as histories
from witnessmark.record.care import CaredFor
from witnessmark.types import Decision, Outcome, PastReading, Walkround


class Store(CaredFor):
    """The record in one file; what is confirmed is derived from a trail that only grows.

    Every call is one transaction, stored whole or not at all. Two programs may use the file at once.
    """

    def ingest(
        self, walkround: Walkround, sound: Path | None = None, finished: steps.Finished | None = None
    ) -> bool:
        """Take a walkround in.

        Args:
            walkround: undecided.
            sound: the file that reviewers hear, whose hash is kept; where it belongs, see ``sound``.
            finished: the step of a longer work that is done with this.

        Returns:
            False when its recording, by content, is there already; the store is then as it was.

        Raises:
            StoreError: it comes with decisions, or could not be stored.
        """
        if walkround.decisions:
            raise StoreError("a walkround comes in undecided", walkround.id, "Take it in, then decide.")
        kept = sounds.measured(sound) if sound else None
        with self.writing() as db:
            new = intake.take_in(db, walkround)
            if kept and (new or sounds.of(db, walkround.id) is None):
                sounds.note(db, walkround.id, kept)
            if finished:
                steps.finish(db, finished)
            return new

    def walkround(self, which: str) -> Walkround:
        """One walkround with its trail.

        Args:
            which: its id, the beginning of its id (with or without ``w-``), or ``latest`` for the one that
                came in last.

        Raises:
            StoreError: there is none such, or several.
        """
        with self.reading() as db:
            return lookup.load(db, lookup.id_of(db, which))

    def walkrounds(self) -> list[lookup.Summary]:
        """Every walkround, the last that came in first."""
        with self.reading() as db:
            return lookup.summaries(db)

    def has(self, walkround: str) -> bool:
        """Whether the walkround of this whole id is here."""
        with self.reading() as db:
            return lookup.has(db, walkround)

    def erased_on(self, walkround: str) -> date | None:
        """The day on which the walkround of this whole id was erased; None where it was not."""
        with self.reading() as db:
            return lookup.erased_on(db, walkround)

    def search(self, words: str, limit: int = 50) -> list[search.Found]:
        """Items by any words: heard, names of part and condition, values, registration, VIN, who decided.

        Args:
            words: all must be there, in any order; the last also as the beginning of a word. Anything may be
                given; what is no word finds nothing.
            limit: how many at most.

        Returns:
            The best first; confirmed, rejected and waiting ones alike. Of very many, the newest are ranked.
        """
        with self.reading() as db:
            return search.search(db, words, limit)

    def waiting(self) -> list[queue.Waiting]:
        """Walkrounds with undecided items: those with something dangerous first, each kind oldest first."""
        with self.reading() as db:
            return queue.waiting(db)

    def machines(self) -> list[fleet.MachineRow]:
        """Every machine whose identity was confirmed, the one seen last first."""
        with self.reading() as db:
            return fleet.machines(db)

    def most_found(self, since: date | None = None, until: date | None = None) -> list[fleet.Commonness]:
        """How often each defect was confirmed as present, the commonest first.

        Args:
            since: the first day of inspection that counts; None for all before.
            until: the last one.
        """
        with self.reading() as db:
            return fleet.most_found(db, since, until)

    def decide(self, decision: Decision, outcome: Outcome) -> None:
        """Add a decision to the trail and bring the confirmed record in step.

        Args:
            decision: already found to fit.
            outcome: what the walkround's trail comes to with this decision as its last.

        Raises:
            StoreError: no such walkround, the item was decided on meanwhile, or it could not be stored.
            ValueError: the outcome does not follow from the decision.
        """
        with self.writing() as db:
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
        with self.reading() as db:
            return histories.history(db, machine)

    def history_of(self, walkround: str) -> histories.History:
        """Everything confirmed of the machine of the walkround of this whole id, oldest first."""
        with self.reading() as db:
            return histories.history_of(db, walkround)

    def past_readings(self, machine: str, before: date) -> tuple[PastReading, ...]:
        """Confirmed readings of a machine from days before ``before``, oldest first.

        Raises:
            StoreError: as ``history``.
        """
        with self.reading() as db:
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
        with self.writing() as db:
            return photos.add(db, photo)

    def photos(self, walkround: str) -> tuple[photos.Photo, ...]:
        """The pictures of a walkround by its whole id: of the whole first, then by their moment."""
        with self.reading() as db:
            return photos.of(db, walkround)

    def photo_bytes(self, sha256: str) -> bytes:
        """The bytes of a picture.

        Raises:
            StoreError: they are not there, or are not what was stored.
        """
        return blobs.get(photos.folder_of(self.path), sha256)

    def sound(self, walkround: str) -> Path:
        """The file of a walkround's sound, by its whole id, found to be what was stored.

        Raises:
            StoreError: it was removed, is not there, or was changed.
        """
        with self.reading() as db:
            return sounds.whole(self.path, walkround, sounds.of(db, walkround))

    def know_sound(self, walkround: str) -> None:
        """Know the sound that lies where it belongs by its hash from now on."""
        kept = sounds.measured(sounds.path_of(self.path, walkround))
        with self.writing() as db:
            sounds.note(db, walkround, kept)

    def sound_removed(self, walkround: str) -> bool:
        """Whether a rule or a request took the sound of a walkround away for good."""
        with self.reading() as db:
            kept = sounds.of(db, walkround)
            return kept is not None and kept.removed_at is not None

    def keep_step(self, recording: str, step: str, result: str) -> None:
        """Keep what a step of an intake came to until its walkround is in, so that it is done once.

        Args:
            recording: hash of the recording.
            step: its name.
            result: text.
        """
        with self.writing() as db:
            steps.keep(db, recording, step, result)

    def step(self, recording: str, step: str) -> str | None:
        """What a step came to; None where it was not done or its walkround is in."""
        with self.reading() as db:
            return steps.done(db, recording, step)

    def tried(self, source: str, reason: str) -> int:
        """Note that a recording could not be taken in; returns how often that was so."""
        with self.writing() as db:
            return steps.failed(db, source, reason)

    def forgive(self, source: str) -> None:
        """Forget that a recording could not be taken in."""
        with self.writing() as db:
            steps.forgive(db, source)

    def set_aside(self, least: int = 1) -> list[steps.SetAside]:
        """Recordings tried in vain at least so often, the last first."""
        with self.reading() as db:
            return steps.set_aside(db, least)
