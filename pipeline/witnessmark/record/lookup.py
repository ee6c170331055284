"""Finds walkrounds and reads them back."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.errors import StoreError
from witnessmark.types import Assessment, Decision, Transcript, Walkround

if TYPE_CHECKING:
    from sqlite_utils import Database

LATEST = "latest"
"""In place of an id: the walkround that came in last."""


class Summary(NamedTuple):
    """One walkround in a list."""

    id: str
    on: date
    registration: str | None
    """As confirmed, or else as drafted."""
    identity_confirmed: bool
    waiting: int
    """Items without a decision or postponed, the machine's identity among them."""
    decided: int


def id_of(db: Database, which: str) -> str:
    """Id of the walkround of that id, of the only id that begins so, or of the last that came in.

    Raises:
        StoreError: there is none such, or several.
    """
    fitting = _fitting(db, which)
    if not fitting:
        raise StoreError(f"there is no walkround {which!r}", remedy="List the walkrounds to see them.")
    if len(fitting) > 1:
        raise StoreError(f"{which!r} begins several ids: {', '.join(fitting)}", remedy="Give more of it.")
    return fitting[0]


def _fitting(db: Database, which: str) -> list[str]:
    if which == LATEST:
        rows = db.execute("SELECT id FROM walkrounds WHERE erased_at IS NULL ORDER BY number DESC LIMIT 1")
    elif has(db, which):
        return [which]
    else:
        ends = [end for begin in (which, f"w-{which}") if which for end in (begin, f"{begin}\U0010ffff")]
        range_of = " OR ".join(["(id >= ? AND id < ?)"] * (len(ends) // 2)) or "FALSE"
        rows = db.execute(f"SELECT id FROM walkrounds WHERE {range_of} ORDER BY number", ends)
    return [identity for (identity,) in rows.fetchall()]


def has(db: Database, identity: str) -> bool:
    """Whether there is a walkround of this id."""
    return db.execute("SELECT 1 FROM walkrounds WHERE id = ?", [identity]).fetchone() is not None


def erased_on(db: Database, identity: str) -> date | None:
    """The day on which a walkround was erased, UTC; None where it was not, or is none."""
    row = db.execute("SELECT erased_at FROM walkrounds WHERE id = ?", [identity]).fetchone()
    return date.fromisoformat(row[0][:10]) if row and row[0] else None


def load(db: Database, identity: str) -> Walkround:
    """The walkround with its trail, oldest decision first.

    Raises:
        StoreError: it was erased.
    """
    on, erased_at, speaker, transcript, assessment = db.execute(
        "SELECT w.inspected_on, w.erased_at, w.spoken_by, t.body, d.body FROM walkrounds AS w "
        "JOIN transcripts AS t USING (recording) JOIN drafts AS d ON d.walkround = w.id WHERE w.id = ?",
        [identity],
    ).fetchone()
    if erased_at:
        raise StoreError(f"this walkround was erased on {erased_at[:10]}", identity, "It is gone for good.")
    trail = db.execute(
        "SELECT body FROM decisions WHERE walkround = ? AND item IS NOT NULL ORDER BY seq", [identity]
    ).fetchall()
    return Walkround(
        id=identity,
        on=date.fromisoformat(on),
        transcript=Transcript.model_validate_json(transcript),
        assessment=Assessment.model_validate_json(assessment),
        decisions=tuple(Decision.model_validate_json(body) for (body,) in trail),
        speaker=speaker or "",
    )


def summaries(db: Database) -> list[Summary]:
    """Every walkround, the last that came in first."""
    # Two counts by two indexes: what waits is few, and the whole need not look at how it stands.
    rows = db.execute(
        "SELECT w.id, w.inspected_on, coalesce(m.registration, i.registration), m.item IS NOT NULL, "
        "(SELECT count(*) FROM entries AS e INDEXED BY entries_waiting "
        "WHERE e.walkround = w.id AND e.standing = 'waiting'), "
        "(SELECT count(*) FROM entries AS e WHERE e.walkround = w.id) "
        "FROM walkrounds AS w JOIN items AS i ON i.walkround = w.id AND i.item = 'machine' "
        "LEFT JOIN machines AS m ON m.walkround = w.id WHERE w.erased_at IS NULL ORDER BY w.number DESC"
    ).fetchall()
    return [
        Summary(identity, date.fromisoformat(on), registration, bool(sure), waiting, whole - waiting)
        for identity, on, registration, sure, waiting, whole in rows
    ]
