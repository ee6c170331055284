"""faster-whisper, held to what a walkround needs. Importing this file is slow; do it late."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import islice
from pathlib import Path
from typing import Any, NamedTuple

import ctranslate2
import numpy as np
from faster_whisper import WhisperModel
from faster_whisper.audio import pad_or_trim
from faster_whisper.tokenizer import Tokenizer
from faster_whisper.transcribe import get_compression_ratio, get_suppressed_tokens
from faster_whisper.vad import VadOptions, get_speech_timestamps
from numpy.typing import NDArray

from witnessmark.knowledge.speech import Decode, Numbers, SecondHearing, Speech, Voice, sounds_like
from witnessmark.transcribe.agreement import dispute, leaves_out
from witnessmark.transcribe.challenge import Score, challenged
from witnessmark.transcribe.forced import Forced, Trial, on_cpu
from witnessmark.transcribe.guards import Segment
from witnessmark.transcribe.second import heard_again
from witnessmark.transcribe.windows import Stretch, at_dips, in_pieces
from witnessmark.transcribe.words import Piece, join
from witnessmark.types import SAMPLE_RATE

_STOPS = (".", "!", "?")


class Reading(NamedTuple):
    """What the recogniser makes of one window."""

    tokens: list[int]
    text: str
    log_probability: float
    """Mean of its tokens."""
    no_speech: float
    """Probability that there is no speech."""


class Engine(WhisperModel):  # type: ignore[misc]  # faster-whisper is untyped
    """A Whisper model, in English, that reads each window twice and times numbers token by token.

    Args:
        model: folder, or a name that faster-whisper can fetch.
        threads: CPU threads; one for each core when None.
        settings: how to listen and to decode.
        device: ``cpu``, ``cuda``, or ``auto`` for CUDA where there is such a card.
    """

    def __init__(
        self, model: Path | str, threads: int | None, settings: Speech, device: str = "auto"
    ) -> None:
        if device == "auto":
            device = "cuda" if ctranslate2.get_cuda_device_count() else "cpu"
        super().__init__(
            str(model),
            device=device,
            compute_type="float16" if device == "cuda" else "int8",
            cpu_threads=threads or os.cpu_count() or 1,
        )
        self.hf_tokenizer: Any = mended(self.hf_tokenizer)
        self.tokens = Tokenizer(
            self.hf_tokenizer, self.model.is_multilingual, task="transcribe", language="en"
        )
        self._settings = settings
        self._suppressed = _suppressed(self.tokens, settings.decode)

    def count_tokens(self, text: str) -> int:
        """Tokens that a text takes up in a prompt."""
        return len(self.tokens.encode(f" {text}"))

    def listen(self, samples: NDArray[np.float32]) -> list[Stretch]:
        """Stretches in which somebody speaks, in seconds; none is too long for a window."""
        voice = self._settings.voice
        block = int(voice.block * SAMPLE_RATE)  # the detector copies what it is given, several times
        heard: list[Stretch] = []
        for at in range(0, samples.size, block):
            heard += _listen(samples[at : at + block], voice, voice.thresholds, at / SAMPLE_RATE)
        return [piece for s in heard for piece in in_pieces(s, voice.longest - 2 * voice.padding)]

    def decode(
        self, samples: NDArray[np.float32], windows: Iterable[Stretch], prompt: str
    ) -> Iterator[Segment]:
        """Decode sound, a few windows at a time as they are taken.

        Args:
            samples: mono, 16 kHz, shape (n,).
            windows: what to decode, none longer than 30 seconds.
            prompt: given with every window; it must fit the engine's limit.
        """
        rest = iter(windows)
        while group := list(islice(rest, self._settings.decode.batch)):
            pieces = [samples[int(a * SAMPLE_RATE) : int(b * SAMPLE_RATE)] for a, b in group]
            features = [self.feature_extractor(piece)[:, :-1] for piece in pieces]
            encoded = self.encode(np.stack([pad_or_trim(f) for f in features]))
            both = self._read_twice(encoded, len(group), prompt)
            aligned = self._align(encoded, [chosen for chosen, _ in both], features)
            for i, ((start, _), (chosen, other)) in enumerate(zip(group, both, strict=True)):
                words = self._again(on_cpu(encoded)[i], join(_pieces(aligned[i])), other and other.text)
                disputed = dispute(words, other.text if other else None, self._settings.compare)
                yield from _sentences((_later(word, start) for word in disputed), chosen)

    def _again(self, encoded: NDArray[np.float32], words: list[Piece], other: str | None) -> list[Piece]:
        """The words of a window heard again: numbers challenged, doubtful words held against the trade's."""
        numbers, second = self._settings.numbers, self._settings.second
        again = challenged(words, self._scorer(encoded, numbers), numbers)
        return heard_again(again, other, self._scorer(encoded, second), sounds_like(), second)

    def _scorer(self, encoded: NDArray[np.float32], how: Numbers | SecondHearing) -> Score:
        def score(trials: Sequence[tuple[float, tuple[str, ...]]]) -> list[list[float]]:
            held = [Trial(*trial) for trial in trials]
            return self._forced.scores(encoded, held, how.seconds, how.preference)

        return score

    @cached_property
    def _forced(self) -> Forced:
        silence = self.feature_extractor(np.zeros(30 * SAMPLE_RATE, np.float32))[:, :-1]
        encoded = on_cpu(self.encode(pad_or_trim(silence)))[0]
        return Forced(self.model, self.tokens, encoded)

    def _read_twice(self, encoded: Any, count: int, prompt: str) -> list[tuple[Reading, Reading | None]]:
        """Of each window the reading to take and the other one: with the prompt, and without."""
        decode = self._settings.decode
        if not prompt:
            return [(plain, None) for plain in self._generate(encoded, count, "", decode.beam)]
        plain = self._generate(encoded, count, "", decode.plain_beam)
        prompted = self._generate(encoded, count, prompt, decode.beam)
        return [self._choose(*pair) for pair in zip(prompted, plain, strict=True)]

    def _choose(self, prompted: Reading, plain: Reading) -> tuple[Reading, Reading]:
        decode, compare = self._settings.decode, self._settings.compare
        gain = _quality(prompted, decode) - _quality(plain, decode)
        if gain < 0 or (gain == 0 and leaves_out(prompted.text, plain.text, compare)):
            return plain, prompted
        return prompted, plain

    def _generate(self, encoded: Any, count: int, prompt: str, beam: int) -> list[Reading]:
        before = self.get_prompt(self.tokens, [], without_timestamps=True, hotwords=prompt or None)
        results = self.model.generate(
            encoded,
            [before] * count,
            beam_size=beam,
            max_length=self.max_length,
            suppress_tokens=self._suppressed,
            return_scores=True,
            return_no_speech_prob=True,
        )
        return [self._reading(result) for result in results]

    def _reading(self, result: Any) -> Reading:
        tokens = [token for token in result.sequences_ids[0] if token < self.tokens.eot]
        length = len(result.sequences_ids[0])
        return Reading(
            tokens,
            self.tokens.decode(tokens).strip(),
            result.scores[0] * length / (length + 1),
            result.no_speech_prob,
        )

    def _align(
        self, encoded: Any, readings: Sequence[Reading], features: Sequence[NDArray[np.float32]]
    ) -> list[list[dict[str, Any]]]:
        """The words of each window with their times in it."""
        segments = [
            [{"tokens": r.tokens, "seek": 0, "start": 0.0, "end": f.shape[-1] / self.frames_per_second}]
            for r, f in zip(readings, features, strict=True)
        ]
        frames = [max(2, f.shape[-1]) for f in features]
        self.add_word_timestamps(segments, self.tokens, encoded, frames, "", "", 0.0)
        return [segment[0].get("words", []) for segment in segments]

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


