"""Finds items by words that were heard, or that say what they are, whose they are and who decided."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from sqlite_utils import Database

MOST_WORDS = 12
"""Of what is looked for; further ones are passed over."""
LOOKED_AT = 400
"""So many of the newest items that fit are ranked; older ones only fill up."""


class Says(NamedTuple):
    """What an item says, by the ids of the vocabulary; None is not said, or not of its kind."""

    component: str | None
    end: str | None
    side: str | None
    condition: str | None
    state: str | None
    quantity: str | None
    value: float | str | None
    unit: str | None
    work: str | None
    """Id of an action."""
    work_status: str | None


class Found(NamedTuple):
    """One item that fits."""

    walkround: str
    on: date
    """Day of the inspection."""
    registration: str | None
    """As confirmed, or else as drafted."""
    item: str
    """Its key; ``machine`` for the machine's identity."""
    heard: str
    """The words behind it."""
    says: Says
    """As the reviewer has it, or else as drafted."""
    status: str
    """``confirmed``, ``rejected`` or ``waiting``."""
    rank: float
    """BM25 as SQLite's FTS5 gives it: the smaller, the better it fits."""
    who: str
    """Who decided last; empty while nobody has."""


def search(db: Database, words: str, limit: int) -> list[Found]:
    """Items that have all of the words, the best first; see ``Store.search``."""
    wanted = expression(words)
    if not wanted or limit < 1:
        return []
    rows = db.execute(
        "WITH newest AS MATERIALIZED (SELECT rowid AS number, rank AS fit FROM entry_words "
        "WHERE entry_words MATCH ? ORDER BY rowid DESC LIMIT ?) "
        "SELECT e.walkround, w.inspected_on, e.registration, e.item, e.heard, e.component, e.machine_end, "
        "e.side, e.condition, e.state, e.quantity, e.value, e.unit, e.work, e.status, e.standing, "
        "newest.fit, e.who FROM newest JOIN entries AS e USING (number) "
        "JOIN walkrounds AS w ON w.id = e.walkround ORDER BY newest.fit, e.number DESC LIMIT ?",
        [wanted, max(limit, LOOKED_AT), limit],
    ).fetchall()
    return [_found(*row) for row in rows]


def _found(*row: Any) -> Found:
    walkround, on, registration, item, heard, *says, status, rank, who = row
    return Found(walkround, date.fromisoformat(on), registration, item, heard, Says(*says), status, rank, who)


def expression(words: str) -> str:
    """The words as an expression of FTS5, whatever they hold: all of them, the last one as a beginning.

    A registration is found with and without its spaces, so neighbours also count when written as one word.
    """
    readable = words.encode("utf-8", "ignore").decode().replace("\0", " ")
    known = [word for word in readable.split() if any(letter.isalnum() for letter in word)][:MOST_WORDS]
    return " AND ".join(
        f"({' OR '.join(_quoted(known, *span) for span in _spans(at, len(known)))})"
        for at in range(len(known))
    )


def _spans(at: int, count: int) -> list[tuple[int, int]]:
    """Runs of one to three words that hold the one at ``at``, the word alone first."""
    runs = [(begin, begin + size) for size in (1, 2, 3) for begin in range(at - size + 1, at + 1)]
    return [(begin, end) for begin, end in runs if begin >= 0 and end <= count]


def _quoted(known: list[str], begin: int, end: int) -> str:
    text = "".join(known[begin:end]).replace('"', '""')
    return f'"{text}"{"*" if end == len(known) else ""}'
