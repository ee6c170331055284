"""How long things are kept, and what is taken out on request, each as an act in the trail."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from witnessmark.errors import BadInputError, StoreError
from witnessmark.record import bodies, chain, exchange, identity, redaction, sounds
from witnessmark.record.acts import Act, Change, Kind
from witnessmark.record.intake import knowledge_version
from witnessmark.types import Assessment

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.record.store import Store


class Erased(NamedTuple):
    """What an erasure came to."""

    walkrounds: tuple[str, ...]
    files: int
    """Sounds and pictures taken away."""
    lines: int
    """Of other records."""


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
            gone = sounds.due(db, now or datetime.now(UTC))
            for walkround in gone:
                self._append(db, "remove_sound", walkround)
                sounds.mark_removed(db, walkround)
            files = [file for one in gone for file in sounds.files_of(db, self._store.path, one)]
        self._unlink(files)
        return gone

    def remove_sound(self, walkround: str) -> None:
        """Take away the sound of one walkround, whatever the rule says."""
        with self._store.writing() as db:
            known = sounds.of(db, walkround)
            if known is None or known.removed_at:
                raise StoreError("there is no sound of this walkround", walkround, "Nothing was changed.")
            self._append(db, "remove_sound", walkround)
            sounds.mark_removed(db, walkround)
            files = sounds.files_of(db, self._store.path, walkround)
        self._unlink(files)

    def redact(self, walkround: str, name: str) -> int:
        """Take a person's name out of what was said, decided and found in a walkround.

        Each letter becomes ``·``, so that every place in the talk stays where it is. The names of those who
        decided stay. The sound still says the name: see ``remove_sound``.

        Returns:
            How many texts of the record changed; with none, nothing is stored.
        """
        with self._store.writing() as db:
            changed = list(bodies.redacted(db, walkround, redaction.pattern_of(name)))
            if changed:
                self._replace(db, "redact", walkround, changed, {"texts": len(changed)})
                bodies.renew(db, walkround)
        self._tidy()
        return len(changed)

    def redraft(self, walkround: str, assessment: Assessment) -> None:
        """Put a newer reading of the same talk in the place of a draft.

        Args:
            walkround: its whole id.
            assessment: the new draft with its verdicts. What was decided on has to be in it as it was.

        Raises:
            ValueError: it would change an item that was decided on, or the talk.
            StoreError: there is no such walkround.
        """
        with self._store.writing() as db:
            body = bodies.redrafted(db, walkround, assessment)
            self._replace(db, "redraft", walkround, [body], {"knowledge": knowledge_version()})
            bodies.renew(db, walkround)

    def erase(self, machine: str) -> Erased:
        """Take everything out that the record holds of a machine; numbers, days and hashes stay.

        Args:
            machine: registration or VIN, as for ``Store.history``; or the whole id of a walkround, for one
                whose machine was never confirmed.
        """
        record = self._store.path
        with self._store.writing() as db:
            gone = _walkrounds(db, machine)
            files = [file for one in gone for file in sounds.files_of(db, record, one)]
            files += bodies.pictures(db, record, gone)
            changed = [body for one in gone for body in bodies.emptied(db, one)]
            self._replace(db, "erase", None, changed, {"walkrounds": list(gone)})
            for one in gone:
                bodies.empty(db, one, datetime.now(UTC))
            lines = exchange.forget(db, machine)
        files = [file for file in files if file.exists()]
        self._unlink(files)
        self._tidy()
        return Erased(gone, len(files), lines)

    def walkrounds(self, machine: str) -> tuple[str, ...]:
        """Ids of the walkrounds that belong to a machine, named as for ``erase``.

        There are none where the machine is only known from other records.

        Raises:
            StoreError: nothing is known of the machine.
        """
        with self._store.reading() as db:
            return _walkrounds(db, machine)

    def note_export(self, walkrounds: tuple[str, ...]) -> None:
        """Note that everything known of these walkrounds was handed out."""
        with self._store.writing() as db:
            self._append(db, "export", what={"walkrounds": list(walkrounds)})

    def _replace(
        self, db: Database, kind: Kind, walkround: str | None, held: list[bodies.Body], what: dict[str, Any]
    ) -> None:
        """First the act that names the bodies, then the bodies: the file allows it in no other order."""
        salts = [chain.new_salt() for _ in held]
        changes = tuple(
            Change(of=body.of, id=body.id, to=chain.digest(salt + body.after))
            for body, salt in zip(held, salts, strict=True)
        )
        self._append(db, kind, walkround, what, changes)
        for body, salt in zip(held, salts, strict=True):
            bodies.put(db, body, salt)

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


def _walkrounds(db: Database, machine: str) -> tuple[str, ...]:
    known = db.execute("SELECT id FROM walkrounds WHERE id = ? AND erased_at IS NULL", [machine]).fetchone()
    found = known or identity.walkrounds_of(db, machine)
    if not found and not exchange.has(db, machine):
        raise StoreError("the record knows no such machine", machine, "Nothing was changed.")
    return tuple(found)
