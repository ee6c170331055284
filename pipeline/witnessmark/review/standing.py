"""Where each item of a walkround stands, and the order in which a reviewer should see them."""

from __future__ import annotations

import math
from typing import NamedTuple, TypeAlias

from witnessmark.types import (
    Action,
    Decision,
    DecisionKind,
    Finding,
    Grade,
    Item,
    Machine,
    Reading,
    Verdict,
    Walkround,
)

MACHINE = "machine"
"""Key of the machine's identity, beside the keys of the items."""

Entry: TypeAlias = Finding | Reading | Action | Machine

_GRAVITY = {grade: place for place, grade in enumerate(Grade)}


class Standing(NamedTuple):
    """One item with what has been decided about it so far."""

    key: str
    proposal: Entry
    """What a confirmation would let in: the drafted item, or an added one as the reviewer last put it."""
    drafted: Entry | None
    """None for an item that the reviewer added."""
    last: Decision | None = None

    @property
    def postponed(self) -> bool:
        """Whether a reviewer put it back."""
        return self.last is not None and self.last.kind is DecisionKind.POSTPONE

    @property
    def waiting(self) -> bool:
        """Whether it still needs a decision."""
        return self.last is None or self.postponed


def standings(walkround: Walkround) -> dict[str, Standing]:
    """Every item by key: the machine, then the items in the order of the talk, then the added ones."""
    draft = walkround.draft
    found: dict[str, Standing] = {MACHINE: Standing(MACHINE, draft.machine, draft.machine)}
    for item in sorted(draft.items, key=_first_word):
        found[item.key] = Standing(item.key, item, item)  # type: ignore[arg-type]  # items are of Entry's kinds
    for decision in walkround.decisions:
        before = found.get(decision.item)
        if before is not None and before.drafted is not None:
            found[decision.item] = before._replace(last=decision)
        else:
            proposal = keyed(decision) or (before and before.proposal)
            if proposal is not None:
                found[decision.item] = Standing(decision.item, proposal, None, decision)
    return found


def keyed(decision: Decision) -> Entry | None:
    """What the decision puts in the item's place, carrying the item's key."""
    wanted = decision.becomes
    if wanted is None or isinstance(wanted, Machine) or wanted.key == decision.item:
        return wanted
    return wanted.model_copy(update={"key": decision.item})


def _first_word(item: Item) -> float:
    """Place in the talk; an item without evidence comes after those with."""
    return min((piece.char_start for piece in item.evidence), default=math.inf)


def queue(walkround: Walkround) -> tuple[str, ...]:
    """Keys of the items that wait for a decision, in the order a reviewer should see them.

    First the machine's identity when it is doubtful or was not said; then items both doubtful and
    dangerous, dangerous ones, doubtful ones, and the rest from major to sound. Ties keep the order of the
    talk, and postponed items come last of all.
    """
    waiting = [standing for standing in standings(walkround).values() if standing.waiting]
    return tuple(standing.key for standing in sorted(waiting, key=lambda s: _rank(walkround, s)))


def _rank(walkround: Walkround, standing: Standing) -> tuple[bool, int, int]:
    doubtful = is_doubtful(standing.proposal)
    if standing.key == MACHINE:
        return standing.postponed, 0 if doubtful else 4, _GRAVITY[Grade.SOUND]
    grade = gravest(walkround.assessment.verdicts_of(standing.key))
    dangerous = grade is Grade.DANGEROUS
    tier = 1 if doubtful and dangerous else 2 if dangerous else 3 if doubtful else 4
    return standing.postponed, tier, _GRAVITY[grade]


def is_doubtful(entry: Entry) -> bool:
    """Whether there is a reason to look twice; an identity with neither registration nor VIN is one."""
    return bool(entry.doubts) or (isinstance(entry, Machine) and not is_named(entry))


def is_named(machine: Machine) -> bool:
    """Whether the record could file something under this identity."""
    return any(letter.isalnum() for letter in f"{machine.registration or ''}{machine.vin or ''}")


def gravest(verdicts: tuple[Verdict, ...]) -> Grade:
    """The gravest grade among them, whichever rule decided; ungraded when there is none."""
    return min((verdict.grade for verdict in verdicts), key=_GRAVITY.__getitem__, default=Grade.UNGRADED)
