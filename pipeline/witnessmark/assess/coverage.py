"""What a walkround should have touched and did not."""

from __future__ import annotations

from witnessmark.knowledge.cards import MachineCard
from witnessmark.knowledge.coverage import Alternative, Coverage, Expected
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Draft, End

Mention = tuple[str, End | None]
"""Component and end."""
ENDS: tuple[End, ...] = ("front", "rear")


def never_mentioned(draft: Draft, card: MachineCard | None, expected: Coverage) -> tuple[str, ...]:
    """Components in no finding, reading or action, gravest first.

    ``brake_pads`` was not mentioned at all; ``brake_pads:rear`` only at the other end. A mention that
    names no end counts for both (the item itself carries the doubt), and one of an unseen part counts too.
    """
    mentions = {(item.component, item.end) for item in draft.items}
    built = _built(mentions, card, expected)
    return tuple(gap for row in expected.expected for gap in _gaps(row, mentions, built, expected))


def _built(mentions: set[Mention], card: MachineCard | None, expected: Coverage) -> set[str]:
    """The alternative taken in each choice: the card's, else the first one mentioned, else the usual one."""
    taken: dict[str, str] = dict(card.built) if card else {}
    for row in expected.alternatives:
        if row.choice not in taken and _shown(row, mentions):
            taken[row.choice] = row.id
    for row in expected.alternatives:
        taken.setdefault(row.choice, row.id)
    return set(taken.values())


def _shown(row: Alternative, mentions: set[Mention]) -> bool:
    return any(part in row.shown_by and (row.end is None or end in (None, row.end)) for part, end in mentions)


def _ends_wanted(row: Expected, built: set[str], expected: Coverage) -> tuple[End | None, ...]:
    """Ends at which the component is wanted; ``(None,)`` for one that has no ends."""
    ways = [way for way in expected.alternatives if way.id in row.when and way.id in built]
    if row.when and not ways:
        return ()
    if not vocabulary().components[row.id].takes_end:
        return (None,)
    return tuple(way.end for way in ways if way.end) or ENDS


def _gaps(row: Expected, mentions: set[Mention], built: set[str], expected: Coverage) -> list[str]:
    heard = {end for part, end in mentions if part == row.id or part in row.counts}
    wanted = _ends_wanted(row, built, expected)
    missing = [end for end in wanted if not heard & {end, None}] if heard else list(wanted)
    if wanted and wanted != (None,) and heard:
        return [f"{row.id}:{end}" for end in missing]
    return [row.id] if missing and not heard else []
