"""Pictures: what is known of them in the record, their bytes beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.errors import BadInputError, StoreError
from witnessmark.record import Store

from .helpers import filled

JPEG = b"\xff\xd8\xff\xe0 a picture"
PNG = b"\x89PNG\r\n\x1a\n another"


def test_a_picture_comes_back_to_the_byte(store: Store) -> None:
    sample = filled(store)
    whole = store.add_photo(sample.id, PNG, "Ada Foreman")
    part = store.add_photo(sample.id, JPEG, "Ben Deputy", seconds=12.5)
    assert store.photos(sample.id) == (whole, part)
    assert (part.media_type, part.size, part.seconds, part.who) == ("image/jpeg", 14, 12.5, "Ben Deputy")
    assert part.when.utcoffset() is not None
    assert store.photo_bytes(part.sha256) == JPEG
    assert store.photo_bytes(whole.sha256) == PNG


def test_the_bytes_lie_beside_the_record_by_their_hash(store: Store, path: Path) -> None:
    photo = store.add_photo(filled(store).id, JPEG, "Ada Foreman")
    lies = path.with_suffix(".photos") / photo.sha256[:2] / photo.sha256
    assert lies.read_bytes() == JPEG
    assert [other.name for other in lies.parent.iterdir()] == [photo.sha256]


def test_the_same_picture_is_kept_once_a_moment(store: Store) -> None:
    sample = filled(store)
    first = store.add_photo(sample.id, JPEG, "Ada Foreman")
    assert store.add_photo(sample.id, JPEG, "Ben Deputy") == first
    later = store.add_photo(sample.id, JPEG, "Ben Deputy", seconds=3.0)
    assert store.photos(sample.id) == (first, later)


@pytest.mark.parametrize("content", [b"", b"<svg onload='alert(1)'>", b"RIFF....WAVE", b"GIF89a"])
def test_what_is_no_such_picture_is_refused(store: Store, path: Path, content: bytes) -> None:
    sample = filled(store)
    with pytest.raises(BadInputError, match="no picture of a known kind"):
        store.add_photo(sample.id, content, "Ada Foreman")
    assert store.photos(sample.id) == ()
    assert not path.with_suffix(".photos").exists()


def test_a_walkround_that_is_not_here_takes_none(store: Store) -> None:
    with pytest.raises(StoreError, match="no such walkround"):
        store.add_photo("w-nowhere", JPEG, "Ada Foreman")


def test_changed_or_lost_bytes_are_told(store: Store, path: Path) -> None:
    photo = store.add_photo(filled(store).id, JPEG, "Ada Foreman")
    lies = path.with_suffix(".photos") / photo.sha256[:2] / photo.sha256
    lies.write_bytes(JPEG[:-1] + b"E")
    with pytest.raises(StoreError, match="changed after it was stored"):
        store.photo_bytes(photo.sha256)
    store.add_photo(photo.walkround, JPEG, "Ada Foreman")  # brings the right bytes back
    assert store.photo_bytes(photo.sha256) == JPEG
    lies.unlink()
    with pytest.raises(StoreError, match="not there"):
        store.photo_bytes(photo.sha256)
