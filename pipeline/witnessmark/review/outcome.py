"""What a trail of decisions comes to. Nothing that was not confirmed is in ``Outcome.confirmed``."""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.review.standing import MACHINE, Entry, Standing, keyed, queue, standings
from witnessmark.review.validity import check
from witnessmark.types import Confirmed, Decision, DecisionKind, Machine, Outcome, Rejected, Walkround


def apply(walkround: Walkround, decisions: Iterable[Decision] = ()) -> Outcome:
    """The walkround with its trail, and what that trail lets through.

    A later decision on the same item replaces an earlier one; the trail keeps both.

    Args:
        walkround: as drafted, or with the trail so far.
        decisions: the whole trail (it then starts with ``walkround.decisions``), or only what comes after
            it. The same decision, to the microsecond, is not made twice.

    Raises:
        DecisionError: when a new decision does not fit; see ``check``.
    """
    for decision in _beyond(walkround.decisions, tuple(decisions)):
        check(walkround, decision)
        walkround = walkround.model_copy(update={"decisions": (*walkround.decisions, decision)})
    entries = standings(walkround)
    let_in = {key: entry for key, standing in entries.items() if (entry := _let_in(standing)) is not None}
    identity = let_in.pop(MACHINE, None)
    return Outcome(
        walkround=walkround,
        machine=identity if isinstance(identity, Machine) else None,
        confirmed=tuple(_confirmed(entries[key], entry) for key, entry in let_in.items()),
        rejected=tuple(
            Rejected(drafted=standing.proposal, decision=standing.last)
            for standing in entries.values()
            if standing.last is not None and standing.last.kind is DecisionKind.REJECT
        ),
        waiting=queue(walkround),
    )


def _beyond(trail: tuple[Decision, ...], decisions: tuple[Decision, ...]) -> tuple[Decision, ...]:
    """The decisions not in the trail yet."""
    return decisions[len(trail) :] if decisions[: len(trail)] == trail else decisions


def _let_in(standing: Standing) -> Entry | None:
    """What the last decision lets into the record."""
    match standing.last:
        case Decision(kind=DecisionKind.CONFIRM):
            return standing.proposal
        case Decision(kind=DecisionKind.CORRECT | DecisionKind.ADD) as decision:
            return keyed(decision)
        case _:
            return None


def _confirmed(standing: Standing, entry: Entry) -> Confirmed:
    assert standing.last is not None  # only decided items are let in
    return Confirmed(item=entry, drafted=standing.drafted, decision=standing.last)
