"""Decodes a recording while it grows."""

from __future__ import annotations

from itertools import chain, groupby
from typing import TYPE_CHECKING, Protocol

from witnessmark.capture.decode import alike, frames
from witnessmark.errors import BadInputError
from witnessmark.types import SAMPLE_RATE

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    from numpy.typing import NDArray

_AT_ONCE = {"probesize": "4096", "analyzeduration": "0"}
"""The reader's options: give out sound at once instead of looking far ahead."""


class Readable(Protocol):
    """Bytes in order. ``read`` may wait for more to come; it returns none at the end."""

    def read(self, size: int) -> bytes:
        """At most so many of the next bytes."""


def growing(file: Readable, demuxer: str, step: float = 1.0) -> Iterator[NDArray[np.float32]]:
    """Samples (mono, 16 kHz) as soon as there are enough of them, the same that `capture` reads of the whole.

    Of an mp3 the padding at its end may come too.

    Args:
        file: the recording.
        demuxer: FFmpeg's name for the reader of its container, such as ``matroska`` (webm) or ``mov`` (mp4,
            in fragments).
        step: seconds of sound given out at once; the last piece may be shorter.

    Raises:
        BadInputError: it is no such recording.
    """
    import numpy as np

    size, kept, length = int(step * SAMPLE_RATE), [np.empty(0, np.float32)], 0
    for samples in _samples(file, demuxer):
        kept.append(samples)
        length += samples.size
        if length >= size:
            whole = np.concatenate(kept)
            yield from (whole[at : at + size] for at in range(0, length - size + 1, size))
            kept, length = [whole[length - length % size :]], length % size
    if length:
        yield np.concatenate(kept)


def _samples(file: Readable, demuxer: str) -> Iterator[NDArray[np.float32]]:
    import av
    import numpy as np

    try:
        with av.open(file, format=demuxer, metadata_errors="ignore", container_options=_AT_ONCE) as source:
            if not source.streams.audio:
                raise BadInputError("has no sound in it.", None, "Look at what the recorder makes.")
            for _, group in groupby(frames(source, []), key=alike):
                resampler = av.AudioResampler(format="s16", layout="mono", rate=SAMPLE_RATE)
                for part in (p for frame in chain(group, [None]) for p in resampler.resample(frame)):
                    yield np.divide(part.to_ndarray()[0], np.float32(32768), dtype=np.float32)
    except (av.error.FFmpegError, ValueError) as error:
        raise BadInputError("is no sound that can be read while it grows.", None, None) from error
