"""What recordings and photographs may come as: the endings of files and the readers of their containers."""

from __future__ import annotations

import re
from pathlib import PurePath
from typing import NamedTuple

from witnessmark.desk.problems import Refused

LONGEST_NAME = 80


class Media(NamedTuple):
    """A kind of recording."""

    suffix: str
    demuxer: str | None = None
    """FFmpeg's name for what reads it while it grows; None for kinds that can only be read whole."""


_WEBM, _MP4 = Media(".webm", "matroska"), Media(".m4a", "mov")
_OGG, _WAV = Media(".ogg", "ogg"), Media(".wav", "wav")

RECORDINGS: dict[str, Media] = {
    "audio/webm": _WEBM,
    "video/webm": _WEBM,
    "audio/matroska": _WEBM,
    "audio/x-matroska": _WEBM,
    "audio/mp4": _MP4,
    "video/mp4": _MP4,
    "audio/x-m4a": _MP4,
    "audio/m4a": _MP4,
    "video/quicktime": _MP4,
    "audio/3gpp": Media(".3gp"),
    "video/3gpp": Media(".3gp"),
    "audio/aac": Media(".aac"),
    "audio/aacp": Media(".aac"),
    "audio/ogg": _OGG,
    "audio/opus": _OGG,
    "application/ogg": _OGG,
    "audio/wav": _WAV,
    "audio/wave": _WAV,
    "audio/x-wav": _WAV,
    "audio/vnd.wave": _WAV,
    "audio/flac": Media(".flac"),
    "audio/x-flac": Media(".flac"),
    "audio/mpeg": Media(".mp3"),
    "audio/mp3": Media(".mp3"),
    "audio/amr": Media(".amr"),
    "audio/aiff": Media(".aiff"),
    "audio/x-aiff": Media(".aiff"),
    "audio/x-caf": Media(".caf"),
    "audio/x-ms-wma": Media(".wma"),
}
"""Media type (RFC 6838) → kind: the containers that the capture stage reads."""

_UNTOLD = ("", "application/octet-stream", "binary/octet-stream")
_BY_ENDING = {kind.suffix: kind for kind in RECORDINGS.values()} | {
    ".opus": _OGG,
    ".oga": _OGG,
    ".mp4": _MP4,
    ".mov": _MP4,
    ".mka": _WEBM,
    ".mkv": _WEBM,
    ".aif": Media(".aiff"),
}

PICTURES = ("image/jpeg", "image/png", "image/webp")
"""Of photographs: what every browser shows."""


def kind_of(media_type: str, name: str) -> Media:
    """The kind of a recording, by its declared type; by the ending of its name where the sender knew none.

    Raises:
        Refused: 415, for a type that cannot be read.
    """
    base = media_type.partition(";")[0].strip().lower()
    ending = PurePath(name).suffix.lower()
    found = _BY_ENDING.get(ending) if base in _UNTOLD else RECORDINGS.get(base)
    if found is None:
        shown = base or ending or "a file without a type"
        raise Refused(
            415, f"{shown[:100]} is no recording that can be read.", "Send wav, flac, mp3, m4a, ogg or webm."
        )
    return found


def file_name(name: str, kind: Media) -> str:
    """The recording's name made safe for a disk, with the ending of its kind: ``monday.m4a``."""
    stem = re.sub(r"[^\w .()+-]", "_", PurePath(name.replace("\\", "/")).stem).strip(" .")
    return f"{stem[:LONGEST_NAME] or 'recording'}{kind.suffix}"
