"""The bodies that hold what was said and decided, with words taken out, and put in their places."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from witnessmark.errors import StoreError
from witnessmark.record import blobs, chain, derive, entries, lookup, photos, redaction, rows, seals
from witnessmark.types import Assessment, Draft, Recording, Transcript

if TYPE_CHECKING:
    from sqlite_utils import Database


class Body(NamedTuple):
    """A body to be replaced: where it stands, and what it is to be."""

    of: Any
    """``decision``, ``draft`` or ``transcript``."""
    id: str
    before: str
    after: str


def _bodies(db: Database, walkround: str) -> list[tuple[str, str, str]]:
    """Sort, id and text of every body that holds words of the walkround."""
    return db.execute(
        "SELECT 'draft', walkround, body FROM drafts WHERE walkround = :id "
        "UNION ALL SELECT 'transcript', t.recording, t.body FROM transcripts AS t "
        "JOIN walkrounds AS w USING (recording) WHERE w.id = :id "
        "UNION ALL SELECT 'decision', CAST(seq AS TEXT), body FROM decisions "
        "WHERE walkround = :id AND (item IS NOT NULL OR kind = 'answer')",
        {"id": walkround},
    ).fetchall()


def redacted(db: Database, walkround: str, pattern: re.Pattern[str]) -> Iterator[Body]:
    """The bodies of a walkround that hold the name, without it.

    Raises:
        StoreError: there is no such walkround.
    """
    row = db.execute(
        "SELECT t.text FROM transcripts AS t JOIN walkrounds AS w USING (recording) "
        "WHERE w.id = ? AND w.erased_at IS NULL",
        [walkround],
    ).fetchone()
    if row is None:
        raise StoreError("there is no such walkround", walkround, "Nothing was changed.")
    taken = redaction.Taken(pattern, row[0], redaction.masked(row[0], pattern))
    for of, id, before in _bodies(db, walkround):
        after = chain.canonical(_without(json.loads(before), taken))
        if after != before:
            yield Body(of, id, before, after)


def _without(body: dict[str, Any], taken: redaction.Taken) -> Any:
    """A body without the name; in an answer it is who gave it. The names of those who decided stay."""
    if body.get("kind") == "answer":
        return {**body, "who": redaction.masked(body["who"], taken.pattern)}
    return redaction.take_out(body, taken)


def redrafted(db: Database, walkround: str, assessment: Assessment) -> Body:
    """The new draft of a walkround, found to leave alone what was decided on.

    Raises:
        ValueError: it does not.
        StoreError: there is no such walkround.
    """
    now = lookup.load(db, lookup.id_of(db, walkround))
    if assessment.draft.text != now.draft.text or assessment.draft.id != now.draft.id:
        raise ValueError("the new draft is of another talk")
    old = derive.drafted(db, now.id)
    new = derive.entries_of(now.id, assessment)
    for key in {(now.id, made.item) for made in now.decisions} & (old.keys() | new.keys()):
        if old.get(key) != new.get(key):
            raise ValueError(f"{key[1]} was decided on and would change")
    return Body("draft", now.id, chain.canonical(now.assessment), chain.canonical(assessment))


def emptied(db: Database, walkround: str) -> Iterator[Body]:
    """Every body of a walkround with nothing left that was said; who decided when on which item stays."""
    for of, id, before in _bodies(db, walkround):
        yield Body(of, id, before, chain.canonical(_EMPTY[of](json.loads(before))))


_EMPTY: dict[str, Callable[[dict[str, Any]], Any]] = {
    "draft": lambda old: Assessment(draft=Draft(id=old["draft"]["id"], text="")),
    "transcript": lambda old: Transcript(
        recording=Recording(sha256=old["recording"]["sha256"], name="", duration=0), text="", model=""
    ),
    "decision": lambda old: {**old, "why": "", **_EMPTIED["answer" if old["kind"] == "answer" else "item"]},
}


_EMPTIED: dict[str, dict[str, Any]] = {"item": {"becomes": None}, "answer": {"who": "", "what": {}}}


def put(db: Database, body: Body, salt: str) -> None:
    """Put a body in its place. The trail's last act has to name it."""
    table, key = _PLACES[body.of]
    db.execute(f"UPDATE {table} SET body = ?, salt = ? WHERE {key} = ?", [body.after, salt, body.id])
    if body.of == "transcript":
        now = json.loads(body.after)
        db.execute("UPDATE transcripts SET text = ? WHERE recording = ?", [now["text"], body.id])
        known = now["recording"]
        db.execute(
            "UPDATE recordings SET name = ?, duration = ? WHERE sha256 = ?",
            [known["name"], known["duration"], body.id],
        )


_PLACES = {
    "decision": ("decisions", "seq"),
    "draft": ("drafts", "walkround"),
    "transcript": ("transcripts", "recording"),
}


def renew(db: Database, walkround: str) -> None:
    """What follows from the bodies, made anew from them."""
    (body,) = db.execute("SELECT body FROM drafts WHERE walkround = ?", [walkround]).fetchone()
    assessment = Assessment.model_validate_json(body)
    db.execute("DELETE FROM items WHERE walkround = ?", [walkround])
    for item in rows.item_rows(walkround, assessment):
        rows.insert(db, "items", item)
    derive.renew(db, walkround)
    entries.renew(db, walkround, assessment, [made for _, made in derive.decisions(db, walkround)])


def empty(db: Database, walkround: str, now: datetime) -> None:
    """Take away every row that follows from a walkround's bodies."""
    for table in (*rows.TABLES.values(), "items", "entries", "photos", "sounds", "calendar_entries"):
        db.execute(f"DELETE FROM {table} WHERE walkround = ?", [walkround])
    db.execute("DELETE FROM steps WHERE result LIKE '% ' || ?", [walkround])
    db.execute(
        "UPDATE walkrounds SET erased_at = ?, spoken_by = NULL WHERE id = ?", [now.isoformat(), walkround]
    )
    seals.put(db, "walkrounds", "id = ?", (walkround,))


def pictures(db: Database, record: Path, gone: tuple[str, ...]) -> list[Path]:
    """Files of the pictures that no other walkround has too."""
    marks = ", ".join("?" * len(gone))
    only = db.execute(
        f"SELECT DISTINCT sha256 FROM photos WHERE walkround IN ({marks}) AND sha256 NOT IN "
        f"(SELECT sha256 FROM photos WHERE walkround NOT IN ({marks}))",
        [*gone, *gone],
    ).fetchall()
    return [blobs.place(photos.folder_of(record), sha256) for (sha256,) in only]
