"""What waits for a review."""

from __future__ import annotations

from witnessmark.desk.review.shapes import WaitingList, WaitingRow
from witnessmark.desk.review.views import present
from witnessmark.record import Store, Summary
from witnessmark.review import queue
from witnessmark.review.standing import gravest, is_doubtful
from witnessmark.types import Grade

MOST = 60
"""Walkrounds in one list."""


def waiting(store: Store) -> WaitingList:
    """Walkrounds with items that wait, the one that came in first at the top."""
    rows = [row for row in reversed(store.walkrounds()) if row.waiting]
    return WaitingList(rows=tuple(_counted(store, row) for row in rows[:MOST]), more=max(0, len(rows) - MOST))


def _counted(store: Store, row: Summary) -> WaitingRow:
    now = present(store.walkround(row.id))
    keys = queue(now.walkround)
    grades = [gravest(now.walkround.assessment.verdicts_of(key)) for key in keys]
    return WaitingRow(
        **row._asdict(),
        dangerous=grades.count(Grade.DANGEROUS),
        doubtful=sum(is_doubtful(now.stands[key].proposal) for key in keys),
    )
