"""The trail as a chain: each row carries the hash of the one before and of the draft it is about.

Canonical JSON after RFC 8785. The chain shows that a row was changed, dropped or put in between; it holds
no secret, so somebody who rewrites every later row can forge it. See docs/record.md.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from witnessmark.record.acts import Act
from witnessmark.record.opening import FIRST
from witnessmark.types import Decision, Frozen

if TYPE_CHECKING:
    from sqlite_utils import Database


def canonical(value: Any) -> str:
    """JSON of a plain value or one of our types, the same text for the same value (RFC 8785)."""
    plain = value.model_dump(mode="json") if isinstance(value, Frozen) else value
    try:
        usual = _usual(plain)
    except _UnusualError:
        import rfc8785

        return rfc8785.dumps(plain).decode()
    return json.dumps(usual, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


class _UnusualError(Exception):
    """There is a value that Python prints otherwise than the standard wants."""


def _usual(value: Any) -> Any:
    """The value with whole floats as integers: Python's own encoder, ten times as fast, prints it right."""
    match value:
        case dict():
            if not all(isinstance(key, str) and key.isascii() for key in value):
                raise _UnusualError
            return {key: _usual(each) for key, each in value.items()}
        case list() | tuple():
            return [_usual(each) for each in value]
        case float() if value.is_integer() and abs(value) < _WHOLE:
            return int(value)
        case float() if not _SMALL <= abs(value) < _WHOLE:
            raise _UnusualError
        case int() if abs(value) >= _WHOLE:
            raise _UnusualError
        case str() if not value.isascii() and any("\ud800" <= letter <= "\udfff" for letter in value):
            raise _UnusualError
    return value


_SMALL, _WHOLE = 1e-4, 2**53
"""Between these Python and ECMAScript print a float alike: with all its digits and no exponent."""


def digest(text: str) -> str:
    """SHA-256 of the text in UTF-8, lower-case hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def new_salt() -> str:
    """Goes before a body when it is hashed, and is thrown away with what is taken out of the body.

    Without it, whoever knows the rest could try names until the hash fits.
    """
    return secrets.token_hex(16)


def link(seq: int, previous: str, draft: str, decision: str) -> str:
    """Hash of one row: its place, the row before, the draft decided on, and the decision's seal.

    Args:
        decision: hash of salt and body; in rows of version 1 the body itself, to the letter.
    """
    # What ``canonical`` would print: the keys are in order, and hashes need no escaping.
    told = f'"{decision}"' if len(decision) == HASH else json.dumps(decision, ensure_ascii=False)
    return digest(f'{{"decision":{told},"draft":"{draft}","previous":"{previous}","seq":{seq}}}')


HASH = 64
"""Digits of a hash."""


def append(db: Database, entry: Decision | Act) -> int:
    """Add an entry to the trail inside the caller's transaction; returns its number."""
    seq, previous = db.execute(
        "SELECT (SELECT coalesce(max(seq), 0) + 1 FROM decisions), value FROM meta WHERE key = 'last_hash'"
    ).fetchone()
    draft = _draft_of(db, entry.walkround) if isinstance(entry, Decision) else ""
    salt, body = new_salt(), canonical(entry)
    sealed = digest(salt + body)
    db.execute(
        "INSERT INTO decisions (seq, body, salt, sealed, draft, previous, hash) VALUES (?, ?, ?, ?, ?, ?, ?)",
        [seq, body, salt, sealed, draft, previous, link(seq, previous, draft, sealed)],
    )
    return int(seq)


def _draft_of(db: Database, walkround: str) -> str:
    (sha256,) = db.execute("SELECT sha256 FROM drafts WHERE walkround = ?", [walkround]).fetchone()
    return str(sha256)


def head(db: Database) -> str:
    """Hash of the last row; it stands for the whole trail up to there."""
    (last,) = db.execute("SELECT value FROM meta WHERE key = 'last_hash'").fetchone() or ("",)
    return str(last)


