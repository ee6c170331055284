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

    def feed(self, samples: NDArray[np.float32], behind: bool = False) -> Transcript | None:
        """Take the next samples (mono, 16 kHz; a fraction of a second at a time).

        Args:
            samples: that follow the last ones.
            behind: whether more has come already. Then more is read at once, which costs less of the machine.

        Returns:
            The transcript so far when something new could be read, else None.

        Raises:
            SpeechModelError: when the weights are missing, altered or cannot be loaded.
        """
        self._chunks.append(samples)
        waiting = self._waiting()
        heard = self._transcriber.listen(waiting)
        voice = speech().voice
        if not heard:
            return None
        length = heard[-1][1] - heard[0][0]
        if not behind and waiting.size / SAMPLE_RATE - heard[-1][1] >= voice.live_pause:
            self._read(waiting, heard)
            return self.transcript()
        longest = voice.longest - 2 * voice.padding
        cut = len(heard) - 1 if length > (longest if behind else min(voice.live_longest, longest)) else 0
        if cut := cut or (0 if behind else _last_pause(heard, voice.live_pause)):
            self._read(waiting, heard[:cut])
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


def _last_pause(heard: list[Stretch], least: float) -> int:
    """How many stretches lie before the last long pause among them; none where there is none."""
    return next((i for i in range(len(heard) - 1, 0, -1) if heard[i][0] - heard[i - 1][1] >= least), 0)
