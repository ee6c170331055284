"""Cuts a moment out of a walkround's kept sound, to the sample."""

from __future__ import annotations

import io
import wave
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.errors import StoreError
from witnessmark.types import SAMPLE_RATE

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

AROUND = 0.4
"""Seconds before and after the moment."""
LONGEST = 60.0
"""Seconds of one clip, those around it not counted."""


def clip(file: Path, start: float, end: float) -> bytes:
    """A WAV file (16 bit, mono, 16 kHz) of the samples around a moment, as they are in the kept sound.

    Args:
        file: the FLAC that ``capture.write_playback`` wrote.
        start: seconds from the start of the recording.
        end: likewise; what lies beyond the sound is left out.

    Raises:
        StoreError: the sound cannot be read, or has nothing there.
    """
    first = max(0, round((start - AROUND) * SAMPLE_RATE))
    last = max(first, round((end + AROUND) * SAMPLE_RATE))
    samples = _samples(file, first, last)
    if not samples.size:
        what = "the sound has nothing at that moment: it ends before, or is damaged"
        raise StoreError(what, file.name, "Bring it back from a backup, or decide by the words.")
    return _wave(samples)


def _samples(file: Path, first: int, last: int) -> NDArray[np.int16]:
    import av
    import numpy as np

    found = [np.zeros(0, np.int16)]
    try:
        with av.open(str(file)) as container:
            stream = container.streams.audio[0]
            if first > SAMPLE_RATE:
                container.seek(first, stream=stream)
            for frame in container.decode(stream):
                begin = frame.pts or 0
                if begin >= last:
                    break
                block = frame.to_ndarray()[0]
                found.append(block[max(0, first - begin) : max(0, last - begin)])
    except (av.FFmpegError, OSError) as error:
        raise StoreError(
            f"the sound cannot be read ({error.strerror}).", file.name, "Bring it back from a backup."
        ) from error
    return np.concatenate(found)


def _wave(samples: NDArray[np.int16]) -> bytes:
    out = io.BytesIO()
    with wave.open(out, "wb") as written:
        written.setnchannels(1)
        written.setsampwidth(2)
        written.setframerate(SAMPLE_RATE)
        written.writeframes(samples.astype("<i2").tobytes())
    return out.getvalue()
