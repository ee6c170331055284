"""Keeps the confirmed tables in step with the trail, one item at a time.

Only the rows of the decided item are rewritten, so two reviewers who decide on different items of one
walkround at once do not undo each other.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from witnessmark.record.rows import MACHINE, TABLES, Entry, Row, confirmed_row, insert
from witnessmark.types import Assessment, Decision, DecisionKind, Machine, Outcome

if TYPE_CHECKING:
    from sqlite_utils import Database

LETS_IN = frozenset((DecisionKind.CONFIRM, DecisionKind.CORRECT, DecisionKind.ADD))
"""Decisions after which an item is in the record."""
Rows = dict[tuple[str, str, str], Row]
"""(table, walkround, item) → row."""
Drafts = dict[tuple[str, str], Entry]
"""(walkround, item) → entry."""


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
        insert(db, TABLES[type(item)], confirmed_row(item, drafted, decision, seq))


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


def due(drafts: Drafts, trail: Iterable[tuple[int, Decision]]) -> Rows:
    """The confirmed rows as drafts and trail have them."""
    last: dict[tuple[str, str], tuple[int, Decision]] = {}
    proposed: dict[tuple[str, str], Entry] = {}
    for seq, decision in trail:
        key = decision.walkround, decision.item
        last[key] = seq, decision
        if decision.becomes is not None:
            proposed[key] = _keyed(decision.becomes, decision.item)
    rows: Rows = {}
    for key, (seq, decision) in last.items():
        origin = None if decision.kind is DecisionKind.ADD else drafts.get(key)
        confirmed = origin if origin and decision.kind is DecisionKind.CONFIRM else proposed.get(key)
        if decision.kind in LETS_IN and confirmed is not None:
            rows[(TABLES[type(confirmed)], *key)] = confirmed_row(confirmed, origin, decision, seq)
    return rows


def drafted(db: Database, walkround: str) -> Drafts:
    """Everything that was drafted in a walkround."""
    row = db.execute("SELECT body FROM drafts WHERE walkround = ?", [walkround]).fetchone()
    if row is None:
        return {}
    return entries_of(walkround, Assessment.model_validate_json(row[0]))


def entries_of(walkround: str, assessment: Assessment) -> Drafts:
    """What a draft holds, the machine's identity first."""
    draft = assessment.draft
    entries: Drafts = {(walkround, MACHINE): draft.machine}
    return entries | {(walkround, item.key): item for item in (*draft.findings, *draft.actions)}


def decisions(db: Database, walkround: str) -> list[tuple[int, Decision]]:
    """Number and decision, oldest first, without the acts on the record."""
    rows = db.execute(
        "SELECT seq, body FROM decisions WHERE walkround = ? AND item IS NOT NULL ORDER BY seq", [walkround]
    )
    return [(seq, Decision.model_validate_json(body)) for seq, body in rows.fetchall()]


def renew(db: Database, walkround: str) -> None:
    """Make the confirmed rows of a walkround anew, inside the caller's transaction."""
    for table in TABLES.values():
        db.execute(f"DELETE FROM {table} WHERE walkround = ?", [walkround])
    for (table, *_), row in due(drafted(db, walkround), decisions(db, walkround)).items():
        insert(db, table, row)


def _keyed(entry: Entry, key: str) -> Entry:
    return entry if isinstance(entry, Machine) else entry.model_copy(update={"key": key})
