"""What the hearing benchmark counts, and its table. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from tests.walkrounds.scoring import NEAR, Tally, compare, pair, same_reading

from witnessmark.extract import extract
from witnessmark.types import Draft, Reading, Transcript

HEARD = frozenset(
    ["low_probability", "sounds_like", "implausible", "misheard_number", "digits_run_together",
     "impossible_date", "three_digit_date", "misheard_word", "place_unsaid",
     "odd_part"]
)  # fmt: skip
"""Doubts that say a figure, or of what it is, may have been heard wrong; a unit that nobody said is none."""
_NUMBER_WORDS = frozenset(
    ["zero", "oh", "nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
     "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
     "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety", "hundred", "thousand",
     "point", "half", "quarter", "and", "a"]
)  # fmt: skip
_SPELLINGS = {"tire": "tyre", "tires": "tyres", "millimeters": "mm", "millimetres": "mm", "color": "colour"}


@dataclass
class Count:
    """One recording, or several added up."""

    observations: Tally = field(default_factory=Tally)
    observations_text: Tally = field(default_factory=Tally)
    """From the true text, by the same extractor."""
    readings: Tally = field(default_factory=Tally)
    readings_text: Tally = field(default_factory=Tally)
    wrong: int = 0
    """Readings that are wrong, in value, place or quantity, and that the true text does not give as well."""
    silent: int = 0
    """Of them, those without a doubt of hearing."""
    misheard: int = 0
    """Of the wrong ones, those whose figure is none that the walkround has."""
    misheard_silent: int = 0
    """Of them, those without a doubt of hearing."""
    marked: int = 0
    """Right readings with a doubt of hearing that the true text does not give as well."""
    safety: int = 0
    """Defects said that the draft calls sound or not there, beyond those of the true text."""
    words: int = 0
    words_right: int = 0
    seconds: float = 0.0
    wall: float = 0.0
    processor: float = 0.0
    wrongs: list[str] = field(default_factory=list)

    @property
    def drafted(self) -> int:
        """Readings drafted."""
        return self.readings.right + self.readings.extra

    def add(self, other: Count) -> None:
        for name in ("observations", "observations_text", "readings", "readings_text"):
            getattr(self, name).add(getattr(other, name))
        for name in (
            "wrong",
            "silent",
            "misheard",
            "misheard_silent",
            "marked",
            "safety",
            "words",
            "words_right",
            "wrongs",
        ):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        for name in ("seconds", "wall", "processor"):
            setattr(self, name, getattr(self, name) + getattr(other, name))


def total(counts: Iterable[Count]) -> Count:
    """All of them added up."""
    whole = Count()
    for count in counts:
        whole.add(count)
    return whole


def count(gold: dict[str, Any], transcript: Transcript) -> Count:
    """A transcript of a gold walkround, through the extractor."""
    told = {"id": gold["id"], "jurisdiction": gold.get("jurisdiction")}
    truth = extract(gold["text"], **told)
    heard = extract(transcript.text, transcript=transcript, **told)
    by_text, by_sound = compare(gold, truth), compare(gold, heard)
    found = Count(
        observations=by_sound.tallies["observations"],
        observations_text=by_text.tallies["observations"],
        readings=by_sound.tallies["readings"],
        readings_text=by_text.tallies["readings"],
        safety=max(0, len(by_sound.safety) - len(by_text.safety)),
    )
    _count_readings(gold, truth, heard, found)
    said, right = _words_recalled(gold["text"], transcript.text)
    found.words, found.words_right = said, right
    return found


def _count_readings(gold: dict[str, Any], truth: Draft, heard: Draft, found: Count) -> None:
    rows, other = _readings(heard), _readings(truth)
    wanted = [row for row in gold["findings"] if "quantity" in row]
    pairs, _, extra = pair(wanted, rows, same_reading)
    found.marked = sum(_doubted(row) for _, row in pairs)
    _, _, fallacies = pair(wanted, other, same_reading)
    _, _, wrong = pair(fallacies, extra, same_reading)
    silent = [row for row in wrong if not _doubted(row)]
    misheard = [row for row in wrong if not _said(row, [*wanted, *other])]
    found.wrong, found.silent, found.misheard = len(wrong), len(silent), len(misheard)
    found.misheard_silent = sum(not _doubted(row) for row in misheard)
    found.wrongs = [
        f"{gold['id']} {'misheard' if row in misheard else 'misplaced'} {row['key']} {row['value']}"
        f" {row['unit']} | {row['evidence'][0]['text']}"
        for row in silent
    ]


def _said(row: dict[str, Any], told: Iterable[dict[str, Any]]) -> bool:
    """Whether some reading or limit of the walkround has this figure, of whatever part."""
    values = [v for t in told for v in (t["value"], *(t.get("limit") or {}).values()) if v is not None]
    return any(row["value"] == v or _near(row["value"], v) for v in values)


def _near(one: object, other: object) -> bool:
    numbers = isinstance(one, int | float) and isinstance(other, int | float)
    return numbers and abs(one - other) <= NEAR * abs(other) + 1e-9  # type: ignore[operator]


def _readings(draft: Draft) -> list[dict[str, Any]]:
    return [item.model_dump(mode="json") for item in draft.findings if isinstance(item, Reading)]


def _doubted(row: dict[str, Any]) -> bool:
    return any(doubt["kind"] in HEARD for doubt in row["doubts"])


def _words_recalled(said: str, printed: str) -> tuple[int, int]:
    """Words said, but for numbers, and those of them that are printed in their order."""
    import jiwer

    one, other = _words(said), _words(printed)
    if not other:
        return len(one), 0
    return len(one), jiwer.process_words(" ".join(one), " ".join(other)).hits


def _words(text: str) -> list[str]:
    words = re.findall(r"[a-z]+(?:'[a-z]+)?", text.lower())
    return [_SPELLINGS.get(word, word) for word in words if word not in _NUMBER_WORDS]


# ── intervals and table ──────────────────────────────────────────────────────────────────────


def interval(
    by_voice: Sequence[Count], figure: Callable[[Count], float], rounds: int = 1000
) -> tuple[float, float]:
    """95 % of the figure when voices are drawn again with replacement: recordings of one voice are kin."""
    random = np.random.default_rng(0)
    drawn = [
        figure(total(by_voice[i] for i in random.integers(0, len(by_voice), len(by_voice))))
        for _ in range(rounds)
    ]
    return float(np.percentile(drawn, 2.5)), float(np.percentile(drawn, 97.5))


FIGURES: dict[str, Callable[[Count], float]] = {
    "observation F1": lambda c: c.observations.f1,
    "below the true text": lambda c: c.observations_text.f1 - c.observations.f1,
    "reading recall": lambda c: c.readings.recall,
    "of the true text's": lambda c: c.readings.recall / max(c.readings_text.recall, 1e-9),
    "figures misheard": lambda c: c.misheard / max(1, c.drafted),
    "of these unmarked": lambda c: c.misheard_silent / max(1, c.drafted),
    "otherwise wrong": lambda c: (c.wrong - c.misheard) / max(1, c.drafted),
    "of these unmarked too": lambda c: (c.silent - c.misheard_silent) / max(1, c.drafted),
    "right marked": lambda c: c.marked / max(1, c.readings.right),
    "words recalled": lambda c: c.words_right / max(1, c.words),
    "real-time factor": lambda c: c.wall / max(c.seconds, 1e-9),
    "processor seconds a second": lambda c: c.processor / max(c.seconds, 1e-9),
}
"""Name → figure of a `Count`."""


def table(groups: dict[str, dict[str, Count]]) -> str:
    """A row for each group and system: group → system → count."""
    head = ["", "system", *FIGURES, "readings drafted"]
    rows = [head, ["---"] * len(head)]
    for group, systems in groups.items():
        for system, whole in systems.items():
            figures = [f"{figure(whole):.3f}" for figure in FIGURES.values()]
            rows.append([group, system, *figures, str(whole.drafted)])
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)
