"""Copies are whole and open like any record; compacting takes away what nobody wants and nothing else."""

from __future__ import annotations

import gzip
import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from helpers_walkround import SEAL, corrected, machine, walkround
from witnessmark.errors import StoreError
from witnessmark.record import Keeping, Originals, Store, chain, upkeep
from witnessmark.record.originals import whole
from witnessmark.review import MACHINE

from .helpers import decide, dump, filled
from .test_keeping import PNG, sounding
from .test_migrations import SALTED


def test_a_copy_is_a_record_like_any_other(store: Store, tmp_path: Path) -> None:
    sample = walkround()
    sounding(store, sample)
    decide(store, sample, "f-horn")
    photo = store.add_photo(sample.id, PNG, "Ada Foreman")
    told: list[tuple[float, float]] = []
    target = tmp_path / "copy" / "record.sqlite"
    target.parent.mkdir()
    copied = store.backup(target, lambda done, whole: told.append((done, whole)))
    assert copied == (target, store.head(), 2)
    assert told[0][0] <= told[0][1]
    assert dump(target) == dump(store.path)
    with Store.open(target) as copy:
        assert copy.check() == []
        assert copy.walkround(sample.id) == store.walkround(sample.id)
        assert copy.photo_bytes(photo.sha256) == PNG
        assert copy.sound(sample.id).read_bytes() == b"fLaC"
        decide(copy, sample, "f-pads")
    assert sorted(path.name for path in target.parent.iterdir()) == [
        "record.photos",
        "record.sound",
        "record.sqlite",
    ]


def lost(path: Path) -> None:
    """The disk is gone: the record, what SQLite keeps beside it, sounds, pictures and recordings."""
    path.write_bytes(b"lost" * 1000)
    path.with_name(f"{path.name}-wal").write_bytes(b"of a record that is gone" * 99)
    for folder in path.parent.glob(f"{path.stem}.*/"):
        shutil.rmtree(folder)


def put_back(copy: Path, path: Path) -> None:
    """What docs/record.md says: the copy and its folders in the place of what was lost, no -wal and -shm."""
    for beside in path.parent.glob(f"{path.name}-*"):
        beside.unlink()
    shutil.copyfile(copy, path)
    for folder in copy.parent.glob(f"{copy.stem}.*/"):
        shutil.copytree(folder, path.with_suffix(folder.suffix))


def test_a_lost_record_is_restored_from_its_copy(store: Store, path: Path, tmp_path: Path) -> None:
    sample = walkround()
    sounding(store, sample)
    decide(store, sample, "f-horn")
    photo = store.add_photo(sample.id, PNG, "Ada Foreman")
    (tmp_path / "monday.wav").write_bytes(b"as it was made")
    kept = Originals(store).keep(tmp_path / "monday.wav")
    stick = tmp_path / "stick"
    stick.mkdir()
    head = store.backup(stick / "copy.sqlite").head
    decide(store, sample, "f-pads")  # after the copy: that is what is lost
    store.close()
    lost(path)
    put_back(stick / "copy.sqlite", path)
    with Store.open(path) as restored:
        assert restored.check() == []
        assert restored.head() == head
        assert [made.item for made in restored.walkround(sample.id).decisions] == ["f-horn"]
        assert restored.sound(sample.id).read_bytes() == b"fLaC"
        assert restored.photo_bytes(photo.sha256) == PNG
        assert whole(path, kept).read_bytes() == b"as it was made"
        decide(restored, sample, "f-pads")
        assert restored.check() == []


def test_a_record_is_restored_from_the_copy_that_a_new_version_made(path: Path) -> None:
    path.write_bytes(gzip.decompress(SALTED.read_bytes()))
    with Store.open(path) as store:
        head = store.head()
        decide(store, walkround("two.wav"), "f-pads")
    (copy,) = path.parent.glob("record.version4-*.sqlite")
    lost(path)
    put_back(copy, path)
    with Store.open(path) as restored:
        assert restored.check() == []
        assert restored.head() == head
        assert len(restored.walkrounds()) == 2


def test_a_second_copy_replaces_the_first_and_copies_only_new_files(store: Store, tmp_path: Path) -> None:
    sounding(store, walkround("1.wav"))
    assert store.backup(tmp_path / "copy.sqlite").files == 1
    sounding(store, walkround("2.wav"))
    assert store.backup(tmp_path / "copy.sqlite").files == 1
    with Store.open(tmp_path / "copy.sqlite") as copy:
        assert len(copy.walkrounds()) == 2
        assert copy.check() == []


