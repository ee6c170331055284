"""Turns sound into a transcript."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.errors import SpeechModelError
from witnessmark.knowledge.speech import speech
from witnessmark.transcribe import weights
from witnessmark.transcribe.guards import Segment, believable
from witnessmark.transcribe.prompt import vocabulary_prompt
from witnessmark.transcribe.windows import Stretch, trim, unread, windows
from witnessmark.transcribe.words import Piece, lay_out
from witnessmark.types import SAMPLE_RATE, Recording, Sound, Transcript

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from witnessmark.transcribe.engine import Engine

_log = logging.getLogger(__name__)

Progress = Callable[[float, float], None]
"""Called with the seconds of sound done and the seconds in all."""


class Transcriber:
    """A speech model, loaded at first use; keep one for all recordings.

    Args:
        model: a name in ``models/speech.toml``, a folder, or a name that faster-whisper can fetch; the
            default of ``models/speech.toml`` when None.
        cache: folder for joined weights; the user's cache folder when None.
        threads: CPU threads; one for each core when None.
        device: ``cpu``, ``cuda``, or ``auto`` for a CUDA card where there is one.
    """

    def __init__(
        self,
        model: str | Path | None = None,
        cache: Path | None = None,
        threads: int | None = None,
        device: str = "auto",
    ) -> None:
        self.model = str(model or speech().default.name)
        self._cache, self._threads, self._device = cache, threads, device

    def transcribe(
        self, sound: Sound, prompt: str | None = None, progress: Progress | None = None
    ) -> Transcript:
        """Print what is said, in English. The same sound gives the same transcript.

        Where somebody seems to speak and nothing could be made out, a warning is logged.

        Args:
            sound: the recording.
            prompt: words to expect, in sentences; those of ``models/speech.toml`` when None, none when
                empty. What does not fit the engine's limit is left off after a comma or stop.
            progress: called at least once, at the end.

        Returns:
            The transcript; empty where nobody speaks.

        Raises:
            SpeechModelError: when the weights are missing, altered or cannot be loaded.
        """
        total = sound.recording.duration
        report = progress or (lambda done, total: None)
        heard = self.listen(sound.samples)
        words = self.words(sound.samples, heard, prompt, lambda done: report(min(done, total), total))
        _warn(sound.recording.name, unread(heard, [(w.start, w.end) for w in words], speech().voice.unread))
        report(total, total)
        return self.transcript(sound.recording, words, heard)

    def load(self) -> None:
        """Load the model now rather than at the first use.

        Raises:
            SpeechModelError: as `transcribe`.
        """
        _ = self._engine

    def listen(self, samples: NDArray[np.float32]) -> list[Stretch]:
        """Stretches of speech in samples (mono, 16 kHz), in seconds."""
        return self._engine.listen(samples) if samples.any() else []

    def words(
        self,
        samples: NDArray[np.float32],
        heard: Sequence[Stretch],
        prompt: str | None = None,
        done: Callable[[float], None] = lambda seconds: None,
    ) -> list[Piece]:
        """What is said in stretches of speech: words with their times in the samples.

        Args:
            samples: mono, 16 kHz, shape (n,).
            heard: what `listen` gave, or the first of it.
            prompt: as in `transcribe`.
            done: called with the seconds done.
        """
        voice, listing = speech().voice, self._prompt(prompt) if heard else ""
        cut = windows(heard, samples.size / SAMPLE_RATE, voice.longest, voice.pause, voice.padding)
        segments = self._engine.decode(samples, cut, listing) if cut else iter(())
        return [_trimmed(w, heard) for w in believable(_watched(segments, done), listing, speech())]

    def transcript(
        self, recording: Recording, words: Iterable[Piece], heard: Iterable[Stretch]
    ) -> Transcript:
        """Words with their places in the text."""
        text, placed = lay_out(words)
        return Transcript(
            recording=recording,
            text=text,
            words=placed,
            model=self._name,
            speech_seconds=round(sum(stop - start for start, stop in heard), 3),
        )

    @property
    def _name(self) -> str:
        """What a transcript says of its model: no folder of this computer."""
        return Path(self.model).name if Path(self.model).is_dir() else self.model

    def _prompt(self, prompt: str | None) -> str:
        terms = speech().prompt if prompt is None else re.split(r"(?<=[,;.!?])\s+", prompt)
        return vocabulary_prompt(terms, self._engine.count_tokens, speech().decode.prompt_tokens)

    @cached_property
    def _engine(self) -> Engine:
        folder = weights.ensure(self.model, self._cache)
        from witnessmark.transcribe.engine import Engine

        try:
            return Engine(folder, self._threads, speech(), self._device)
        except Exception as error:  # of four libraries and as many networks
            raise SpeechModelError(
                f"the speech model could not be loaded ({error}).",
                self.model,
                f"Use {speech().default.name!r} ({speech().default.install}), or give a folder that holds a "
                "CTranslate2 Whisper model.",
            ) from error


def _trimmed(word: Piece, heard: Sequence[Stretch]) -> Piece:
    start, end = trim((word.start, word.end), heard)
    return word._replace(start=start, end=end)


def _warn(name: str, stretches: Iterable[Stretch]) -> None:
    for start, stop in stretches:
        _log.warning(
            "%s: somebody seems to speak from %s to %s, but no words could be made out",
            name,
            _clock(start),
            _clock(stop),
        )


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02}"


def _watched(segments: Iterable[Segment], done: Callable[[float], None]) -> Iterator[Segment]:
    for segment in segments:
        if segment.words:
            done(segment.words[-1].end)
        yield segment
