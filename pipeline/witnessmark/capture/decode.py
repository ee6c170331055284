"""Reads a sound file of any usual format into mono samples."""

from __future__ import annotations

import hashlib
import logging
import math
from collections import deque
from itertools import chain, groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from witnessmark.errors import BadInputError
from witnessmark.types import SAMPLE_RATE, Recording, Sound

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    from numpy.typing import NDArray

_log = logging.getLogger(__name__)

# A playlist is text that makes the decoder open further files and addresses; only sound itself is let in.
_CONTAINERS = "aac,aiff,amr,asf,au,caf,flac,matroska,mov,mp3,ogg,w64,wav"
_TRY = "Give a recording in wav, flac, mp3, m4a, ogg, opus or webm."
_SHORT_BY = 1.0
"""Seconds by which a file may fall short of the length it declares before that is worth a warning."""


def capture(path: Path, longest: float = math.inf) -> Sound:
    """Decode a recording.

    Args:
        path: a wav, flac, mp3, m4a, ogg, opus or webm file (or another that FFmpeg knows as sound).
        longest: seconds; a longer one is refused before it fills the memory.

    Returns:
        Its samples, mono at SAMPLE_RATE, with its name, hash and length. What a cut-off or damaged file
        still holds is read, and a warning logged that says how much is missing.

    Raises:
        BadInputError: when it is missing, a folder, unreadable, empty, not sound, too long, or holds no
            samples.
    """
    sha256 = _hash(path)
    samples = _decode(path, longest)
    if not samples.size:
        raise BadInputError("holds no sound.", str(path), _TRY)
    return Sound(Recording(sha256=sha256, name=path.name, duration=samples.size / SAMPLE_RATE), samples)


def level(sound: Sound) -> float:
    """Root mean square of all samples in dB relative to full scale; ``-inf`` for digital silence."""
    import numpy as np

    power = float(np.mean(np.square(sound.samples, dtype=np.float64)))
    return 10 * math.log10(power) if power else -math.inf


def _hash(path: Path) -> str:
    """SHA-256 of the file's bytes, and on the way all complaints about the file as a file."""
    try:
        if path.is_dir():
            raise BadInputError("is a folder, not a sound file.", str(path), _TRY)
        with path.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            if not file.tell():
                raise BadInputError("is empty.", str(path), "Look for the original on the recorder.")
            return sha256
    except FileNotFoundError as error:
        raise BadInputError("does not exist.", str(path), "Check the name.") from error
    except PermissionError as error:
        raise BadInputError("may not be read by this user.", str(path), "Change its permissions.") from error
    except OSError as error:
        raise BadInputError(f"cannot be read ({error.strerror}).", str(path), "Copy it again.") from error


def _decode(path: Path, longest: float) -> NDArray[np.float32]:
    import av
    import numpy as np

    try:
        with av.open(str(path), metadata_errors="ignore", options={"format_whitelist": _CONTAINERS}) as file:
            if not file.streams.audio:
                raise BadInputError("has no sound in it.", str(path), _TRY)
            chunks = deque(_until(longest, _chunks(file, path), path))
    except (av.error.FFmpegError, OSError, ValueError) as error:
        raise BadInputError("is no sound file, or its beginning or end is lost.", str(path), _TRY) from error
    samples = np.empty(sum(chunk.size for chunk in chunks), np.float32)
    at = 0
    while chunks:  # one by one and in place: an hour is in memory once
        chunk = chunks.popleft()
        np.divide(chunk, np.float32(32768), out=samples[at : at + chunk.size])
        at += chunk.size
    return samples


def _until(longest: float, chunks: Iterator[NDArray[np.int16]], path: Path) -> Iterator[NDArray[np.int16]]:
    left = longest * SAMPLE_RATE
    for chunk in chunks:
        left -= chunk.size
        if left < 0:
            raise BadInputError(f"is longer than {longest / 3600:g} hours.", str(path), "Cut it in pieces.")
        yield chunk


def _chunks(file: Any, path: Path) -> Iterator[NDArray[np.int16]]:
    """Samples of the first sound stream at SAMPLE_RATE, bit by bit."""
    import av

    stream = file.streams.audio[0]
    damage: list[Exception] = []
    length = 0
    for _, group in groupby(frames(file, damage), key=alike):
        resampler = av.AudioResampler(format="s16", layout="mono", rate=SAMPLE_RATE)
        for part in (p for frame in chain(group, [None]) for p in resampler.resample(frame)):
            chunk = part.to_ndarray()[0]
            length += chunk.size
            yield chunk
    declared = stream.duration * stream.time_base if stream.duration else (file.duration or 0) / av.time_base
    _warn(path, len(damage), float(declared) - length / SAMPLE_RATE)


def frames(file: Any, damage: list[Exception]) -> Iterator[Any]:
    """Decoded frames.

    A packet that cannot be decoded is skipped and its error kept in ``damage``, so that it does not lose
    the rest of the walkround; ``faster_whisper.audio.decode_audio`` stops there.
    """
    import av

    packets = file.demux(file.streams.audio[0])
    while True:
        try:
            packet = next(packets, None)
            if packet is None:
                return
            for frame in packet.decode():
                frame.pts = None  # gaps close up: word times fit the playback file, made of the same samples
                yield frame
        except av.error.FFmpegError as error:
            damage.append(error)


def alike(frame: Any) -> tuple[str, str, int]:
    """What a resampler cannot see change; some AAC streams turn from mono to stereo on their way."""
    return frame.format.name, frame.layout.name, frame.sample_rate


def _warn(path: Path, damaged: int, short: float) -> None:
    if damaged:
        _log.warning("%s: damaged; %d pieces of sound were skipped", path, damaged)
    if short > _SHORT_BY:
        _log.warning("%s: cut off; the last %.0f seconds are missing", path, short)
