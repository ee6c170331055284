"""Looking the record over finds what does not belong."""

from __future__ import annotations

from pathlib import Path

import pytest

from helpers_walkround import SEAL, corrected, machine
from witnessmark.record import Store
from witnessmark.review import MACHINE

from .helpers import decide, filled, rows, tamper


def full(store: Store) -> None:
    sample = filled(store, "f-horn", "r-slack", "a-chain")
    decide(store, sample, MACHINE, "correct", becomes=machine("Q25 LOT"))
    decide(store, sample, "added-1", "add", becomes=corrected(SEAL, key="", side="right"))
    decide(store, sample, "added-1", "postpone")
    decide(store, sample, "added-1", "confirm")
    decide(store, sample, "f-pads", "reject")


def test_a_record_of_every_kind_of_decision_is_sound(store: Store) -> None:
    full(store)
    assert store.check() == []


@pytest.mark.parametrize(
    ("statements", "problem"),
    [
        (
            ["UPDATE confirmed_readings SET value = 99.0"],
            "r-slack of {} in confirmed_readings is not what was decided",
        ),
        (
            ["UPDATE confirmed_findings SET body = replace(body, 'sound', 'worn') WHERE item = 'f-horn'"],
            "f-horn of {} in confirmed_findings is not what was decided",
        ),
        (
            ["DELETE FROM confirmed_actions"],
            "a-chain of {} was let in and is missing from confirmed_actions",
        ),
        (
            ["UPDATE confirmed_findings SET item = 'f-pads' WHERE item = 'f-horn'"],
            "f-pads of {} is in confirmed_findings without a decision that lets it in",
        ),
        (
            ["UPDATE machines SET registration = 'Q26 LOT'"],
            "machine of {} in machines is not what was decided",
        ),
        (
            ["UPDATE drafts SET body = replace(body, '1.2', '3.2')"],
            "the draft of {} was changed after it came in",
        ),
        (
            ["UPDATE drafts SET sha256 = '0'"],
            "{} was decided on in another draft than the one stored",
        ),
        (
            ["UPDATE decisions SET body = replace(body, 'f-horn', 'f-hurn')"],
            "decision 1 is about f-hurn of {}, which is not there",
        ),
        (["DELETE FROM recordings"], "a row of walkrounds names a row of recordings that is not there"),
        (
            ["UPDATE meta SET value = '7' WHERE key = 'schema_version'"],
            "the schema version is 7 in one place",
        ),
        (["UPDATE drafts SET body = 'nonsense'"], "a part of the record cannot be read"),
        (["UPDATE transcripts SET text = replace(text, 'one', 'two')"], "is not that of its transcript"),
        (["UPDATE recordings SET duration = 46"], "is not that of its transcript"),
        (["UPDATE items SET value = 9 WHERE item = 'r-tread'"], "r-tread of {} in items is not as it was"),
        (["DELETE FROM items WHERE item = 'r-tread'"], "r-tread of {} is missing from items"),
        (
            ["UPDATE entries SET heard = 'x' WHERE item = 'r-tread'"],
            "r-tread of {} in entries is not as it was drafted or decided",
        ),
        (["UPDATE entries SET registration = 'X'"], "f-horn of {} in entries is not as it was"),
        (
            ["UPDATE entries SET item = 'x' WHERE item = 'r-tread'"],
            "x of {} is in entries and was neither drafted nor added",
        ),
        (["UPDATE entries SET words = 'x' WHERE item = 'r-tread'"], "the search index is out of step"),
        (["DROP VIEW trail"], "the view trail is missing"),
        (["DROP INDEX items_by_component"], "the index items_by_component is missing"),
        (
            ["CREATE TRIGGER eager AFTER INSERT ON decisions BEGIN DELETE FROM items; END"],
            "the trigger eager is not as this version makes it",
        ),
        (
            ["DROP VIEW talks", "CREATE VIEW talks AS SELECT 1"],
            "the view talks is not as this version makes it",
        ),
    ],
)
def test_found(store: Store, path: Path, statements: list[str], problem: str) -> None:
    full(store)
    identity = store.walkround("latest").id
    store.close()
    tamper(path, *statements)
    with Store.open(path) as opened:
        found = opened.check()
    assert any(problem.format(identity) in line for line in found), found


def test_views_and_indexes_of_the_workshops_own_do_no_harm(store: Store, path: Path) -> None:
    full(store)
    with store.writing() as db:
        db.execute("CREATE VIEW ours AS SELECT * FROM found")
        db.execute("CREATE INDEX ours_too ON items (heard)")
    assert store.check() == []


def test_entries_follow_every_decision_as_they_are_made_anew(store: Store, path: Path) -> None:
    """``due`` says of the whole trail what ``follow`` did decision by decision."""
    full(store)
    before = rows(path, "entries")
    store.compact()
    assert [row[1:] for row in rows(path, "entries")] == [row[1:] for row in before]


def test_a_damaged_page_is_told_and_does_not_stop_the_rest(store: Store, path: Path) -> None:
    full(store)
    (root,) = store._db.execute("SELECT rootpage FROM sqlite_master WHERE name = 'items'").fetchone()
    (size,) = store._db.execute("PRAGMA page_size").fetchone()
    store.close()
    whole = bytearray(path.read_bytes())
    start = (root - 1) * size
    whole[start : start + 200] = b"\xff" * 200
    path.write_bytes(whole)
    with Store.open(path) as opened:
        found = opened.check()
    assert any("damaged" in line or "cannot be read" in line for line in found)
