"""A file is made, recognised, or refused and left alone."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from witnessmark.errors import StoreError
from witnessmark.record import Store, opening

from .helpers import tamper


def test_a_new_record_is_marked_as_ours_and_write_ahead(path: Path) -> None:
    Store.open(path).close()
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (6,)
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("SELECT value FROM meta WHERE key = 'schema_version'").fetchone() == ("6",)
    # sqlite.org/fileformat2.html, "The Database Header": application id at offset 68, big-endian.
    assert path.read_bytes()[68:72] == b"WtMk"


def test_every_table_is_strict(path: Path) -> None:
    Store.open(path).close()
    with closing(sqlite3.connect(path)) as connection:
        tables = connection.execute(
            "SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND type = 'table'"
        ).fetchall()
    strict = {name: flag for name, flag in tables if not name.startswith("sqlite_")}
    assert strict == dict.fromkeys(strict, 1)
    assert {"recordings", "drafts", "items", "decisions", "machines", "entries", "photos"} <= strict.keys()


def test_opening_again_finds_the_same_record(path: Path) -> None:
    Store.open(path).close()
    before = path.read_bytes()
    with Store.open(path) as store:
        assert store.walkrounds() == []
        assert store.check() == []
    assert path.read_bytes() == before


def refused(path: Path) -> StoreError:
    with pytest.raises(StoreError) as caught:
        Store.open(path)
    assert caught.value.exit_code == 4
    assert caught.value.remedy
    assert caught.value.where
    return caught.value


def test_a_newer_record_is_refused_and_left_as_it_is(path: Path) -> None:
    Store.open(path).close()
    tamper(path, f"PRAGMA user_version = {opening.VERSION + 1}")
    before = path.read_bytes()
    assert "newer Witnessmark" in refused(path).what
    assert path.read_bytes() == before


def test_a_schema_that_never_was_is_refused(path: Path) -> None:
    Store.open(path).close()
    tamper(path, "PRAGMA user_version = 0")
    assert "not known" in refused(path).what


@pytest.mark.parametrize("content", [b"hello", b"A letter to the editor.\n" * 400])
def test_a_file_that_is_no_database_is_refused_and_left_as_it_is(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    assert refused(path).what == "the file is not a database"
    assert path.read_bytes() == content


def test_another_programs_database_is_refused_and_left_as_it_is(path: Path) -> None:
    tamper(path, "CREATE TABLE stamps (country TEXT)")
    before = path.read_bytes()
    assert "another program's" in refused(path).what
    assert path.read_bytes() == before


def test_an_empty_file_becomes_a_record(path: Path) -> None:
    path.touch()
    with Store.open(path) as store:
        assert store.check() == []


def test_a_missing_folder_is_not_made(tmp_path: Path) -> None:
    assert "folder does not exist" in refused(tmp_path / "nowhere" / "record.sqlite").what
    assert not (tmp_path / "nowhere").exists()


def test_a_folder_is_no_record(tmp_path: Path) -> None:
    assert "cannot be opened" in refused(tmp_path).what


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="needs a folder that nobody can write to")
def test_a_folder_closed_to_us_is_told() -> None:
    assert "cannot be opened" in refused(Path("/proc/self/record.sqlite")).what


def test_a_damaged_file_is_told(path: Path) -> None:
    Store.open(path).close()
    whole = path.read_bytes()
    path.write_bytes(whole[:100] + b"\xff" * 1000 + whole[1100:])
    assert "damaged" in refused(path).what


def test_a_record_held_by_another_program_is_told(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "BUSY_SECONDS", 0.05)
    Store.open(path).close()
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("PRAGMA journal_mode = DELETE")
    holder.execute("BEGIN EXCLUSIVE")
    assert "another program is writing" in refused(path).what
    holder.close()


def test_the_default_is_in_the_users_data_folder_which_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        Store, "default_path", staticmethod(lambda: tmp_path / "data" / "own" / "record.sqlite")
    )
    with Store.open(Store.default_path()) as store:
        assert store.walkrounds() == []


def test_the_default_path_names_the_program() -> None:
    assert Store.default_path().parent.name == "witnessmark"
    assert Store.default_path().is_absolute()


def test_programs_that_start_together_make_one_record(path: Path) -> None:
    script = (
        f"from pathlib import Path; from witnessmark.record import Store; Store.open(Path({str(path)!r}))"
    )
    started = [subprocess.Popen([sys.executable, "-c", script], stderr=subprocess.PIPE) for _ in range(4)]
    for process in started:
        _, complaint = process.communicate(timeout=60)
        assert process.returncode == 0, complaint.decode()
    with Store.open(path) as store:
        assert store.check() == []
