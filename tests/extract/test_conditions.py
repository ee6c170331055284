"""What is said of a part."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from functools import cache

import pytest

from witnessmark.knowledge.lexicon import Row, lexicon
from witnessmark.knowledge.phrases import GAP, expand
from witnessmark.knowledge.vocabulary import vocabulary

from .reading import Case, cases, lines_of


@pytest.mark.parametrize("case", cases("conditions"))
def test_what_is_observed(case: Case) -> None:
    case.check()


NOT_YET = {
    "delayed": {"hang on release"},
    "sound": {"charging", "well inside", "well within"},
    "worn": {"due soon"},
}
"""Known failures. This list may only shrink."""


@pytest.mark.parametrize("condition", vocabulary().conditions)
def test_every_way_to_say_a_condition(condition: str) -> None:
    """Said of a part that the row is for: "Brake disc: rusty."""
    wrong = {
        " ".join(words)
        for row in ROWS
        if row.id == condition
        for words in ways(row)
        if not said_of(part_for(row), words) & meanings(words, condition)
    }
    assert wrong == NOT_YET.get(condition, set())


ROWS = [row for row in lexicon().rows if row.family == "condition"]


def ways(row: Row) -> Iterator[tuple[str, ...]]:
    """The first two word sequences of each phrase without a gap; none of a row that needs other words."""
    if row.data.get("named") or row.data.get("beside"):
        return iter(())
    return (words for phrase in row.phrases for words in expand(phrase)[:2] if GAP not in words)


@cache
def listed() -> dict[tuple[str, ...], set[str]]:
    """Words → the conditions that have a row with them."""
    found: dict[tuple[str, ...], set[str]] = defaultdict(set)
    for row in ROWS:
        for words in (words for phrase in row.phrases for words in expand(phrase)):
            found[words].add(row.id)
    return found


def meanings(words: tuple[str, ...], condition: str) -> set[str]:
    """Conditions that words may be read as: one defect or another that lists them, never good for bad."""
    return {other for other in listed()[words] if (other == "sound") == (condition == "sound")}


def part_for(row: Row) -> str:
    """A component that a row is for."""
    components = vocabulary().components
    if of := row.data.get("of"):
        return next(c for c, info in components.items() if of[0] in (c, info.group))
    others = set(row.data.get("not_of", ()))
    return next(c for c in ("exhaust", "frame", "rear_sprocket") if not {c, components[c].group} & others)


def said_of(component: str, words: tuple[str, ...]) -> set[str]:
    """The conditions that a part is said to have."""
    name = next(row.phrases[0] for row in lexicon().rows if (row.family, row.id) == ("part", component))
    longest = max(expand(name), key=lambda words: len(words))
    lines = [line.split() for line in lines_of(f"{' '.join(longest)}: {' '.join(words)}.")]
    return {line[3] for line in lines if line[0] == component and line[-1] == "present"}


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("Dip is on.", ["headlight_dip - - sound present"]),
        ("Tail light works. The kettle is on.", ["tail_light - - sound present"]),
        (
            "Caliper slide pins were dry.",
            ["brake_caliper front - dry present", "brake_caliper rear - dry present"],
        ),
        ("The front caliper is dry.", ["brake_caliper front - sound present"]),
    ],
)
def test_rows_that_need_words_beside_them(said: str, read: list[str]) -> None:
    assert lines_of(said) == read
