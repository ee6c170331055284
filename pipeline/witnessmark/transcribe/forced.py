"""Asks the recogniser how well a given text fits the sound, by forced decoding. Importing this file is slow.

Texts that differ in a word or two are held against the same few seconds, so that only the difference counts.
The decoder likes some texts better than others whatever was said; how much it likes a text over silence tells
that preference, and a share of it is taken off (internal language model estimation, Meng et al. 2020).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import ctranslate2
import numpy as np
from faster_whisper.tokenizer import Tokenizer
from numpy.typing import NDArray

_FRAMES = 50
"""Encoder frames in a second."""
_WINDOW = 1500
"""Encoder frames in a window."""
_TOGETHER = 16
"""Texts held against the sound in one call; each takes megabytes, for the vocabulary is large."""
_LEAST = 1e-10
"""Least probability of a token, so that its logarithm exists."""


def on_cpu(encoded: Any) -> NDArray[np.float32]:
    """What the encoder gave, shape (windows, 1500, d)."""
    if encoded.device == "cuda":
        encoded = encoded.to_device(ctranslate2.Device.cpu).to(ctranslate2.DataType.float32)
    return np.asarray(encoded)


class Trial(NamedTuple):
    """Texts for the same stretch of a window: the first as printed, the others in its place."""

    middle: float
    """Seconds in the window."""
    texts: tuple[str, ...]


class Forced:
    """Forced decoding with one model.

    Args:
        model: a CTranslate2 Whisper model.
        tokens: its tokenizer.
        silence: what the encoder makes of silence, shape (1500, d).
    """

    def __init__(self, model: Any, tokens: Tokenizer, silence: NDArray[np.float32]) -> None:
        self._model, self._tokens, self._silence = model, tokens, silence

    def scores(
        self, encoded: NDArray[np.float32], trials: Sequence[Trial], seconds: float, preference: float
    ) -> list[list[float]]:
        """Log probability of each trial's texts, less the decoder's preference; more is better.

        Args:
            encoded: what the encoder made of the window, shape (1500, d).
            trials: what to hold against it.
            seconds: length of the stretch around each trial's middle that is listened to.
            preference: share of the decoder's liking to take off.
        """
        length = int(seconds * _FRAMES)
        stretches = [_stretch(encoded, trial.middle, length) for trial in trials for _ in trial.texts]
        texts = [text for trial in trials for text in trial.texts]
        if not texts:
            return []
        heard = self._log_probabilities(stretches, texts)
        if preference:
            liked = self._log_probabilities([self._silence[:length]] * len(texts), texts)
            heard = [h - preference * own for h, own in zip(heard, liked, strict=True)]
        found = iter(heard)
        return [[next(found) for _ in trial.texts] for trial in trials]

    def _log_probabilities(
        self, stretches: Sequence[NDArray[np.float32]], texts: Sequence[str]
    ) -> list[float]:
        found: list[float] = []
        for at in range(0, len(texts), _TOGETHER):
            tokens = [self._tokens.encode(f" {text.strip()}") for text in texts[at : at + _TOGETHER]]
            some = np.ascontiguousarray(np.stack(stretches[at : at + _TOGETHER]))
            features = ctranslate2.StorageView.from_array(some)
            frames = [2 * some.shape[1]] * len(tokens)
            results = self._model.align(features, self._tokens.sot_sequence, tokens, frames)
            found += [float(np.log(np.maximum(r.text_token_probs, _LEAST)).sum()) for r in results]
        return found


def _stretch(encoded: NDArray[np.float32], middle: float, length: int) -> NDArray[np.float32]:
    start = max(0, min(int(middle * _FRAMES) - length // 2, _WINDOW - length))
    return encoded[start : start + length]
