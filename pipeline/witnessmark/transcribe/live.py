"""Reads a recording while it grows: the words appear while the technician is still talking."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.knowledge.speech import speech
from witnessmark.transcribe.whisper import Transcriber
from witnessmark.transcribe.windows import Stretch
from witnessmark.transcribe.words import Piece
from witnessmark.types import SAMPLE_RATE, Recording, Transcript

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class Live:
    """The transcript of a recording that is not over yet.

    What was said is read as soon as the speaker pauses, or talks for longer than one window. Only sound that
    has not been read yet is kept. Words that were printed are not changed afterwards.

    Args:
        transcriber: the speech model.
        name: of the recording, for its transcript.
    """

    def __init__(self, transcriber: Transcriber, name: str = "live") -> None:
        self._transcriber, self._name = transcriber, name
        self._chunks: list[NDArray[np.float32]] = []
        self._start = 0  # of what has not been read, in samples
        self._words: list[Piece] = []
        self._heard: list[Stretch] = []

    def feed(self, samples: NDArray[np.float32]) -> Transcript | None:
        """Take the next samples (mono, 16 kHz; a second or so at a time).

        Returns:
            The transcript so far when something new could be read, else None.

        Raises:
            SpeechModelError: when the weights are missing, altered or cannot be loaded.
        """
        self._chunks.append(samples)
        waiting = self._waiting()
        heard = self._transcriber.listen(waiting)
        voice = speech().voice
        if heard and waiting.size / SAMPLE_RATE - heard[-1][1] >= voice.live_pause:
            self._read(waiting, heard)
            return self.transcript()
        if len(heard) > 1 and heard[-1][1] - heard[0][0] > voice.longest - 2 * voice.padding:
            self._read(waiting, heard[:-1])
            return self.transcript()
        return None

    def finish(self) -> Transcript:
        """Read what is left; the whole transcript."""
        waiting = self._waiting()
        if heard := self._transcriber.listen(waiting):
            self._read(waiting, heard)
        return self.transcript()

    def transcript(self) -> Transcript:
        """What was read so far. Its recording has no hash before it is over."""
        seconds = (self._start + sum(chunk.size for chunk in self._chunks)) / SAMPLE_RATE
        recording = Recording(sha256="", name=self._name, duration=seconds)
        return self._transcriber.transcript(recording, self._words, self._heard)

    def _waiting(self) -> NDArray[np.float32]:
        import numpy as np

        whole = np.concatenate(self._chunks) if self._chunks else np.empty(0, np.float32)
        self._chunks = [whole]
        return whole

    def _read(self, waiting: NDArray[np.float32], heard: list[Stretch]) -> None:
        """Read some stretches at the front, and drop their sound."""
        end = min(waiting.size, int((heard[-1][1] + speech().voice.live_pause / 2) * SAMPLE_RATE))
        later = self._start / SAMPLE_RATE
        for word in self._transcriber.words(waiting[:end], heard):
            self._words.append(word._replace(start=word.start + later, end=word.end + later))
        self._heard += [(start + later, stop + later) for start, stop in heard]
        self._chunks, self._start = [waiting[end:]], self._start + end
