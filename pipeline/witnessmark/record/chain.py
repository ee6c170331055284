"""The trail as a chain: each decision carries the hash of the one before and of the draft it is about.

Canonical JSON after RFC 8785. The chain shows that a row was changed, dropped or put in between; it holds
no secret, so somebody who rewrites every later row can forge it. See docs/record.md.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from witnessmark.record.opening import FIRST
from witnessmark.types import Decision, Frozen

if TYPE_CHECKING:
    from sqlite_utils import Database


def canonical(value: Any) -> str:
    """JSON of a plain value or one of our types, the same text for the same value (RFC 8785)."""
    import rfc8785

    plain = value.model_dump(mode="json") if isinstance(value, Frozen) else value
    return rfc8785.dumps(plain).decode()


def digest(text: str) -> str:
    """SHA-256 of the text in UTF-8, lower-case hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def link(seq: int, previous: str, draft: str, body: str) -> str:
    """Hash of one row: its place, the row before, the draft decided on, and the decision to the letter."""
    return digest(canonical({"decision": body, "draft": draft, "previous": previous, "seq": seq}))


def append(db: Database, decision: Decision) -> int:
    """Add a decision to the trail inside the caller's transaction; returns its number."""
    seq, previous = db.execute(
        "SELECT (SELECT coalesce(max(seq), 0) + 1 FROM decisions), value FROM meta WHERE key = 'last_hash'"
    ).fetchone()
    (draft,) = db.execute("SELECT sha256 FROM drafts WHERE walkround = ?", [decision.walkround]).fetchone()
    body = canonical(decision)
    row = {"seq": seq, "body": body, "draft": draft, "previous": previous}
    db.table("decisions").insert({**row, "hash": link(seq, previous, draft, body)})
    return int(seq)


def of_item(db: Database, decision: Decision) -> list[Decision]:
    """Every decision so far on the item that this one is about, oldest first."""
    rows = db.execute(
        "SELECT body FROM decisions WHERE walkround = ? AND item = ? ORDER BY seq",
        [decision.walkround, decision.item],
    )
    return [Decision.model_validate_json(body) for (body,) in rows.fetchall()]


def faults(db: Database) -> Iterator[str]:
    """What breaks the chain: the first bad link only, because every later one hangs on it."""
    previous = FIRST
    rows = db.execute("SELECT seq, body, draft, previous, hash FROM decisions ORDER BY seq")
    for expected, (seq, body, draft, before, found) in enumerate(rows, start=1):
        if seq != expected or before != previous:
            yield f"the trail is broken at decision {expected}: one is missing or out of place"
            return
        if found != link(seq, before, draft, body):
            yield f"the trail is broken at decision {seq}: it was changed after it was made"
            return
        previous = found
    (last,) = db.execute("SELECT value FROM meta WHERE key = 'last_hash'").fetchone() or (None,)
    if last != previous:
        yield "the trail is broken at its end: the last decisions are missing"


def altered_drafts(db: Database) -> Iterator[str]:
    """Drafts that are not what they were when they came in, or when they were decided on."""
    for walkround, body, stored in db.execute("SELECT walkround, body, sha256 FROM drafts").fetchall():
        if digest(body) != stored:
            yield f"the draft of {walkround} was changed after it came in"
    mixed = db.execute(
        "SELECT DISTINCT walkround FROM decisions JOIN drafts USING (walkround) WHERE draft <> sha256"
    )
    for (walkround,) in mixed.fetchall():
        yield f"{walkround} was decided on in another draft than the one stored"
