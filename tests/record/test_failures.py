"""Whatever goes wrong, the record is as it was before."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from textwrap import dedent
from typing import Any

import pytest

from helpers_disk import full_disk
from helpers_walkround import KEYS, TREAD, corrected, decision, walkround
from witnessmark.errors import StoreError
from witnessmark.record import Keeping, Store, derive, intake
from witnessmark.review import MACHINE, apply

from .helpers import decide, dump, filled, rows


def fill_the_disk(store: Store) -> None:
    """No page more than there are: SQLite then reports a full disk (sqlite.org/pragma.html)."""
    (pages,) = store._db.execute("PRAGMA page_count").fetchone()
    store._db.execute(f"PRAGMA max_page_count = {pages}").fetchone()


def until_full(path: Path, write: Callable[[int], object]) -> tuple[StoreError, list[str], list[str]]:
    """Write until the disk is full: the error, and the file before and after that write."""
    for number in range(500):
        before = dump(path)
        try:
            write(number)
        except StoreError as error:
            return error, before, dump(path)
    pytest.fail("the disk was never full")


def test_a_full_disk_takes_no_walkround_in(store: Store, path: Path) -> None:
    filled(store, "f-horn")
    fill_the_disk(store)
    error, before, after = until_full(path, lambda number: store.ingest(walkround(f"{number}.wav")))
    assert error.what == "the disk is full"
    assert error.where == str(path)
    assert after == before
    assert store.check() == []


def test_a_full_disk_takes_no_half_decision(store: Store, path: Path) -> None:
    sample = filled(store)
    fill_the_disk(store)

    def correct(number: int) -> None:
        becomes = corrected(TREAD, value=float(number))
        decide(store, sample, "r-tread", "correct", becomes=becomes, why="x" * 900)

    error, before, after = until_full(path, correct)
    assert error.what == "the disk is full"
    assert after == before
    assert store.check() == []


class Interrupted(BaseException):
    """Raised half way, as a keyboard interrupt would be."""


def test_an_interruption_half_way_through_a_decision_leaves_nothing(
    store: Store, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sample = filled(store, "f-horn")
    before = dump(path)

    def interrupted(*_: Any) -> None:
        assert len(store._db.execute("SELECT 1 FROM decisions").fetchall()) == 2  # the row is there already
        raise Interrupted

    monkeypatch.setattr(derive, "rewrite", interrupted)
    with pytest.raises(Interrupted):
        decide(store, sample, "f-pads")
    assert dump(path) == before
    monkeypatch.undo()
    decide(store, sample, "f-pads")
    assert store.check() == []


def test_an_interruption_half_way_through_intake_leaves_nothing(
    store: Store, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = dump(path)

    def interrupted(*_: Any) -> None:
        raise Interrupted

    monkeypatch.setattr(intake, "item_rows", interrupted)
    with pytest.raises(Interrupted):
        store.ingest(walkround())
    assert dump(path) == before
    monkeypatch.undo()
    assert store.ingest(walkround())


def run(script: str, path: Path, *more: str) -> subprocess.Popen[bytes]:
    """A second program with the tests' helpers at hand."""
    here = Path(__file__).parents[1]
    head = f"import sys; sys.path.insert(0, {str(here)!r}); from pathlib import Path\n"
    return subprocess.Popen(
        [sys.executable, "-c", head + dedent(script), str(path), *more], stderr=subprocess.PIPE
    )


def test_a_program_killed_half_way_leaves_nothing(store: Store, path: Path) -> None:
    filled(store, "f-horn")
    before = dump(path)
    killed = run(
        """
        import os, signal
        from helpers_walkround import decision
        from witnessmark.record import Store, derive
        from witnessmark.review import apply
        derive.rewrite = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
        store = Store.open(Path(sys.argv[1]))
        now = store.walkround("latest")
        made = decision(now, "f-pads")
        store.decide(made, apply(now, [made]))
        """,
        path,
    )
    killed.communicate(timeout=60)
    assert killed.returncode == -9
    assert dump(path) == before
    assert store.check() == []


def test_two_programs_decide_at_once(store: Store, path: Path) -> None:
    sample = filled(store)
    script = """
        from helpers_walkround import decision
        from witnessmark.record import Store
        from witnessmark.review import apply
        store = Store.open(Path(sys.argv[1]))
        for again in range(4):
            for key in sys.argv[3:]:
                now = store.walkround("latest")
                made = decision(now, key, "postpone" if again % 2 else "confirm", who=sys.argv[2])
                store.decide(made, apply(now, [made]))
        """
    both = [run(script, path, "Ada", *KEYS[::2]), run(script, path, "Ben", MACHINE, *KEYS[1::2])]
    for process in both:
        _, complaint = process.communicate(timeout=120)
        assert process.returncode == 0, complaint.decode()
    trail = store.walkround(sample.id).decisions
    assert len(trail) == 4 * (len(KEYS) + 1)
    assert [made.item for made in trail if made.who == "Ada"] == list(KEYS[::2]) * 4
    assert store.check() == []
    assert rows(path, "machines") == rows(path, "confirmed_findings") == []


def test_a_record_that_stays_locked_is_told_and_nothing_is_stored(store: Store, path: Path) -> None:
    sample = filled(store)
    store._db.execute("PRAGMA busy_timeout = 50").fetchone()
    with Store.open(path) as other:
        other._db.execute("BEGIN IMMEDIATE")
        made = decision(sample, "f-pads")
        with pytest.raises(StoreError, match="another program is writing") as caught:
            store.decide(made, apply(sample, [made]))
        assert "Try again" in (caught.value.remedy or "")
        assert store.walkround(sample.id) == sample  # reading goes on
        other._db.rollback()
    store.decide(made, apply(sample, [made]))


def test_a_full_disk_takes_no_picture_and_leaves_nothing_of_it(store: Store, path: Path) -> None:
    sample = filled(store)
    with full_disk(), pytest.raises(StoreError, match="cannot be written") as caught:
        store.add_photo(sample.id, b"\x89PNG\r\n\x1a\n" + bytes(20_000), "Ada Foreman")
    assert "Make room" in (caught.value.remedy or "")
    assert store.photos(sample.id) == ()
    assert [other for other in path.with_suffix(".photos").rglob("*") if other.is_file()] == []


def test_a_full_disk_takes_no_copy_and_leaves_nothing_of_it(store: Store, tmp_path: Path) -> None:
    filled(store)
    (tmp_path / "copies").mkdir()
    with full_disk(), pytest.raises(StoreError) as caught:
        store.backup(tmp_path / "copies" / "copy.sqlite")
    assert str(tmp_path / "copies") in (caught.value.where or "")  # not the record's own disk
    assert list((tmp_path / "copies").iterdir()) == []
    assert store.check() == []


def test_a_full_disk_while_words_are_taken_out_is_told_with_what_to_do(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    sample = filled(store)

    def full() -> None:
        raise StoreError("the disk is full", str(store.path), "Make room.")

    monkeypatch.setattr(store, "tidy", full)
    with pytest.raises(StoreError, match="traces may be left") as caught:
        Keeping(store, "Ben Deputy").redact(sample.id, "weeping")
    assert "store compact" in (caught.value.remedy or "")
    assert "weeping" not in store.walkround(sample.id).transcript.text
    assert store.check() == []
