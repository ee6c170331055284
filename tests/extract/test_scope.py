"""Denials, hedges and exceptions, and where they end."""

from __future__ import annotations

import pytest

from .reading import Case, cases, lines_of, params


@pytest.mark.parametrize("case", cases("scope"))
def test_what_is_denied_or_hedged(case: Case) -> None:
    case.check()


GOOD = (
    *(
        "fine",
        "good",
        "great",
        "okay",
        "right",
        "happy",
        "perfect",
        "healthy",
        "clean",
        "straight",
        "true",
        "tight",
    ),
    *("secure", "smooth", "firm", "sound", "lovely", "brilliant", "quiet", "free", "working", "in order"),
    *("within limits", "serviceable"),
)
NOT_GOOD = (
    *("The front disc isn't {}.", "The front disc is not {}.", "The front disc is not at all {}."),
    *("The front disc isn't very {}.", "The front disc isn't too {}.", "The front disc is not so {}."),
    *("The front disc isn't that {}.", "The front disc isn't exactly {}.", "The front disc isn't quite {}."),
    *("The front disc is hardly {}.", "The front disc is barely {}.", "The front disc is far from {}."),
    *(
        "The front disc is anything but {}.",
        "The front disc is less than {}.",
        "The front disc is no longer {}.",
    ),
    *("The front disc doesn't look {}.", "The front disc doesn't feel {}.", "The front disc should be {}."),
    *("The front disc needs to be {}.", "The front disc used to be {}.", "The front disc isn't really {}."),
    *("The front disc would be {} with a new one.", "The front disc is not what I'd call {}."),
    *("The front disc isn't as {} as it should be.", "I wouldn't call the front disc {}."),
    *("I'm not {} with the front disc.", "The front disc is no {}."),
)
NOT_YET = ()


@pytest.mark.parametrize("frame", params(NOT_GOOD, *NOT_YET))
def test_what_is_not_good_is_not_sound(frame: str) -> None:
    """A supervisor who trusts the draft would let the part pass."""
    said = [frame.format(word) for word in GOOD]
    assert [s for s in said if "brake_disc front - sound present" in lines_of(s)] == []
