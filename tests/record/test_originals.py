"""Recordings kept as they were made: named by their content, compared when read, gone when the voice goes."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest

from helpers_disk import full_disk
from helpers_walkround import walkround
from witnessmark.errors import StoreError
from witnessmark.record import Keeping, Originals, Store

from .test_keeping import sounding

CONTENT = b"talk.wav"
"""The sample walkround's recording has the hash of its name."""


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    path = tmp_path / "given.wav"
    path.write_bytes(CONTENT)
    return path


def test_a_recording_comes_back_by_its_walkround(store: Store, recording: Path, path: Path) -> None:
    sample = walkround("talk.wav")
    sounding(store, sample)
    assert Originals(store).keep(recording) == sha256(CONTENT).hexdigest()
    kept = Originals(store).file(sample.id)
    assert kept == path.with_suffix(".recordings") / kept.name[:2] / sha256(CONTENT).hexdigest()
    assert kept.read_bytes() == CONTENT
    assert store.check() == []


def test_what_was_changed_or_lost_is_told(store: Store, recording: Path) -> None:
    sample = walkround("talk.wav")
    store.ingest(sample)
    with pytest.raises(StoreError, match="not kept here"):
        Originals(store).file(sample.id)
    Originals(store).keep(recording)
    kept = Originals(store).file(sample.id)
    kept.write_bytes(b"other")
    with pytest.raises(StoreError, match="changed after it was kept"):
        Originals(store).file(sample.id)
    assert any("changed after it was kept" in line for line in store.check())
    Originals(store).keep(recording)  # brings the right bytes back
    assert store.check() == []
    with pytest.raises(StoreError, match="no such walkround"):
        Originals(store).file("w-none")


def test_it_goes_with_the_voice(store: Store, recording: Path) -> None:
    sample = walkround("talk.wav")
    sounding(store, sample)
    Originals(store).keep(recording)
    kept = Originals(store).file(sample.id)
    Keeping(store, "Ben").remove_sound(sample.id)
    assert not kept.exists()


def test_it_goes_with_the_machine_and_into_copies(store: Store, recording: Path, tmp_path: Path) -> None:
    sample = walkround("talk.wav")
    sounding(store, sample)
    Originals(store).keep(recording)
    assert store.backup(tmp_path / "copy.sqlite").files == 2
    with Store.open(tmp_path / "copy.sqlite") as copy:
        assert Originals(copy).file(sample.id).read_bytes() == CONTENT
    assert Keeping(store, "Ben").erase(sample.id).files == 2
    assert list(store.path.with_suffix(".recordings").rglob("*.wav")) == []


def test_a_full_disk_keeps_nothing_of_it(store: Store, tmp_path: Path) -> None:
    large = tmp_path / "large.wav"
    large.write_bytes(bytes(50_000))
    with full_disk(), pytest.raises(StoreError, match="cannot be kept"):
        Originals(store).keep(large)
    assert [path for path in store.path.with_suffix(".recordings").rglob("*") if path.is_file()] == []
