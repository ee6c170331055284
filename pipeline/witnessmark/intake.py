"""Takes one recording into the record, with its sound beside it."""

from __future__ import annotations

import logging
import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from threading import get_ident
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from witnessmark.record import Store
    from witnessmark.run import Progress, Stage
    from witnessmark.transcribe import Transcriber
    from witnessmark.types import Sound, Transcript, Walkround


class Taken(NamedTuple):
    """A walkround in the record."""

    walkround: Walkround
    new: bool
    """Whether the record had to take it in; False when it had the recording already."""


class DamagedError(BadInputError):
    """A recording is cut off or damaged; what is left of it can be taken in."""


def _quiet(name: str, result: object) -> None:
    """Where nobody watches the stages."""


def _unheard(message: str) -> None:
    """Where nobody is told."""


def take_in(
    file: Path,
    record: Store,
    transcriber: Transcriber,
    on: date | None,
    jurisdiction: str | None,
    *,
    damaged: bool = False,
    longest: float = math.inf,
    speaker: str = "",
    stage: Stage = _quiet,
    progress: Progress | None = None,
    note: Callable[[str], None] = _unheard,
) -> Taken:
    """The walkround of a recording, taken in unless its recording is there already.

    Args:
        file: the recording.
        record: the store.
        transcriber: the speech model.
        on: day of the inspection; the local day on which the file was written if None.
        jurisdiction: country (and state) whose limits apply.
        damaged: take in what is left of a recording that is cut off.
        longest: seconds; a longer recording is refused.
        speaker: who inspected and spoke, where that is known.
        stage: told of each stage as it is done.
        progress: told how far the talk is read.
        note: told what is missing of a recording that is taken in damaged.

    Raises:
        DamagedError: the recording is cut off or damaged.
        BadInputError: the file is no recording of speech.
        SpeechModelError: the speech model cannot be loaded.
        StoreError: the record or the sound beside it cannot be written; both are then as they were.
    """
    from witnessmark import run

    sound = _whole(file, damaged, longest, note)
    stage("capture", sound)
    id = run.walkround_id(sound.recording)
    if record.has(id):
        if not record.sound_removed(id) and keep_sound(record.path, id, sound):
            record.know_sound(id)
        return Taken(record.walkround(id), False)
    transcript = _heard(sound, record, transcriber, str(file), progress)
    stage("transcribe", transcript)
    walkround = run.walkround(transcript, on or _written_on(file), jurisdiction, stage, speaker)
    return _stored(record, walkround, sound)


def _heard(
    sound: Sound, record: Store, transcriber: Transcriber, where: str, progress: Progress | None
) -> Transcript:
    """What is said: hours of work, so an intake that was stopped after it does not do it again."""
    from witnessmark import run
    from witnessmark.types import Transcript

    recording, step = sound.recording, f"transcribe {transcriber.model}"
    if done := record.step(recording.sha256, step):
        return Transcript.model_validate_json(done)
    transcript = run.speech(sound, transcriber, where, progress)
    record.keep_step(recording.sha256, step, transcript.model_dump_json())
    return transcript


def _written_on(file: Path) -> date:
    return datetime.fromtimestamp(file.stat().st_mtime).date()


def _whole(file: Path, damaged: bool, longest: float, note: Callable[[str], None]) -> Sound:
    from witnessmark.capture import capture

    with warnings() as told:
        sound = capture(file, longest)
    if told and not damaged:
        remedy = "Copy it again, or take in what is left with --damaged."
        raise DamagedError(f"{'; '.join(told)}; nothing was stored.", remedy=remedy)
    if told:
        note("\n".join(told))
    return sound


def _stored(record: Store, walkround: Walkround, sound: Sound) -> Taken:
    """Both the sound and the walkround are kept, or neither."""
    kept = keep_sound(record.path, walkround.id, sound)
    try:
        return Taken(walkround, record.ingest(walkround, sound_file(record.path, walkround.id)))
    except BaseException:
        if kept and not record.has(walkround.id):  # or else another program took it in meanwhile
            sound_file(record.path, walkround.id).unlink(missing_ok=True)
        raise


def sound_file(record: Path, walkround: str) -> Path:
    """Where the sound of a walkround lies: in a folder beside the record's file."""
    return record.with_suffix(".sound") / f"{walkround}.flac"


def keep_sound(record: Path, walkround: str, sound: Sound) -> bool:
    """Write the sound that reviewers hear; False when it is there already.

    Raises:
        StoreError: it cannot be written.
    """
    from witnessmark.capture import write_playback

    target = sound_file(record, walkround)
    if target.exists():
        return False
    write_playback(sound, target)
    return True


class _Keeper(logging.Handler):
    """Keeps what this thread writes to a log."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.messages: list[str] = []
        self._thread = get_ident()

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one."""
        if record.thread == self._thread:
            self.messages.append(record.getMessage())


@contextmanager
def warnings() -> Iterator[list[str]]:
    """What the stages warn of meanwhile, such as a recording whose end is missing."""
    log, keeper = logging.getLogger("witnessmark"), _Keeper()
    before, log.handlers = log.handlers, [keeper]
    try:
        yield keeper.messages
    finally:
        log.handlers = before
