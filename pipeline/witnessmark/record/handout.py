"""Everything that the record holds of one machine, to be handed to the person who asks for it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Any

from witnessmark.errors import StoreError
from witnessmark.record import blobs, originals, photos, sounds
from witnessmark.record.answers import Answers
from witnessmark.record.calendars import Calendars
from witnessmark.record.exchange import Exchange

if TYPE_CHECKING:
    from witnessmark.record.keeping import Keeping
    from witnessmark.record.store import Store

ENDINGS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
    "image/avif": "avif",
    "image/heic": "heic",
}
"""Media type → ending of a picture's file."""


def hand_out(store: Store, keeping: Keeping, machine: str, folder: Path) -> list[Path]:
    """Write all that is known of a machine into a new folder, and note it in the trail.

    Args:
        store: the record.
        keeping: who hands it out, and why.
        machine: registration or VIN, or the whole id of a walkround.
        folder: must not exist.

    Returns:
        The files: ``machine.json`` with every walkround as it stands, its trail, the owner's answers, what
        calendars say, and what came from other records; then sounds, recordings and pictures.

    Raises:
        StoreError: the record knows no such machine, or the folder is there already or cannot be written.
    """
    walkrounds = keeping.walkrounds(machine)
    try:
        folder.mkdir()
        written = [_described(store, walkrounds, machine, folder / "machine.json")]
        for walkround in walkrounds:
            written += _files(store, walkround, folder)
    except OSError as error:
        what = f"the folder cannot be written ({error.strerror})"
        raise StoreError(what, str(folder), "Name a new folder where there is room.") from error
    keeping.note_export(walkrounds)
    return written


def _described(store: Store, walkrounds: tuple[str, ...], machine: str, target: Path) -> Path:
    held: list[dict[str, Any]] = []
    for id in walkrounds:
        pictures = [photo._asdict() | {"when": photo.when.isoformat()} for photo in store.photos(id)]
        walkround = store.walkround(id).model_dump(mode="json")
        said = [answer._asdict() | {"on": answer.on.isoformat()} for answer in Answers(store).of([id])]
        held.append({"walkround": walkround, "pictures": pictures, "answers": said})
    lines = [line.model_dump(mode="json") for line in Exchange(store).from_elsewhere(machine)]
    said_by = [one._asdict() for one in Calendars(store).entries() if one.walkround in walkrounds]
    whole = {"walkrounds": held, "from_elsewhere": lines, "calendars": said_by}
    target.write_text(json.dumps(whole, default=str, ensure_ascii=False, indent=1), "utf-8")
    return target


def _files(store: Store, walkround: str, folder: Path) -> list[Path]:
    """Copies of its sound and recording, unless these were removed, and its pictures."""
    wanted = {sounds.path_of(store.path, walkround): folder / f"{walkround}.flac"}
    known = store.walkround(walkround).transcript.recording
    kept = blobs.place(originals.folder_of(store.path), known.sha256)
    wanted[kept] = folder / f"{walkround}-as-recorded{Path(known.name).suffix}"
    for number, photo in enumerate(store.photos(walkround), 1):
        lies = blobs.place(photos.folder_of(store.path), photo.sha256)
        wanted[lies] = folder / f"{walkround}-{number}.{ENDINGS[photo.media_type]}"
    there = {source: target for source, target in wanted.items() if source.exists()}
    return [shutil.copyfile(source, target) for source, target in there.items()]
