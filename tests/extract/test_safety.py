"""Nothing that takes praise back may leave a part called sound; similes and guesses."""

from __future__ import annotations

import pytest

from witnessmark.extract import extract
from witnessmark.knowledge.grammar import words
from witnessmark.types import Finding

from .reading import Case, cases


@pytest.mark.parametrize("case", [*cases("safety"), *cases("similes")])
def test_praise_and_likeness(case: Case) -> None:
    case.check()


PRAISE = (
    "works",
    "runs",
    "returns",
    "starts",
    "charges",
    "lights up",
    "turns",
    "spins",
    "sounds",
    "comes on",
)
PARTS = ("Horn", "Starter", "Throttle", "Front wheel", "Brake light", "Charging system")


@pytest.mark.parametrize("praise", PRAISE)
@pytest.mark.parametrize("word", sorted(words("reluctant")))
def test_what_is_done_badly_is_not_sound(praise: str, word: str) -> None:
    for part in PARTS:
        findings = extract(f"{part} {praise} {word}.", jurisdiction="GB").findings
        assert [f for f in findings if isinstance(f, Finding) and f.condition == "sound"] == [], part
