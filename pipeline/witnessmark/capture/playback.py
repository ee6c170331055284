"""Writes the sound that reviewers hear."""

from __future__ import annotations

import os
from pathlib import Path
from typing import IO, TYPE_CHECKING
from uuid import uuid4

from witnessmark.errors import StoreError
from witnessmark.types import SAMPLE_RATE, Sound

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_BLOCK = 4096
"""Samples in a FLAC frame."""


def write_playback(sound: Sound, target: Path) -> Path:
    """Write the decoded samples as FLAC (16 bit, mono), so that word times fit what is heard.

    The file appears whole or not at all; one that is there already is replaced.

    Returns:
        ``target``.

    Raises:
        StoreError: when it cannot be written, such as on a full disk; nothing is left behind.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        part = target.with_name(f".{target.name}.{uuid4().hex}")
        try:
            with part.open("xb") as file:
                _encode(sound.samples, file)
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        raise StoreError(
            f"the sound could not be written ({error.strerror}).",
            str(target),
            "Free some space and try again.",
        ) from error
    return target


def _encode(samples: NDArray[np.float32], file: IO[bytes]) -> None:
    import av
    import numpy as np

    pcm = np.clip(np.round(samples * np.float32(32768)), -32768, 32767).astype(np.int16)
    with av.open(file, "w", format="flac") as container:
        stream = container.add_stream("flac", rate=SAMPLE_RATE, layout="mono")
        for start in range(0, pcm.size, _BLOCK):
            frame = av.AudioFrame.from_ndarray(pcm[None, start : start + _BLOCK], format="s16", layout="mono")
            frame.sample_rate, frame.pts = SAMPLE_RATE, start
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
