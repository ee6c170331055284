"""Sound files made for the tests, in every format a recorder writes."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

FORMATS = {
    "wav": ("wav", "pcm_s16le"),
    "flac": ("flac", "flac"),
    "mp3": ("mp3", "libmp3lame"),
    "m4a": ("ipod", "aac"),
    "aac": ("adts", "aac"),
    "ogg": ("ogg", "libopus"),
    "opus": ("ogg", "libopus"),
    "webm": ("webm", "libopus"),
}
"""suffix → container, codec."""
RATE = 48_000


def sweep(seconds: float) -> NDArray[np.float32]:
    """A tone that climbs from 200 Hz to 2 kHz."""
    t = np.arange(int(RATE * seconds)) / RATE
    return (0.4 * np.sin(2 * np.pi * (200 + 900 * t / seconds) * t)).astype(np.float32)


def encode(samples: NDArray[np.float32], path: Path, layout: str = "mono", **options: str) -> Path:
    """Writes samples (RATE a second) in the format of the path's suffix."""
    container, codec = FORMATS[path.suffix[1:]]
    pcm = np.repeat((samples * 32767).astype(np.int16), len(av.AudioLayout(layout).channels))[None]
    with av.open(str(path), "w", format=container, options=options) as file:
        stream = file.add_stream(codec, rate=RATE, layout=layout)
        frame = av.AudioFrame.from_ndarray(pcm, format="s16", layout=layout)
        frame.sample_rate = RATE
        size = stream.codec_context.frame_size or 1024
        resampler = av.AudioResampler(stream.codec_context.format or "s16", layout, RATE, frame_size=size)
        for part in (*resampler.resample(frame), *resampler.resample(None), None):
            file.mux(stream.encode(part))
    return path


def picture(path: Path) -> Path:
    """A video file without sound."""
    with av.open(str(path), "w") as file:
        stream = file.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 64
        for _ in range(10):
            frame = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8), format="rgb24")
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))
    return path
