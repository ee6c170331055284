"""Keeps the confirmed tables in step with the trail, one item at a time.

Only the rows of the decided item are rewritten, so two reviewers who decide on different items of one
walkround at once do not undo each other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.record.rows import MACHINE, TABLES, Entry, confirmed_row
from witnessmark.types import Decision, DecisionKind, Outcome

if TYPE_CHECKING:
    from sqlite_utils import Database

LETS_IN = frozenset((DecisionKind.CONFIRM, DecisionKind.CORRECT, DecisionKind.ADD))
"""Decisions after which an item is in the record."""


def rewrite(db: Database, seq: int, decision: Decision, outcome: Outcome) -> None:
    """Replace the decided item's confirmed row by what the outcome says, inside the caller's transaction.

    Raises:
        ValueError: the outcome does not follow from the decision; see ``let_in``.
    """
    entry = let_in(decision, outcome)
    for table in TABLES.values():
        db.execute(
            f"DELETE FROM {table} WHERE walkround = ? AND item = ?", [decision.walkround, decision.item]
        )
    if entry is not None:
        item, drafted = entry
        db.table(TABLES[type(item)]).insert(confirmed_row(item, drafted, decision, seq))


def let_in(decision: Decision, outcome: Outcome) -> tuple[Entry, Entry | None] | None:
    """The entry that this decision lets into the record, with what was drafted; None when it lets none in.

    The last gate before the record: it trusts the outcome only where the decision itself says the same.

    Raises:
        ValueError: the outcome is another walkround's, its trail does not end with the decision, or it
            confirms what the decision did not let in.
    """
    if outcome.walkround.id != decision.walkround or outcome.walkround.decisions[-1:] != (decision,):
        raise ValueError("the outcome does not end with this decision")
    if decision.item == MACHINE:
        drafted = None if decision.kind is DecisionKind.ADD else outcome.walkround.draft.machine
        entries: list[tuple[Entry, Entry | None]] = [(outcome.machine, drafted)] if outcome.machine else []
    else:
        about = [found for found in outcome.confirmed if getattr(found.item, "key", None) == decision.item]
        entries = [(found.item, found.drafted) for found in about if found.decision == decision]
        if len(about) != len(entries):
            raise ValueError("the outcome confirms an item by another decision")
    if len(entries) != (decision.kind in LETS_IN):
        raise ValueError("the outcome confirms what the decision did not, or the other way about")
    return entries[0] if entries else None
