"""Takes a walkround in: what was heard, what was drafted from it, and with which knowledge."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from functools import cache
from typing import TYPE_CHECKING

import witnessmark
from witnessmark.knowledge.files import models_dir
from witnessmark.record import entries, seals
from witnessmark.record.chain import canonical, digest, new_salt
from witnessmark.record.rows import insert, item_rows
from witnessmark.types import Walkround

if TYPE_CHECKING:
    from sqlite_utils import Database


def take_in(db: Database, walkround: Walkround) -> bool:
    """Insert the walkround inside the caller's transaction, unless its recording is there already."""
    recording = walkround.transcript.recording
    if db.execute("SELECT 1 FROM recordings WHERE sha256 = ?", [recording.sha256]).fetchone():
        return False
    insert(db, "recordings", recording.model_dump())
    transcript = walkround.transcript
    insert(
        db,
        "transcripts",
        {
            "recording": recording.sha256,
            "model": transcript.model,
            "text": transcript.text,
            **_sealed(canonical(transcript)),
        },
    )
    insert(
        db,
        "walkrounds",
        {
            "id": walkround.id,
            "recording": recording.sha256,
            "inspected_on": walkround.on.isoformat(),
            "taken_in_at": datetime.now(UTC).isoformat(),
            "spoken_by": walkround.speaker or None,
        },
    )
    row = {"walkround": walkround.id, **_sealed(canonical(walkround.assessment))}
    insert(db, "drafts", {**row, "knowledge": knowledge_version()})
    for item in item_rows(walkround.id, walkround.assessment):
        insert(db, "items", item)
    entries.put_in(db, walkround.id, walkround.assessment)
    seals.put(db, "walkrounds", "id = ?", (walkround.id,))
    db.execute("DELETE FROM steps WHERE recording = ?", [recording.sha256])
    return True


def _sealed(body: str) -> dict[str, str]:
    salt = new_salt()
    return {"body": body, "salt": salt, "sha256": digest(salt + body)}


@cache
def knowledge_version() -> str:
    """Program version and a hash over every file of declared knowledge: ``0.1.0+3f2a…``."""
    whole = hashlib.sha256()
    folder = models_dir()
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        whole.update(f"{path.relative_to(folder).as_posix()}\0".encode())
        whole.update(hashlib.sha256(path.read_bytes()).digest())
    return f"{witnessmark.__version__}+{whole.hexdigest()[:12]}"
