"""``witnessmark store`` looks after the record: check, copies, room, and what goes on request."""

from __future__ import annotations

import gzip
import json
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from helpers_cli import Run
from witnessmark.record import Store
from witnessmark.review import MACHINE, apply, queue
from witnessmark.types import Decision, DecisionKind

OLD = Path(__file__).parents[1] / "record" / "files" / "version1.sqlite.gz"


def confirmed(path: Path) -> str:
    """Everything of the one walkround confirmed; returns its id."""
    with Store.open(path) as record:
        now = record.walkround("latest")
        for item in queue(now):
            made = Decision(
                walkround=now.id, item=item, kind=DecisionKind.CONFIRM, who="Ada", when=datetime.now(UTC)
            )
            record.decide(made, apply(record.walkround(now.id), [made]))
        return now.id


def head_of(path: Path) -> str:
    with Store.open(path) as record:
        return record.head()


def test_a_sound_record_is_told_with_its_head(run: Run, store: Path) -> None:
    confirmed(store)
    ran = run("store", "check", "--store", store)
    assert (ran.status, ran.out) == (0, f"All is well. The trail ends with {head_of(store)}\n")
    assert json.loads(run("store", "check", "--store", store, "--json").out) == {
        "head": head_of(store),
        "problems": [],
    }


def test_the_head_can_be_kept_and_compared(run: Run, store: Path) -> None:
    before = run("store", "check", "--store", store, "--head").out.strip()
    confirmed(store)
    assert run("store", "check", "--store", store, "--head").out.strip() == head_of(store) != before
    assert run("store", "check", "--store", store, "--head-was", before).status == 0
    ran = run("store", "check", "--store", store, "--head-was", "0" * 63 + "1")
    assert ran.status == 4
    assert "it was rewritten before that" in ran.out


def test_a_broken_trail_is_told(run: Run, store: Path) -> None:
    confirmed(store)
    with closing(sqlite3.connect(store, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER decisions_stay")
        connection.execute("UPDATE decisions SET body = replace(body, 'Ada', 'Eve') WHERE seq = 2")
    ran = run("store", "check", "--store", store)
    assert ran.status == 4
    assert "the trail is broken at decision 2: it was changed after it was made" in ran.out


def test_a_copy_is_made_and_opens(run: Run, store: Path, tmp_path: Path) -> None:
    ran = run("store", "backup", tmp_path / "copy.sqlite", "--store", store)
    assert ran.status == 0
    assert head_of(store) in ran.out
    assert run("store", "check", "--store", tmp_path / "copy.sqlite").status == 0
    ran = run("store", "backup", tmp_path / "none" / "copy.sqlite", "--store", store)
    assert (ran.status, ran.out) == (4, "")


@pytest.mark.parametrize("command", [["check"], ["backup", "x.sqlite"], ["migrate"], ["compact"]])
def test_without_a_record_none_is_made(run: Run, tmp_path: Path, command: list[str]) -> None:
    ran = run("store", *command, "--store", tmp_path / "none.sqlite")
    assert ran.status == 4
    assert "there is no record here" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_an_old_record_is_brought_up_to_date_once(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite"
    path.write_bytes(gzip.decompress(OLD.read_bytes()))
    ran = run("store", "migrate", "--store", path)
    assert ran.status == 0
    (copy,) = tmp_path.glob("old.version1-*.sqlite")
    assert f"from version 1 to {Store.version_of(path)}. As it was: {copy}" in ran.out
    assert Store.version_of(copy) == 1
    assert "nothing was changed" in run("store", "migrate", "--store", path).out
    assert run("store", "check", "--store", path).status == 0


def test_compacting_tells_the_room(run: Run, store: Path) -> None:
    ran = run("store", "compact", "--store", store)
    assert ran.status == 0
    assert "0 files taken away" in ran.out
    assert run("store", "check", "--store", store).status == 0


def test_sound_goes_by_rule_and_on_request(run: Run, store: Path) -> None:
    id = confirmed(store)
    lies = store.with_suffix(".sound") / f"{id}.flac"
    lies.parent.mkdir()
    lies.write_bytes(b"fLaC")
    with Store.open(store) as record:
        record.know_sound(id)
    ran = run("store", "sound", "--store", store, "--who", "Ben", "--keep-days", 30)
    assert (ran.status, ran.out, ran.err) == (0, "", "No sound was taken away.\n")
    assert lies.exists()
    ran = run("store", "sound", "--store", store, "--who", "Ben", "--keep-days", 0)
    assert f"{id}: its sound was taken away" in ran.out
    assert not lies.exists()
    assert run("store", "sound", "--store", store, "--who", "Ben", "--of", id).status == 4
    ran = run("store", "sound", "--store", store, "--who", "Ben", "--keep-days", 3, "--for-good")
    assert ran.status == 2


def test_a_name_is_taken_out(run: Run, store: Path) -> None:
    ran = run("store", "redact", "latest", "Whiskey Papa", "--store", store, "--who", "Ben")
    assert ran.status == 0
    with Store.open(store) as record:
        assert "two one ······· ···· Tango" in record.walkround("latest").transcript.text
    ran = run("store", "redact", "latest", "Nobody", "--store", store, "--who", "Ben")
    assert ran.status == 4
    assert "does not stand" in ran.err


def test_a_machine_is_handed_out_and_erased(run: Run, store: Path, tmp_path: Path) -> None:
    id = confirmed(store)
    folder = tmp_path / "for the owner"
    ran = run("store", "hand-out", "KX21 WPT", folder, "--store", store, "--who", "Ben", "--why", "asked")
    assert (ran.status, ran.out) == (0, f"{folder / 'machine.json'}\n")
    (held,) = json.loads((folder / "machine.json").read_text("utf-8"))["walkrounds"]
    assert held["walkround"]["id"] == id
    assert MACHINE in {made["item"] for made in held["walkround"]["decisions"]}
    assert run("store", "hand-out", "KX21 WPT", folder, "--store", store, "--who", "Ben").status == 4
    ran = run("store", "erase", "kx21wpt", "--store", store, "--who", "Ben", "--sure")
    assert (ran.status, ran.out) == (0, "1 walkrounds, 0 files and 0 lines from elsewhere were erased.\n")
    assert run("history", "KX21WPT", "--store", store).status == 4
    assert run("store", "check", "--store", store).status == 0
    assert run("store", "erase", "kx21wpt", "--store", store, "--who", "Ben", "--sure").status == 4


def test_erasing_asks_first(run: Run, store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    confirmed(store)
    monkeypatch.setattr("typer.confirm", lambda *_, **__: (_ for _ in ()).throw(SystemExit(1)))
    assert run("store", "erase", "KX21WPT", "--store", store, "--who", "Ben").status == 1
    assert run("history", "KX21WPT", "--store", store).status == 0