def mended(tokenizer: Any) -> Any:
    """The tokenizer with its first merge, where a conversion took that for the file's heading and lost it.

    Without it every word that begins with a "t" is cut in a way that the model never saw, in prompts and in
    forced decoding. The default weights carry such a file.
    """
    whole = json.loads(tokenizer.to_str())
    model = whole["model"]
    first = ["Ġ", "t"]
    if "".join(first) not in model["vocab"] or first in model["merges"] or " ".join(first) in model["merges"]:
        return tokenizer
    model["merges"].insert(0, first if isinstance(model["merges"][0], list) else " ".join(first))
    return type(tokenizer).from_str(json.dumps(whole))


def _suppressed(tokens: Tokenizer, decode: Decode) -> list[int]:
    """Tokens that are never printed: signs of no speech, but for those that the trade needs."""
    wanted = {t for sign in decode.signs for text in (sign, f" {sign}") for t in tokens.encode(text)}
    return [token for token in get_suppressed_tokens(tokens, [-1]) if token not in wanted]


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


def _quality(reading: Reading, decode: Decode) -> int:
    """2 for a good decode, 1 for one that is too improbable, 0 for one that repeats itself."""
    if get_compression_ratio(reading.text) > decode.compression:
        return 0
    return 2 if reading.log_probability >= decode.log_probability else 1


def _pieces(words: Iterable[dict[str, Any]]) -> Iterator[Piece]:
    for w in words:
        yield Piece(w["word"], float(w["start"]), float(w["end"]), float(w["probability"]))


def _later(word: Piece, seconds: float) -> Piece:
    return word._replace(start=round(word.start + seconds, 3), end=round(word.end + seconds, 3))


def _sentences(words: Iterable[Piece], reading: Reading) -> Iterator[Segment]:
    """The window's sentences, each with the window's figures."""
    sentence: list[Piece] = []
    for word in words:
        sentence.append(word)
        if word.text.endswith(_STOPS):
            yield Segment(tuple(sentence), reading.log_probability, reading.no_speech)
            sentence = []
    if sentence:
        yield Segment(tuple(sentence), reading.log_probability, reading.no_speech)
