"""Whatever byte of the file is changed: it is found, or the file is refused, or nothing in it changed."""

from __future__ import annotations

import gzip
import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from witnessmark.errors import StoreError
from witnessmark.record import Store

from .test_migrations import SALTED

PASSING = ("steps", "set_aside")
"""Tables of an intake that is not finished: nothing of them is in the record, and none is looked over."""


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The file of a record with decisions, acts, a redaction, an erasure and lines from elsewhere."""
    path = tmp_path_factory.mktemp("whole") / "record.sqlite"
    path.write_bytes(gzip.decompress(SALTED.read_bytes()))
    with Store.open(path) as store:
        assert store.check() == []
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    return path.read_bytes()


def content(path: Path) -> list[object]:
    """Everything that the file says: its schema and all its rows, to the byte."""
    with closing(sqlite3.connect(path)) as connection:
        connection.text_factory = bytes
        schema = connection.execute("SELECT * FROM sqlite_master ORDER BY rowid").fetchall()
        tables = sorted(name.decode() for kind, name, *_ in schema if kind == b"table")
        said = {name: connection.execute(f"SELECT * FROM {name}").fetchall() for name in tables}
    meta = [row for row in said.pop("meta") if row[0] != b"made_at"]
    return [schema, meta, *(rows for name, rows in said.items() if name not in PASSING)]


@pytest.mark.parametrize("bytes_changed", [250, pytest.param(6000, marks=pytest.mark.full)])
def test_one_changed_byte_anywhere_is_found(whole: bytes, path: Path, bytes_changed: int) -> None:
    chance, outcomes = random.Random(bytes_changed), {"found": 0, "refused": 0, "nothing changed": 0}
    path.write_bytes(whole)
    before = content(path)
    for _ in range(bytes_changed):
        at, flipped = chance.randrange(len(whole)), chance.randrange(1, 256)
        changed = whole[:at] + bytes([whole[at] ^ flipped]) + whole[at + 1 :]
        path.write_bytes(changed)
        outcome = looked_over(path)
        if outcome == "nothing found":
            path.write_bytes(changed)
            assert content(path) == before, f"byte {at}, flipped by {flipped}"
            outcome = "nothing changed"
        outcomes[outcome] += 1
    assert min(outcomes.values()) > bytes_changed / 100, outcomes


def looked_over(path: Path) -> str:
    """What becomes of the file in the program."""
    try:
        with Store.open(path) as store:
            return "found" if store.check() else "nothing found"
    except StoreError:
        return "refused"
    finally:
        for beside in path.parent.glob(f"{path.name}-*"):
            beside.unlink()


def test_every_byte_of_the_trail_names_its_link(whole: bytes, path: Path) -> None:
    """Bytes of each entry's body as they lie in the file: the check names that entry, or it is refused."""
    path.write_bytes(whole)
    with closing(sqlite3.connect(path)) as connection:
        trail = connection.execute("SELECT seq, body FROM decisions ORDER BY seq").fetchall()
    looked_at = 0
    for seq, body in trail:
        at = whole.index(body.encode())
        for step in range(0, len(body.encode()), 29):
            path.write_bytes(whole[: at + step] + bytes([whole[at + step] ^ 1]) + whole[at + step + 1 :])
            try:
                with Store.open(path) as store:
                    found = store.check(quick=True)
            except StoreError:
                continue  # no longer JSON in a column that is made of it
            assert [
                line for line in found if f"broken at decision {seq}" in line or "cannot be read" in line
            ], found
            looked_at += 1
    assert looked_at > 100
