"""Walkrounds with items that wait for a decision, the most pressing first."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.types import Grade

if TYPE_CHECKING:
    from sqlite_utils import Database


class Waiting(NamedTuple):
    """One walkround that is not reviewed to its end."""

    walkround: str
    on: date
    """Day of the inspection."""
    registration: str | None
    """As confirmed, or else as drafted."""
    items: int
    """How many wait, the machine's identity among them."""
    dangerous: int
    """How many of them some rule grades dangerous, by the draft's verdicts."""
    doubtful: int
    """How many of them carry a doubt."""


def waiting(db: Database) -> list[Waiting]:
    """Those with something dangerous first, each kind oldest first."""
    rows = db.execute(
        "WITH queue AS (SELECT walkround, item FROM entries WHERE standing = 'waiting'), "
        "grave AS (SELECT DISTINCT d.walkround, v.value ->> 'item' AS item FROM drafts AS d, "
        "json_each(d.body, '$.verdicts') AS v "
        "WHERE d.walkround IN (SELECT walkround FROM queue) AND v.value ->> 'grade' = ?) "
        "SELECT q.walkround, w.inspected_on, coalesce(m.registration, min(n.registration)), count(*), "
        "count(g.item), count(nullif(i.doubts, '')) FROM queue AS q "
        "JOIN walkrounds AS w ON w.id = q.walkround "
        "LEFT JOIN grave AS g ON (g.walkround, g.item) = (q.walkround, q.item) "
        "LEFT JOIN items AS i ON (i.walkround, i.item) = (q.walkround, q.item) "
        "LEFT JOIN items AS n ON (n.walkround, n.item) = (q.walkround, 'machine') "
        "LEFT JOIN machines AS m ON m.walkround = q.walkround "
        "GROUP BY q.walkround ORDER BY count(g.item) = 0, w.inspected_on, w.number",
        [Grade.DANGEROUS.value],
    ).fetchall()
    return [Waiting(row[0], date.fromisoformat(row[1]), *row[2:]) for row in rows]