def had(db: Database, head: str) -> bool:
    """Whether the trail ends with this hash, or did at some time."""
    known = db.execute("SELECT 1 FROM decisions WHERE hash = ?", [head]).fetchone()
    return known is not None or head == FIRST


def of_item(db: Database, decision: Decision) -> list[Decision]:
    """Every decision so far on the item that this one is about, oldest first."""
    rows = db.execute(
        "SELECT body FROM decisions WHERE walkround = ? AND item = ? ORDER BY seq",
        [decision.walkround, decision.item],
    )
    return [Decision.model_validate_json(body) for (body,) in rows.fetchall()]


def amended(db: Database) -> dict[tuple[str, str], str]:
    """What acts replaced: sort and id of the body → hash of what now has to stand there."""
    rows = db.execute(
        "SELECT json_extract(c.value, '$.of'), json_extract(c.value, '$.id'), json_extract(c.value, '$.to') "
        "FROM decisions AS act, json_each(act.body, '$.changes') AS c WHERE act.item IS NULL ORDER BY act.seq"
    )
    return {(sort, id): to for sort, id, to in rows.fetchall()}


def faults(db: Database) -> Iterator[str]:
    """What breaks the chain: the first bad link only, because every later one hangs on it."""
    previous, changes = FIRST, {id: to for (sort, id), to in amended(db).items() if sort == "decision"}
    rows = db.execute("SELECT seq, body, salt, sealed, draft, previous, hash FROM decisions ORDER BY seq")
    for expected, (seq, body, salt, sealed, draft, before, found) in enumerate(rows, start=1):
        if seq != expected or before != previous:
            yield f"the trail is broken at decision {expected}: one is missing or out of place"
            return
        replaced = changes.get(str(seq)) if changes else None
        if not _holds(seq, body, salt, sealed, draft, before, found, replaced):
            broken = _changed_act(db) or seq
            yield f"the trail is broken at decision {broken}: it was changed after it was made"
            return
        previous = found
    if head(db) != previous:
        yield "the trail is broken at its end: the last decisions are missing"


def _changed_act(db: Database) -> int | None:
    """The first act that replaces bodies and does not hold: then what it replaced seems to be broken."""
    rows = db.execute(
        "SELECT seq, body, salt, sealed, draft, previous, hash FROM decisions "
        "WHERE item IS NULL AND kind IN ('redact', 'erase', 'redraft') ORDER BY seq"
    )
    for seq, body, salt, sealed, draft, before, found in rows.fetchall():
        if not _holds(seq, body, salt, sealed, draft, before, found, None):
            return int(seq)
    return None


def _holds(
    seq: int, body: str, salt: str, sealed: str | None, draft: str, before: str, found: str, to: str | None
) -> bool:
    """Whether a row is what was made, or what a later act put there (``to``)."""
    if sealed:
        return digest(salt + body) == (to or sealed) and found == link(seq, before, draft, sealed)
    # A row of version 1 hangs on its words: once some are taken out, only its neighbours hold it.
    return digest(salt + body) == to if to else not salt and found == link(seq, before, draft, body)


def altered_bodies(db: Database) -> Iterator[str]:
    """Drafts and transcripts that are not what they were when they came in, or when they were decided on."""
    changes = amended(db)
    for sort, table, key in (("draft", "drafts", "walkround"), ("transcript", "transcripts", "recording")):
        rows = db.execute(f"SELECT {key}, body, salt, sha256 FROM {table}").fetchall()
        for id, body, salt, stored in rows:
            if digest(salt + body) != changes.get((sort, id), stored):
                yield f"the {sort} of {id} was changed after it came in"
    mixed = db.execute(
        "SELECT DISTINCT walkround FROM decisions JOIN drafts USING (walkround) "
        "WHERE draft <> sha256 AND item IS NOT NULL"
    )
    for (walkround,) in mixed.fetchall():
        yield f"{walkround} was decided on in another draft than the one stored"