def test_what_others_write_meanwhile_is_not_in_the_copy_and_does_not_hinder_it(
    store: Store, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(upkeep, "PAGES", 5)
    store.ingest(walkround("first.wav"))
    before = dump(path)
    written: list[int] = []

    def write(*_: float) -> None:
        if len(written) < 5:
            written.append(1)
            with Store.open(path) as other:
                other.ingest(walkround(f"{len(written)}.wav"))

    store.backup(tmp_path / "copy.sqlite", write)
    assert len(written) == 5
    assert dump(tmp_path / "copy.sqlite") == before
    assert len(store.walkrounds()) == 6


def test_a_copy_that_cannot_be_written_leaves_what_was_there(store: Store, tmp_path: Path) -> None:
    filled(store, "f-horn")
    with pytest.raises(StoreError, match="the folder does not exist") as caught:
        store.backup(tmp_path / "nowhere" / "copy.sqlite")
    assert caught.value.where == str(tmp_path / "nowhere")
    with pytest.raises(StoreError, match="the record itself"):
        store.backup(store.path)
    assert store.check() == []


def test_a_copy_that_differs_is_told_and_leaves_what_was_there(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(store, "f-horn")
    target = tmp_path / "copy.sqlite"
    target.write_bytes(b"the copy of yesterday")
    monkeypatch.setattr(chain, "head", lambda _: "another")
    with pytest.raises(StoreError, match="not what was copied"):
        store.backup(target)
    assert target.read_bytes() == b"the copy of yesterday"
    assert [path.name for path in tmp_path.iterdir() if "copy" in path.name] == ["copy.sqlite"]


def test_compacting_takes_back_room_and_keeps_every_row(store: Store, path: Path) -> None:
    for number in range(30):
        store.ingest(walkround(f"{number}.wav"))
    decide(store, walkround("3.wav"), "f-horn")
    rows = sorted(line for line in dump(path) if "entry_words" not in line)
    with store.writing() as db:
        db.execute("CREATE TABLE big (x)")
        db.execute("INSERT INTO big VALUES (zeroblob(3000000))")
        db.execute("DROP TABLE big")
    room = store.compact()
    assert room.after <= room.before - 2_900_000
    assert sorted(line for line in dump(path) if "entry_words" not in line) == rows
    assert len(store.search("horn", limit=100)) == 30
    assert store.check() == []


def test_compacting_makes_a_search_index_anew_that_is_out_of_step(store: Store) -> None:
    filled(store)
    with store.writing() as db:
        db.execute("DELETE FROM entries WHERE item = 'f-horn'")
    assert any("f-horn" in line for line in store.check())
    store.compact()
    assert store.check() == []
    assert [found.item for found in store.search("horn")] == ["f-horn"]


def test_compacting_takes_old_files_away_that_no_row_wants(store: Store) -> None:
    sample = walkround()
    kept = sounding(store, sample)
    photo = store.add_photo(sample.id, PNG, "Ada Foreman")
    stale, fresh = kept.with_name("w-000000000000.flac"), kept.with_name("w-111111111111.flac")
    for path in (stale, fresh):
        path.write_bytes(b"sound of an intake that was stopped")
    old = fresh.stat().st_mtime - 2 * upkeep.STALE_SECONDS
    os.utime(stale, (old, old))
    os.utime(kept, (old, old))
    assert store.compact().files == 1
    assert (kept.exists(), fresh.exists(), stale.exists()) == (True, True, False)
    assert store.photo_bytes(photo.sha256) == PNG


def test_the_head_stands_for_the_trail_up_to_there(store: Store, path: Path) -> None:
    sample = filled(store)
    heads = [store.head()]
    for item in ("f-horn", "f-pads"):
        decide(store, sample, item)
        heads.append(store.head())
    assert len(set(heads)) == 3
    assert all(store.had_head(head) for head in heads)
    assert not store.had_head("f" * 64)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT hash FROM decisions ORDER BY seq DESC").fetchone() == (heads[-1],)


def test_compacting_forgets_what_was_heard_of_recordings_that_never_came_in(store: Store) -> None:
    store.keep_step("a" * 64, "transcribe base", "words")
    store.keep_step("b" * 64, "transcribe base", "words")
    store.keep_step("a source", "backlog", "12 w-1")
    with store.writing() as db:
        db.execute("UPDATE steps SET done_at = '2020-01-01' WHERE recording <> ?", ["b" * 64])
    store.compact()
    assert store.step("a" * 64, "transcribe base") is None
    assert store.step("b" * 64, "transcribe base") == "words"
    assert store.step("a source", "backlog") == "12 w-1"


def test_compacting_brings_nothing_back_of_an_erased_machine(store: Store) -> None:
    sample, other = walkround(), walkround("other.wav", identity=machine("Q30 LOT"))
    for each in (sample, other):
        store.ingest(each)
        decide(store, each, MACHINE)
    decide(store, sample, "f-horn")
    decide(store, sample, "added-1", "add", becomes=corrected(SEAL, key="", side="right"))
    Keeping(store, "Ben Deputy").erase("Q24 LOT")
    store.compact()
    assert store.check() == []
    assert [row.id for row in store.walkrounds()] == [other.id]
    assert {found.walkround for found in store.search("horn")} == {other.id}
