"""A record of an older version opens, with everything in it, and a copy of what it was lies beside it."""

from __future__ import annotations

import gzip
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from witnessmark.errors import StoreError
from witnessmark.record import Exchange, Store, migrations, opening

from .helpers import dump, rows

OLD = Path(__file__).parent / "files" / "version1.sqlite.gz"
"""Made by version 0.1.0: two walkrounds with every kind of decision."""
SALTED = OLD.with_name("version4.sqlite.gz")
"""Made by a program of schema 4: also acts, a redaction, an erasure, a policy, lines from elsewhere."""


@pytest.fixture(params=range(1, migrations.VERSION))
def old(path: Path, request: pytest.FixtureRequest) -> Path:
    """A record of each older version."""
    path.write_bytes(gzip.decompress(OLD.read_bytes()))
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("BEGIN")
        migrations.upgrade(connection, since=1, until=request.param)
        connection.execute("COMMIT")
    return path


def copies(path: Path) -> list[Path]:
    return [other for other in path.parent.iterdir() if ".version" in other.name]


def schema(path: Path) -> list[tuple[str, str]]:
    with closing(sqlite3.connect(path)) as connection:
        return sorted(
            connection.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
        )


def trail_of(path: Path) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(
            "SELECT seq, body, draft, previous, hash, item, who FROM decisions ORDER BY seq"
        ).fetchall()


def test_it_opens_whole(old: Path) -> None:
    trail = trail_of(old)
    with Store.open(old) as store:
        assert store.check() == []
        assert [(row.registration, row.waiting, row.decided) for row in store.walkrounds()] == [
            ("Q24 LOT", 9, 1),
            ("Q25 LOT", 5, 6),
        ]
        (visit,) = store.history("Q25 LOT").visits
        assert [entered.item.component for entered in visit.entered] == [
            "chain",
            "chain",
            "horn",
            "fork_seal",
        ]
        assert {found.status for found in store.search("fork seal")} == {"waiting", "confirmed"}
    assert trail_of(old) == trail


@pytest.mark.parametrize("version", range(4, migrations.VERSION))
def test_one_with_acts_opens_whole(path: Path, version: int) -> None:
    path.write_bytes(gzip.decompress(SALTED.read_bytes()))
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("BEGIN")
        migrations.upgrade(connection, since=4, until=version)
        connection.execute("COMMIT")
    trail = trail_of(path)
    with Store.open(path) as store:
        assert store.check() == []
        assert [(row.registration, row.waiting, row.decided) for row in store.walkrounds()] == [
            ("Q24 LOT", 9, 1),
            ("Q25 LOT", 5, 6),
        ]
        corrected = store.history("WTM5MRK24A7000042").readings
        assert [(reading.component, reading.value) for _, reading in corrected] == [("tyre", 2.1)]
        assert store.history("Q26 LOT").visits == ()  # erased
        assert [line.item for line in Exchange(store).from_elsewhere("Q27 LOT")] == ["f-horn"]
        assert [one.source for one in store.set_aside()] == ["lost.wav"]
        store.compact()
        assert store.check() == []
    assert trail_of(path) == trail
    assert "··· ····" in str(trail)
    (copy,) = copies(path)
    with Store.open(copy) as store:
        assert store.check() == []


def test_it_becomes_what_a_new_record_is(old: Path, tmp_path: Path) -> None:
    Store.open(old).close()
    Store.open(tmp_path / "new.sqlite").close()
    assert schema(old) == schema(tmp_path / "new.sqlite")
    assert dict(rows(old, "meta"))["schema_version"] == str(migrations.VERSION)


def test_a_copy_of_what_it_was_lies_beside_it_and_opens_too(old: Path) -> None:
    before = dump(old)
    Store.open(old).close()
    (copy,) = copies(old)
    assert dump(copy) == before
    with Store.open(copy) as store:
        assert store.check() == []
    assert len(copies(old)) == 2  # the copy's own copy


def test_it_is_done_once(old: Path) -> None:
    Store.open(old).close()
    after = dump(old)
    Store.open(old).close()
    assert dump(old) == after
    assert len(copies(old)) == 1


def test_programs_that_start_together_do_it_once(old: Path) -> None:
    script = f"from pathlib import Path; from witnessmark.record import Store; Store.open(Path({str(old)!r}))"
    started = [subprocess.Popen([sys.executable, "-c", script], stderr=subprocess.PIPE) for _ in range(3)]
    for process in started:
        _, complaint = process.communicate(timeout=60)
        assert process.returncode == 0, complaint.decode()
    assert len(copies(old)) == 1
    with Store.open(old) as store:
        assert store.check() == []


class Interrupted(BaseException):
    """Raised half way, as a keyboard interrupt would be."""


def test_an_interruption_leaves_it_as_it_was(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = dump(old)

    def interrupted(_: sqlite3.Connection) -> None:
        raise Interrupted

    monkeypatch.setitem(migrations.FILL, migrations.VERSION, interrupted)
    with pytest.raises(Interrupted):
        Store.open(old)
    assert dump(old) == before
    monkeypatch.undo()
    with Store.open(old) as store:
        assert store.check() == []


def test_without_room_for_the_copy_nothing_is_changed(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = dump(old)

    def full(_: Path, __: int) -> Path:
        error = sqlite3.OperationalError("database or disk is full")
        error.sqlite_errorcode = sqlite3.SQLITE_FULL  # type: ignore[misc]
        raise error

    monkeypatch.setattr(opening, "_copy_beside", full)
    with pytest.raises(StoreError, match="the disk is full"):
        Store.open(old)
    assert dump(old) == before


def test_every_version_has_its_script() -> None:
    names = sorted(path.name for path in Path(migrations.__file__).parent.glob("*.sql"))
    assert [int(name[:4]) for name in names] == list(range(1, migrations.VERSION + 1))
