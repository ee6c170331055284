"""Spoken numbers and spelled names of ten people: the AN4 test set of Carnegie Mellon University.

``python -m tests.outside.people`` has stock faster-whisper (its default settings) and the product read all
130 recordings with the same weights. Numbers are right when their figures are, however they are written. Of
the rest, names and addresses that are spelled, the share of wrong letters is counted with jiwer.
"""

from __future__ import annotations

import argparse
import csv
import re
from collections import defaultdict
from collections.abc import Callable, Iterator

import jiwer
import numpy as np
from faster_whisper import WhisperModel
from faster_whisper.audio import decode_audio

from witnessmark.transcribe import Transcriber, weights
from witnessmark.types import SAMPLE_RATE, Recording, Sound

from .corpora import path

NUMBERS = ("zip_code", "phone_number", "street_number")
_ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def figures(text: str) -> str:
    """All figures of a text in a row: "fifteen two oh" and "1,520" are 1520."""
    found = ""
    words = re.findall(r"[a-z]+|\d+", text.lower())
    for word, after in zip(words, [*words[1:], ""], strict=True):
        if word.isdigit():
            found += word
        elif word in ("oh", "o"):
            found += "0"
        elif word in _ONES:
            found += str(_ONES.index(word))
        elif word in _TENS:
            ten = str(_TENS.index(word) + 2)
            found += ten if after in _ONES[1:10] else f"{ten}0"
    return found


def letters(text: str) -> str:
    """A text without numbers, letter by letter."""
    words = [w for w in re.findall(r"[a-z]+", text.lower()) if w not in (*_ONES, *_TENS, "oh")]
    return " ".join("".join(words))


def recordings() -> Iterator[tuple[str, str, Sound]]:
    """Kind, what was said, sound."""
    with path("an4/an4_test_full.tsv").open(encoding="utf-8") as rows:
        for row in csv.DictReader(rows, delimiter="\t"):
            samples = np.asarray(decode_audio(str(path(row["path"]))))
            recording = Recording(sha256="0" * 64, name=row["utt"], duration=samples.size / SAMPLE_RATE)
            yield row["kind"], row["transcript"], Sound(recording, samples)


def stock(model: str) -> Callable[[Sound], str]:
    loaded = WhisperModel(str(weights.ensure(model, None)), device="cpu", compute_type="int8")
    return lambda sound: " ".join(s.text for s in loaded.transcribe(sound.samples)[0])


def ours(model: str) -> Callable[[Sound], str]:
    transcriber = Transcriber(model)
    return lambda sound: transcriber.transcribe(sound).text


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.outside.people", description=__doc__)
    parser.add_argument("--model", default="base")
    parser.add_argument("--errors", action="store_true")
    parser.add_argument("--numbers", action="store_true", help="only the recordings of numbers")
    given = parser.parse_args()
    readers = {"stock": stock(given.model), "ours": ours(given.model)}
    right: dict[str, list[bool]] = defaultdict(list)
    spelled: dict[str, tuple[list[str], list[str]]] = defaultdict(lambda: ([], []))
    for kind, said, sound in recordings():
        if given.numbers and kind not in NUMBERS:
            continue
        for system, reader in readers.items():
            printed = reader(sound)
            if kind in NUMBERS:
                right[system].append(figures(said) == figures(printed))
                if given.errors and not right[system][-1]:
                    print(f"{system}: {said!r} printed {printed!r}")
            elif letters(said):
                spelled[system][0].append(letters(said))
                spelled[system][1].append(letters(printed))
    for system in readers:
        rate = jiwer.wer(*spelled[system])
        print(
            f"{system}: {sum(right[system])} of {len(right[system])} numbers right, letters wrong {rate:.3f}"
        )


if __name__ == "__main__":
    main()
