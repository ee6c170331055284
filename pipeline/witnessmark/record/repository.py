"""What everything above the record asks of it, whatever keeps it: a file, or a server's database.

``Store`` is the only one there is. What each method promises stands with it there; docs/scale.md says what
another would have to bring.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from witnessmark.record.fleet import Commonness, MachineRow
    from witnessmark.record.history import History
    from witnessmark.record.lookup import Summary
    from witnessmark.record.photos import Photo
    from witnessmark.record.queue import Waiting
    from witnessmark.record.search import Found
    from witnessmark.record.steps import Finished, SetAside
    from witnessmark.record.store import Store
    from witnessmark.record.upkeep import Copied, Progress, Room
    from witnessmark.types import Decision, Outcome, PastReading, Walkround


class Intake(Protocol):
    """How recordings come in: step by step, each once."""

    @property
    def path(self) -> Path:
        """Where the record lies; sounds and pictures lie beside it."""

    def has(self, walkround: str) -> bool:
        """Whether the walkround of this whole id is here."""

    def walkround(self, which: str) -> Walkround:
        """One walkround with its trail, by its id, the beginning of its id, or ``latest``."""

    def ingest(
        self, walkround: Walkround, sound: Path | None = None, finished: Finished | None = None
    ) -> bool:
        """Take a walkround in, whole or not at all; False when its recording is there already."""

    def sound_removed(self, walkround: str) -> bool:
        """Whether a rule or a request took the sound of a walkround away for good."""

    def know_sound(self, walkround: str) -> None:
        """Know the sound that lies where it belongs by its hash from now on."""

    def keep_step(self, recording: str, step: str, result: str) -> None:
        """Keep what a step of an intake came to until its walkround is in."""

    def step(self, recording: str, step: str) -> str | None:
        """What a step came to; None where it was not done or its walkround is in."""

    def tried(self, source: str, reason: str) -> int:
        """Note that a recording could not be taken in; returns how often that was so."""

    def forgive(self, source: str) -> None:
        """Forget that a recording could not be taken in."""

    def set_aside(self, least: int = 1) -> list[SetAside]:
        """Recordings tried in vain at least so often, the last first."""


class Reviewed(Protocol):
    """How the record is decided on and asked."""

    def decide(self, decision: Decision, outcome: Outcome) -> None:
        """Add a decision to the trail and bring the confirmed record in step, at once."""

    def erased_on(self, walkround: str) -> date | None:
        """The day on which the walkround of this whole id was erased; None where it was not."""

    def walkrounds(self) -> list[Summary]:
        """Every walkround, the last that came in first."""

    def waiting(self) -> list[Waiting]:
        """Walkrounds with undecided items, the most pressing first."""

    def search(self, words: str, limit: int = 50) -> list[Found]:
        """Items that have all of the words, the best first."""

    def machines(self) -> list[MachineRow]:
        """Every machine whose identity was confirmed, the one seen last first."""

    def most_found(self, since: date | None = None, until: date | None = None) -> list[Commonness]:
        """How often each defect was confirmed as present, the commonest first."""

    def history(self, machine: str) -> History:
        """Everything confirmed of a machine, by registration or VIN, oldest first."""

    def history_of(self, walkround: str) -> History:
        """Everything confirmed of the machine of one walkround."""

    def past_readings(self, machine: str, before: date) -> tuple[PastReading, ...]:
        """Confirmed readings of a machine from earlier days, oldest first."""

    def sound(self, walkround: str) -> Path:
        """The file of a walkround's sound, found to be what was stored."""

    def add_photo(self, walkround: str, content: bytes, who: str, seconds: float | None = None) -> Photo:
        """Keep a picture with a walkround; the same one at the same moment once."""

    def photos(self, walkround: str) -> tuple[Photo, ...]:
        """The pictures of a walkround: of the whole first, then by their moment."""

    def photo_bytes(self, sha256: str) -> bytes:
        """The bytes of a picture, found to be what was stored."""


class Kept(Protocol):
    """How the record is looked after."""

    def head(self) -> str:
        """Hash of the trail's last entry."""

    def had_head(self, head: str) -> bool:
        """Whether the trail ends with this hash or once did."""

    def check(self, progress: Progress = ..., *, quick: bool = False) -> list[str]:
        """What is wrong, one sentence each; empty if all is well."""

    def backup(self, target: Path, progress: Progress = ...) -> Copied:
        """Copy everything while others go on using it."""

    def compact(self) -> Room:
        """Take back room that is no longer needed."""


class Repository(Intake, Reviewed, Kept, Protocol):
    """All of it."""


def _fulfilled(store: Store) -> Repository:
    """No more than a line for mypy: it passes only while ``Store`` fulfils the interface."""
    return store
