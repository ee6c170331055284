"""What a worker does with one recording of a backlog: a function of its bytes and the knowledge alone."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, NamedTuple

from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from witnessmark.transcribe import Transcriber
    from witnessmark.types import Sound, Transcript

HEARD = frozenset(
    (".wav", ".flac", ".mp3", ".m4a", ".ogg", ".opus", ".webm", ".aac", ".aif", ".aiff", ".amr")
)
READ = frozenset((".json",))
"""Transcripts of ``witnessmark transcribe``."""


class Job(NamedTuple):
    """One recording to be read, as it goes to a worker."""

    source: str
    """A path, or an address with its scheme, such as ``s3://bucket/monday.m4a``."""
    state: str
    """Size and time of the file as it was listed: another state is another job."""
    on: str
    """Day of the inspection, YYYY-MM-DD."""
    jurisdiction: str | None
    model: str | None


class Read(NamedTuple):
    """What a worker made of it."""

    walkround: str
    """types.Walkround as JSON."""
    sound: bytes | None
    """What reviewers hear, as FLAC; None for a transcript."""
    seconds: float
    """Length of the recording."""
    knowledge: str
    """Version of the program and its declared knowledge."""


def read(job: Job) -> Read:
    """Transcribe, draft and judge one recording. Nothing is kept by the worker.

    Raises:
        BadInputError: it is no recording of speech, or cannot be fetched.
        SpeechModelError: the speech model cannot be loaded.
    """
    from datetime import date

    from witnessmark import run
    from witnessmark.record.intake import knowledge_version

    with tempfile.TemporaryDirectory() as folder:
        file = fetched(job.source, Path(folder))
        transcript, sound = _understood(file, job)
        walkround = run.walkround(transcript, date.fromisoformat(job.on), job.jurisdiction, lambda *_: None)
        heard = _playback(sound, Path(folder)) if sound is not None else None
    seconds = transcript.recording.duration
    return Read(walkround.model_dump_json(), heard, seconds, knowledge_version())


def _understood(file: Path, job: Job) -> tuple[Transcript, Sound | None]:
    from witnessmark import run
    from witnessmark.capture import capture
    from witnessmark.cli.sources import talks
    from witnessmark.intake import warnings

    if file.suffix.lower() in READ:
        (talk,) = talks(file, _transcriber(job.model))
        if talk.transcript is None:
            raise BadInputError("is no transcript", job.source, "Give what `witnessmark transcribe` prints.")
        return talk.transcript, None
    with _ONE_AT_A_TIME, warnings() as told:
        sound = capture(file)
    if told:
        raise BadInputError("; ".join(told), job.source, "Copy it again, or `witnessmark ingest --damaged`.")
    return run.speech(sound, _transcriber(job.model), job.source), sound


_ONE_AT_A_TIME = Lock()
"""What is logged of a recording must not be taken for another's, where a worker has several threads."""


@cache
def _transcriber(model: str | None) -> Transcriber:
    """One speech model a worker, loaded at its first recording."""
    from witnessmark.transcribe import Transcriber

    return Transcriber(model)


def _playback(sound: Sound, folder: Path) -> bytes:
    from witnessmark.capture import write_playback

    return write_playback(sound, folder / "heard.flac").read_bytes()


def fetched(source: str, folder: Path) -> Path:
    """The file itself where it is at hand, or else a copy in ``folder``.

    Raises:
        BadInputError: it cannot be fetched.
    """
    if "://" not in source:
        return Path(source)
    file = folder / source.rpartition("/")[2]
    files, path = _storage(source)
    try:
        files.get_file(path, str(file))
    except OSError as error:
        what = f"cannot be fetched ({error})"
        raise BadInputError(what, source, "Check address and credentials.") from error
    return file


def listed(place: str) -> Iterator[tuple[str, str, float | None]]:
    """Every recording and transcript under a folder or address: source, state, time of writing if known.

    Raises:
        BadInputError: it is not there.
    """
    if "://" in place:
        yield from _listed_elsewhere(place)
        return
    folder = Path(place)
    if not folder.exists():
        raise BadInputError("does not exist", place, "Check the name.")
    for path in sorted(folder.rglob("*")) if folder.is_dir() else [folder]:
        if path.suffix.lower() in HEARD | READ and path.is_file():
            known = path.stat()
            yield str(path), f"{known.st_size} {known.st_mtime_ns}", known.st_mtime


def _listed_elsewhere(place: str) -> Iterator[tuple[str, str, float | None]]:
    files, root = _storage(place)
    try:
        found: dict[str, dict[str, Any]] = files.find(root, detail=True)
    except Exception as error:  # each kind of store raises its own
        what = f"cannot be listed ({next(iter(str(error).splitlines()), type(error).__name__)})"
        raise BadInputError(what, place, "Check address and credentials.") from error
    if not found:
        raise BadInputError("holds nothing", place, "Check the address.")
    for path, known in sorted(found.items()):
        if Path(path).suffix.lower() in HEARD | READ:
            written = _written(known)
            state = f"{known.get('size')} {written.isoformat() if written else known.get('ETag')}"
            yield files.unstrip_protocol(path), state, written.timestamp() if written else None


_WRITTEN = ("mtime", "LastModified", "last_modified", "updated", "created")
"""Under which of these a store says when a file was written: fsspec has no one name for it."""


def _written(known: dict[str, Any]) -> datetime | None:
    """When a file was written; None where its store does not say."""
    from datetime import UTC, datetime

    match next((known[key] for key in _WRITTEN if known.get(key)), None):
        case datetime() as moment:
            return moment
        case str() as text:
            return datetime.fromisoformat(text)
        case float() | int() as seconds:
            return datetime.fromtimestamp(seconds, UTC)
    return None


OBJECT_STORES = {
    "s3": ("s3fs", "s3"),
    "s3a": ("s3fs", "s3"),
    "gs": ("gcsfs", "gcs"),
    "gcs": ("gcsfs", "gcs"),
    "az": ("adlfs", "abfs"),
    "abfs": ("adlfs", "abfs"),
    "abfss": ("adlfs", "abfs"),
}
"""Scheme of an address → the package that reads it, and the extra that installs it."""


def _storage(address: str) -> tuple[Any, str]:
    """The file system of an address, and the path in it.

    Raises:
        WitnessmarkError: the package for it is not installed.
        BadInputError: there is no such kind of address.
    """
    from importlib.util import find_spec

    from witnessmark.cli.exchange_files import missing

    package, extra = OBJECT_STORES.get(address.partition("://")[0].lower(), ("fsspec", "places"))
    if find_spec(package) is None:
        raise missing(package, extra)
    import fsspec

    try:
        files, path = fsspec.core.url_to_fs(address)
    except (ImportError, ValueError) as error:  # a scheme whose own package is not there, or none at all
        raise BadInputError(f"cannot be reached ({error})", address, "Check the address.") from error
    return files, str(path)
