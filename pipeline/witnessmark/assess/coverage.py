"""What a walkround touched of what it should have, and what it did not."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple

from witnessmark.knowledge.cards import MachineCard
from witnessmark.knowledge.coverage import Alternative, Coverage, Expected, Risk
from witnessmark.types import Draft, End, Finding, Item, Side

Touch = Literal["seen", "ruled out", "unsure", "unseen", "never mentioned"]
"""How far a part was looked at. Only what was seen or ruled out was looked at; the last is not "sound"."""


class Part(NamedTuple):
    """One part at one place and how far it was looked at."""

    component: str
    end: End | None
    side: Side | None
    risk: Risk
    touch: Touch


def never_mentioned(draft: Draft, card: MachineCard | None, expected: Coverage) -> tuple[str, ...]:
    """Components in no finding, reading or action, gravest first.

    ``brake_pads`` was not mentioned at all; ``brake_pads:rear``, ``mirror:left`` or ``indicator:rear left``
    only at other places. A mention that names no end or side counts for all of them (the item itself
    carries the doubt), and one of an unseen part counts too.
    """
    gaps: list[str] = []
    parts = touched(draft.items, card, expected)
    for component in dict.fromkeys(part.component for part in parts):
        here = [part for part in parts if part.component == component]
        missing = [part for part in here if part.touch == "never mentioned"]
        gaps += [component] if len(missing) == len(here) else [_gap(part, here) for part in missing]
    return tuple(dict.fromkeys(gaps))


def _gap(part: Part, here: list[Part]) -> str:
    """The place that is missing; the whole end where nothing at that end was mentioned."""
    same_end = [other for other in here if other.end == part.end]
    end_missing = all(other.touch == "never mentioned" for other in same_end)
    place = (part.end,) if part.end and end_missing else (part.end, part.side)
    return f"{part.component}:{' '.join(filter(None, place))}"


def touched(items: Iterable[Item], card: MachineCard | None, expected: Coverage) -> tuple[Part, ...]:
    """Every part that the machine has and a walkround should touch, gravest first, and how far it was.

    How the machine is built is taken from its card, else from what was mentioned, else as is usual.
    """
    items = tuple(items)
    built = _built(items, card, expected)
    return tuple(
        Part(row.id, end, side, row.risk, _touch(items, row, end, side))
        for row in expected.expected
        for end in expected.ends_of(row, built)
        for side in expected.sides_of(row, built)
    )


def _touch(items: tuple[Item, ...], row: Expected, end: End | None, side: Side | None) -> Touch:
    """The most that was said of the part at this place."""
    said = {_of(item) for item in items if _concerns(item, row, end, side)}
    order: tuple[Touch, ...] = ("seen", "ruled out", "unsure", "unseen")
    return next((touch for touch in order if touch in said), "never mentioned")


def _concerns(item: Item, row: Expected, end: End | None, side: Side | None) -> bool:
    same = item.component == row.id or item.component in row.counts
    return same and _fits(item.end, end) and _fits(item.side, side)


def _fits(said: str | None, wanted: str | None) -> bool:
    return said is None or wanted is None or said == wanted


def _of(item: Item) -> Touch:
    if not isinstance(item, Finding):
        return "seen"
    by_state: dict[str, Touch] = {"absent": "ruled out", "unsure": "unsure", "unseen": "unseen"}
    return by_state.get(item.state, "seen")


def _built(items: tuple[Item, ...], card: MachineCard | None, expected: Coverage) -> set[str]:
    """The alternative taken in each choice: the card's, else the first one mentioned, else the usual one."""
    taken: dict[str, str] = dict(card.built) if card else {}
    for row in expected.alternatives:
        if row.choice not in taken and any(_shows(row, item) for item in items):
            taken[row.choice] = row.id
    for row in expected.alternatives:
        taken.setdefault(row.choice, row.id)
    return set(taken.values())


def _shows(row: Alternative, item: Item) -> bool:
    at_end = row.end is None or item.end in (None, row.end)
    return item.component in row.shown_by and at_end and (bool(item.side) or not row.sided)
