"""What waits for a review."""

from __future__ import annotations

from witnessmark.desk.review.shapes import WaitingList, WaitingRow
from witnessmark.record import Store

MOST = 100
"""Walkrounds in one list."""


def waiting(store: Store) -> WaitingList:
    """Walkrounds with items that wait, those of the earliest day at the top."""
    rows = sorted(store.waiting(), key=lambda row: row.on)
    return WaitingList(
        rows=tuple(
            WaitingRow(
                id=row.walkround,
                on=row.on,
                registration=row.registration,
                waiting=row.items,
                dangerous=row.dangerous,
                doubtful=row.doubtful,
            )
            for row in rows[:MOST]
        ),
        more=max(0, len(rows) - MOST),
    )
