"""How long things are kept, and what is taken out on request, each as an act in the trail."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from witnessmark.errors import BadInputError, StoreError
from witnessmark.record import blobs, chain, derive, entries, photos, redaction, rows, sounds
from witnessmark.record import history as histories
from witnessmark.record.acts import Act, Change, Kind
from witnessmark.types import Assessment, Draft, Recording, Transcript

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.record.store import Store


class Body(NamedTuple):
    """A body to be replaced: where it stands, and what it is to be."""

    of: Any
    """``decision``, ``draft`` or ``transcript``."""
    id: str
    before: str
    after: str


class Erased(NamedTuple):
    """What an erasure came to."""

    walkrounds: tuple[str, ...]
    files: int
    """Sounds and pictures taken away."""


class Keeping:
    """Acts on a record. Each is one entry of the trail; the chain stays whole.

    Args:
        store: the record.
        who: who acts.
        why: the reason, such as the request.
    """

    def __init__(self, store: Store, who: str, why: str = "") -> None:
        if not who.strip():
            raise BadInputError("nobody is named who does this", remedy="Say who.")
        self._store, self._who, self._why = store, who, why

    def keep_sound_for(self, days: int | None) -> None:
        """From now on, sound may go this many days after its walkround was decided on whole.

        Args:
            days: None to keep it for good, as without a rule.
        """
        if days is not None and days < 0:
            raise BadInputError(f"{days} is no number of days", remedy="Give 0 or more.")
        with self._store.writing() as db:
            self._append(db, "policy", what={"keep_sound_days": days})

    def remove_old_sound(self, now: datetime | None = None) -> tuple[str, ...]:
        """Take away the sound that the rule lets go; the words stay. Returns the walkrounds."""
        with self._store.writing() as db:
            gone = sound_due(db, now or datetime.now(UTC))
            for walkround in gone:
                self._append(db, "remove_sound", walkround)
                _mark_removed(db, walkround)
        self._unlink(sounds.path_of(self._store.path, walkround) for walkround in gone)
        return gone

    def remove_sound(self, walkround: str) -> None:
        """Take away the sound of one walkround, whatever the rule says."""
        with self._store.writing() as db:
            known = sounds.of(db, walkround)
            if known is None or known.removed_at:
                raise StoreError("there is no sound of this walkround", walkround, "Nothing was changed.")
            self._append(db, "remove_sound", walkround)
            _mark_removed(db, walkround)
        self._unlink([sounds.path_of(self._store.path, walkround)])

    def redact(self, walkround: str, name: str) -> int:
        """Take a person's name out of what was said, decided and found in a walkround.

        Each letter becomes ``·``, so that every place in the talk stays where it is. The names of those who
        decided stay. The sound still says the name: see ``remove_sound``.

        Returns:
            How many texts of the record changed; with none, nothing is stored.
        """
        with self._store.writing() as db:
            changed = list(_redacted(db, walkround, redaction.pattern_of(name)))
            if changed:
                self._replace(db, "redact", walkround, changed, {"texts": len(changed)})
                _renew(db, walkround)
        self._tidy()
        return len(changed)

    def erase(self, machine: str) -> Erased:
        """Take everything out that the record holds of a machine; numbers, days and hashes stay.

        Args:
            machine: registration or VIN, as for ``Store.history``; or the whole id of a walkround, for one
                whose machine was never confirmed.
        """
        record = self._store.path
        with self._store.writing() as db:
            gone = _walkrounds(db, machine)
            files = [sounds.path_of(record, one) for one in gone] + _pictures(db, record, gone)
            changed = [body for one in gone for body in _emptied(db, one)]
            self._replace(db, "erase", None, changed, {"walkrounds": list(gone)})
            for one in gone:
                _empty(db, one, datetime.now(UTC))
        files = [file for file in files if file.exists()]
        self._unlink(files)
        self._tidy()
        return Erased(gone, len(files))

    def note_export(self, machine: str) -> None:
        """Note that everything known of a machine was handed out."""
        with self._store.writing() as db:
            self._append(db, "export", what={"walkrounds": list(_walkrounds(db, machine))})

    def _replace(
        self, db: Database, kind: Kind, walkround: str | None, bodies: list[Body], what: dict[str, Any]
    ) -> None:
        """First the act that names the bodies, then the bodies: the file allows it in no other order."""
        salts = [chain.new_salt() for _ in bodies]
        changes = tuple(
            Change(of=body.of, id=body.id, to=chain.digest(salt + body.after))
            for body, salt in zip(bodies, salts, strict=True)
        )
        self._append(db, kind, walkround, what, changes)
        for body, salt in zip(bodies, salts, strict=True):
            _put(db, body, salt)

    def _append(
        self,
        db: Database,
        kind: Kind,
        walkround: str | None = None,
        what: dict[str, Any] | None = None,
        changes: tuple[Change, ...] = (),
    ) -> None:
        now = datetime.now(UTC)
        act = Act(kind=kind, walkround=walkround, who=self._who, when=now, why=self._why, what=what or {})
        chain.append(db, act.model_copy(update={"changes": changes}))

    def _tidy(self) -> None:
        try:
            self._store.tidy()
        except StoreError as error:
            what = f"it was taken out, but traces may be left in the file's free room ({error.what})"
            raise StoreError(
                what, error.where, "Run `witnessmark store compact` when that is put right."
            ) from error

    def _unlink(self, files: Iterable[Path]) -> None:
        """After the record has let them go; what a power cut leaves here, ``compact`` takes away."""
        for file in files:
            file.unlink(missing_ok=True)


def keep_sound_days(db: Database) -> int | None:
    """The rule in force: days after the last decision; None keeps sound for good."""
    row = db.execute(
        "SELECT json_extract(body, '$.what.keep_sound_days') FROM decisions "
        "WHERE item IS NULL AND kind = 'policy' ORDER BY seq DESC LIMIT 1"
    ).fetchone()
    return row[0] if row else None


def sound_due(db: Database, now: datetime) -> tuple[str, ...]:
    """Walkrounds decided on whole, so long ago that the rule lets their sound go."""
    days = keep_sound_days(db)
    if days is None:
        return ()
    before = now.astimezone(UTC) - timedelta(days=days)
    last = db.execute(
        "SELECT s.walkround, (SELECT max(seq) FROM decisions AS d WHERE d.walkround = s.walkround AND "
        "d.item IS NOT NULL) AS last FROM sounds AS s WHERE s.removed_at IS NULL AND NOT EXISTS "
        "(SELECT 1 FROM entries AS e WHERE e.walkround = s.walkround AND e.standing = 'waiting')"
    ).fetchall()
    return tuple(walkround for walkround, seq in last if seq is not None and _decided_at(db, seq) <= before)


def _decided_at(db: Database, seq: int) -> datetime:
    (when,) = db.execute("SELECT decided_at FROM decisions WHERE seq = ?", [seq]).fetchone()
    return datetime.fromisoformat(when).astimezone(UTC)


def _mark_removed(db: Database, walkround: str) -> None:
    now = datetime.now(UTC).isoformat()
    db.execute("UPDATE sounds SET removed_at = ? WHERE walkround = ?", [now, walkround])


def _walkrounds(db: Database, machine: str) -> tuple[str, ...]:
    known = db.execute("SELECT id FROM walkrounds WHERE id = ? AND erased_at IS NULL", [machine]).fetchone()
    found = known or histories.walkrounds_of(db, machine)
    if not found:
        raise StoreError("the record knows no such machine", machine, "Nothing was changed.")
    return tuple(found)


def _bodies(db: Database, walkround: str) -> list[tuple[str, str, str]]:
    """Sort, id and text of every body that holds words of the walkround."""
    return db.execute(
        "SELECT 'draft', walkround, body FROM drafts WHERE walkround = :id "
        "UNION ALL SELECT 'transcript', t.recording, t.body FROM transcripts AS t "
        "JOIN walkrounds AS w USING (recording) WHERE w.id = :id "
        "UNION ALL SELECT 'decision', CAST(seq AS TEXT), body FROM decisions "
        "WHERE walkround = :id AND item IS NOT NULL",
        {"id": walkround},
    ).fetchall()


def _redacted(db: Database, walkround: str, pattern: re.Pattern[str]) -> Iterator[Body]:
    row = db.execute(
        "SELECT t.text FROM transcripts AS t JOIN walkrounds AS w USING (recording) "
        "WHERE w.id = ? AND w.erased_at IS NULL",
        [walkround],
    ).fetchone()
    if row is None:
        raise StoreError("there is no such walkround", walkround, "Nothing was changed.")
    taken = redaction.Taken(pattern, row[0], redaction.masked(row[0], pattern))
    for of, id, before in _bodies(db, walkround):
        after = chain.canonical(redaction.take_out(json.loads(before), taken))
        if after != before:
            yield Body(of, id, before, after)


def _emptied(db: Database, walkround: str) -> Iterator[Body]:
    """Every body of a walkround with nothing left that was said; who decided when on which item stays."""
    for of, id, before in _bodies(db, walkround):
        yield Body(of, id, before, chain.canonical(_EMPTY[of](json.loads(before))))


_EMPTY: dict[str, Callable[[dict[str, Any]], Any]] = {
    "draft": lambda old: Assessment(draft=Draft(id=old["draft"]["id"], text="")),
    "transcript": lambda old: Transcript(
        recording=Recording(sha256=old["recording"]["sha256"], name="", duration=0), text="", model=""
    ),
    "decision": lambda old: {**old, "becomes": None, "why": ""},
}


def _put(db: Database, body: Body, salt: str) -> None:
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


def _renew(db: Database, walkround: str) -> None:
    """What follows from the bodies, made anew from them."""
    (body,) = db.execute("SELECT body FROM drafts WHERE walkround = ?", [walkround]).fetchone()
    assessment = Assessment.model_validate_json(body)
    db.execute("DELETE FROM items WHERE walkround = ?", [walkround])
    for item in rows.item_rows(walkround, assessment):
        db.table("items").insert(item)
    derive.renew(db, walkround)
    entries.renew(db, walkround, assessment, [made for _, made in derive.decisions(db, walkround)])


def _empty(db: Database, walkround: str, now: datetime) -> None:
    for table in (*rows.TABLES.values(), "items", "entries", "photos", "sounds"):
        db.execute(f"DELETE FROM {table} WHERE walkround = ?", [walkround])
    db.execute("UPDATE walkrounds SET erased_at = ? WHERE id = ?", [now.isoformat(), walkround])


def _pictures(db: Database, record: Path, gone: tuple[str, ...]) -> list[Path]:
    """Files of the pictures that no other walkround has too."""
    marks = ", ".join("?" * len(gone))
    only = db.execute(
        f"SELECT DISTINCT sha256 FROM photos WHERE walkround IN ({marks}) AND sha256 NOT IN "
        f"(SELECT sha256 FROM photos WHERE walkround NOT IN ({marks}))",
        [*gone, *gone],
    ).fetchall()
    return [blobs.place(photos.folder_of(record), sha256) for (sha256,) in only]
