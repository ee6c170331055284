"""faster-whisper, held to what a walkround needs. Importing this file is slow; do it late."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
from faster_whisper import WhisperModel
from faster_whisper.tokenizer import Tokenizer
from faster_whisper.vad import VadOptions, get_speech_timestamps
from numpy.typing import NDArray

from witnessmark.knowledge.speech import Speech, Voice
from witnessmark.transcribe.agreement import dispute, leaves_out
from witnessmark.transcribe.guards import Segment
from witnessmark.transcribe.windows import Stretch, at_dips, in_pieces
from witnessmark.transcribe.words import Piece, join
from witnessmark.types import SAMPLE_RATE

_STOPS = (".", "!", "?")
_Decoded = tuple[Any, float, float, float]
"""The engine's result, its mean log probability, its temperature, its compression ratio."""


class Engine(WhisperModel):  # type: ignore[misc]  # faster-whisper is untyped
    """A Whisper model on the CPU, in English, that reads each window twice and times numbers token by token.

    Args:
        model: folder, or a name that faster-whisper can fetch.
        threads: CPU threads; one for each core when None.
        settings: how to listen and to decode.
    """

    def __init__(self, model: Path | str, threads: int | None, settings: Speech) -> None:
        super().__init__(
            str(model), device="cpu", compute_type="int8", cpu_threads=threads or os.cpu_count() or 1
        )
        self.tokens = Tokenizer(
            self.hf_tokenizer, self.model.is_multilingual, task="transcribe", language="en"
        )
        self._settings = settings
        self._rejected: str | None = None  # text of the reading not chosen, from one window to its words

    def count_tokens(self, text: str) -> int:
        """Tokens that a text takes up in a prompt."""
        return len(self.tokens.encode(f" {text}"))

    def listen(self, samples: NDArray[np.float32]) -> list[Stretch]:
        """Stretches in which somebody speaks, in seconds; none is too long for a window."""
        voice = self._settings.voice
        heard = _listen(samples, voice, voice.thresholds)
        return [piece for s in heard for piece in in_pieces(s, voice.longest - 2 * voice.padding)]

    def decode(
        self, samples: NDArray[np.float32], windows: Iterable[Stretch], prompt: str
    ) -> Iterator[Segment]:
        """Decode sound, window by window as they are taken.

        Args:
            samples: mono, 16 kHz, shape (n,).
            windows: what to decode, none longer than 30 seconds.
            prompt: given with every window; it must fit the engine's limit.
        """
        speech = self._settings
        for start, stop in windows:
            self._rejected = None
            segments, _ = self.transcribe(
                samples[int(start * SAMPLE_RATE) : int(stop * SAMPLE_RATE)],
                language="en",
                beam_size=speech.decode.beam,
                temperature=0.0,  # the same sound, the same words
                compression_ratio_threshold=speech.decode.compression,
                log_prob_threshold=speech.decode.log_probability,
                condition_on_previous_text=False,
                hotwords=prompt or None,
                without_timestamps=True,  # else a window is read in pieces, and what is between them is lost
                word_timestamps=True,
                prepend_punctuations="",  # words are put together by `join`
                append_punctuations="",
            )
            # The first segment is the window; a further one would be the silence after its last word.
            for segment in islice(segments, 1):
                words = join(_pieces(segment, start))
                yield from _sentences(dispute(words, self._rejected, speech.compare), segment)

    def generate_with_fallback(
        self, encoded: Any, prompt: list[int], tokenizer: Any, options: Any
    ) -> _Decoded:
        """Decode one window with and without the prompt, and keep the text of the reading not chosen."""
        bare = prompt[prompt.index(tokenizer.sot) :]
        plain: _Decoded = super().generate_with_fallback(encoded, bare, tokenizer, options)
        if len(bare) == len(prompt):
            return plain
        prompted: _Decoded = super().generate_with_fallback(encoded, prompt, tokenizer, options)
        text, other = (tokenizer.decode(reading[0].sequences_ids[0]) for reading in (prompted, plain))
        gain = _quality(prompted, options) - _quality(plain, options)
        if gain < 0 or (gain == 0 and leaves_out(text, other, self._settings.compare)):
            self._rejected = text
            return plain
        self._rejected = other
        return prompted

    def find_alignment(self, tokenizer: Any, *args: Any, **options: Any) -> list[dict[str, Any]]:
        """Word times; of a word with digits each token apart, so that one doubtful digit shows."""
        aligned: list[dict[str, Any]] = super().find_alignment(_DigitTokens(tokenizer), *args, **options)
        return aligned


class _DigitTokens:
    """A tokenizer that keeps the tokens of words with digits apart.

    faster-whisper gives a word the mean probability of its tokens, which hides one doubtful digit.
    """

    def __init__(self, tokenizer: Tokenizer) -> None:
        self._tokenizer = tokenizer
        self.sot_sequence, self.eot = tokenizer.sot_sequence, tokenizer.eot

    def split_to_word_tokens(self, tokens: list[int]) -> tuple[list[str], list[list[int]]]:
        texts: list[str] = []
        groups: list[list[int]] = []
        for text, group in zip(*self._tokenizer.split_to_word_tokens(tokens), strict=True):
            if any(c.isdigit() for c in text):
                apart = self._tokenizer.split_tokens_on_unicode(group)
            else:
                apart = [text], [group]
            texts += apart[0]
            groups += apart[1]
        return texts, groups


def _listen(
    samples: NDArray[np.float32], voice: Voice, thresholds: Sequence[float], offset: float = 0.0
) -> list[Stretch]:
    """Stretches of speech; a long one is cut where the next threshold finds dips in it."""
    options = VadOptions(
        threshold=thresholds[0], min_silence_duration_ms=voice.min_silence_ms, speech_pad_ms=0
    )
    found: list[Stretch] = []
    for part in get_speech_timestamps(samples, options):
        stretch = (offset + part["start"] / SAMPLE_RATE, offset + part["end"] / SAMPLE_RATE)
        if stretch[1] - stretch[0] > voice.longest / 2 and thresholds[1:]:
            within = samples[part["start"] : part["end"]]
            found += at_dips(stretch, _listen(within, voice, thresholds[1:], stretch[0]))
        else:
            found.append(stretch)
    return found


def _quality(result: _Decoded, options: Any) -> int:
    """2 for a good decode, 1 for one that is too improbable, 0 for one that repeats itself."""
    _, log_probability, _, compression = result
    if compression > options.compression_ratio_threshold:
        return 0
    return 2 if log_probability >= options.log_prob_threshold else 1


def _pieces(segment: Any, offset: float) -> Iterator[Piece]:
    for w in segment.words or ():
        yield Piece(w.word, round(offset + w.start, 3), round(offset + w.end, 3), float(w.probability))


def _sentences(words: Iterable[Piece], segment: Any) -> Iterator[Segment]:
    """The window's sentences, each with the window's figures."""
    sentence: list[Piece] = []
    for word in words:
        sentence.append(word)
        if word.text.endswith(_STOPS):
            yield Segment(tuple(sentence), segment.avg_logprob, segment.no_speech_prob)
            sentence = []
    if sentence:
        yield Segment(tuple(sentence), segment.avg_logprob, segment.no_speech_prob)
