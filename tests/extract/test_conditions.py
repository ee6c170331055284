"""What is said of a part."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from witnessmark.knowledge.lexicon import Row, lexicon
from witnessmark.knowledge.phrases import GAP, expand
from witnessmark.knowledge.vocabulary import vocabulary

from .reading import Case, cases, lines_of


@pytest.mark.parametrize("case", cases("conditions"))
def test_what_is_observed(case: Case) -> None:
    case.check()


NOT_YET = {
    "contamination": {"caked with mud", "clogged with dirt", "clogged with mud"},
    "damage": {"split in two"},
    "delayed": {"hang on release"},
    "intermittent": {"cuts out"},
    "loose": {"half a turn loose", "wobbles"},
    "misaligned": {"to one side"},
    "out_of_adjustment": {"idles high", "idles low", "idling high", "idling low", "too lean", "too rich"},
    "perished": {"gone off"},
    "sound": {"charging", "in one piece", "well inside", "well within"},
    "stiff": {"rubbing"},
    "worn": {"due soon"},
}
"""Known failures; some have a second row that is read first. This list may only shrink."""


@pytest.mark.parametrize("condition", vocabulary().conditions)
def test_every_way_to_say_a_condition(condition: str) -> None:
    """Said of a part that the row is for: "Brake disc: rusty."""
    wrong = {
        " ".join(words)
        for row in lexicon().rows
        if (row.family, row.id) == ("condition", condition)
        for words in ways(row)
        if not says(part_for(row), words, condition)
    }
    assert wrong == NOT_YET.get(condition, set())


def ways(row: Row) -> Iterator[tuple[str, ...]]:
    """The first two word sequences of each phrase that has no gap."""
    return (words for phrase in row.phrases for words in expand(phrase)[:2] if GAP not in words)


def part_for(row: Row) -> str:
    """A component that a row is for."""
    components = vocabulary().components
    if of := row.data.get("of"):
        return next(c for c, info in components.items() if of[0] in (c, info.group))
    others = set(row.data.get("not_of", ()))
    return next(c for c in ("exhaust", "frame", "rear_sprocket") if not {c, components[c].group} & others)


def says(component: str, words: tuple[str, ...], condition: str) -> bool:
    name = next(row.phrases[0] for row in lexicon().rows if (row.family, row.id) == ("part", component))
    lines = lines_of(f"{' '.join(max(expand(name), key=lambda words: len(words)))}: {' '.join(words)}.")
    return any(line.startswith(f"{component} ") and line.endswith(f" {condition} present") for line in lines)
