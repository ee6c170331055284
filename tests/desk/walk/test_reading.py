"""Recordings that are over are read into the record: once, in order, and with every fault told."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from tests.desk.conftest import SignedIn
from tests.desk.walk.conftest import TALK, Said
from tests.desk.walk.sending import Phone, tone
from tests.desk.walk.test_chunks import files

from witnessmark.capture import capture
from witnessmark.desk.app import create
from witnessmark.desk.walk import worker as worker_module
from witnessmark.desk.walk.worker import MOST_ENDS, Worker
from witnessmark.errors import SpeechModelError, StoreError
from witnessmark.intake import sound_file


def worker(app: FastAPI) -> Worker:
    return app.state.walks.worker


def record(app: FastAPI) -> list[Any]:
    with app.state.desk.record() as store:
        return [store.walkround(row.id) for row in store.walkrounds()]


def until(true: Callable[[], bool], seconds: float = 20.0) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.02)


@pytest.fixture
def phone(signed_in: SignedIn) -> Phone:
    return Phone(signed_in("technician"), on="2026-05-04")


@pytest.fixture
def sent(phone: Phone, tmp_path: Path) -> Phone:
    phone.send(tone(tmp_path / "tone.webm"))
    return phone


def test_what_was_said_is_in_the_record_with_its_sound(app: FastAPI, sent: Phone, said: Said) -> None:
    assert worker(app).read_one()
    assert not worker(app).read_one()
    told = sent.look()
    (walkround,) = record(app)
    assert (told["state"], told["walkround"], told["progress"]) == ("read", walkround.id, 1.0)
    assert walkround.transcript.text == TALK
    assert walkround.on.isoformat() == "2026-05-04"
    assert walkround.draft.jurisdiction == "GB"
    assert walkround.speaker == "Robin Technician"
    assert walkround.transcript.recording.name == "monday.webm"
    sound = capture(sound_file(app.state.desk.settings.record, walkround.id))
    assert sound.recording.duration == pytest.approx(2.0, abs=0.05)
    assert files(app) == []
    assert sent.put(0, b"late").status_code == 410


def test_the_oldest_is_read_first(app: FastAPI, signed_in: SignedIn, said: Said, tmp_path: Path) -> None:
    client = signed_in("technician")
    phones = [Phone(client, name=f"take {n}") for n in range(3)]
    for number, phone in enumerate(reversed(phones)):
        phone.send(tone(tmp_path / "tone.webm", 1 + number / 10))
    while worker(app).read_one():
        pass
    assert [one.name for one in said.heard] == ["take 2.webm", "take 1.webm", "take 0.webm"]


def test_the_same_recording_twice_is_one_walkround(
    app: FastAPI, signed_in: SignedIn, said: Said, tmp_path: Path
) -> None:
    content = tone(tmp_path / "tone.webm")
    first, second = (Phone(signed_in(role)) for role in ("technician", "reviewer"))
    first.send(content)
    second.send(content, size=1_500)
    while worker(app).read_one():
        pass
    assert first.look()["walkround"] == second.look()["walkround"]
    assert len(record(app)) == len(said.heard) == 1


def test_a_recording_that_the_record_has_of_another_day_keeps_that(
    app: FastAPI, signed_in: SignedIn, tmp_path: Path
) -> None:
    content = tone(tmp_path / "tone.webm")
    first, second = (Phone(signed_in("technician"), on=day) for day in ("2026-05-04", "2026-05-05"))
    first.send(content)
    second.send(content)
    while worker(app).read_one():
        pass
    assert first.look()["walkround"] == second.look()["walkround"]
    assert "The record had this recording already, of 2026-05-04." not in first.look()["notes"]
    assert second.look()["notes"][-1] == "The record had this recording already, of 2026-05-04."


@pytest.mark.parametrize(
    "content", [b"MZ" + bytes(60_000), b"\x7fELF" + bytes(range(256)) * 40, b"#EXTM3U\nfile:///etc/passwd\n"]
)
def test_a_renamed_program_is_told_and_kept(app: FastAPI, phone: Phone, content: bytes) -> None:
    phone.send(content, size=50_000)
    assert worker(app).read_one()
    told = phone.look()
    assert told["state"] == "failed"
    assert "no sound file" in told["problem"]["what"]
    assert "wav" in told["problem"]["remedy"]
    assert "/" not in told["problem"]["what"]
    assert record(app) == []
    whole = app.state.desk.settings.uploads / phone.id / "whole" / "monday.webm"
    assert whole.read_bytes() == content
    assert not worker(app).read_one()
    assert phone.client.post(f"{phone.path}/again").json()["state"] == "waiting"
    assert worker(app).read_one()
    assert phone.look()["state"] == "failed"
    assert phone.client.delete(phone.path).json()["state"] == "dropped"
    assert files(app) == []


def test_what_is_too_long_for_a_walk_is_told(
    app: FastAPI, sent: Phone, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(worker_module, "LONGEST", 1.8)
    worker(app).read_one()
    assert "longer than" in sent.look()["problem"]["what"]
    assert record(app) == []


def test_silence_is_told(app: FastAPI, sent: Phone, said: Said) -> None:
    said.text = " "
    worker(app).read_one()
    assert "no speech" in sent.look()["problem"]["what"]
    assert record(app) == []


def test_a_recording_that_is_cut_off_waits_for_a_persons_word(
    app: FastAPI, signed_in: SignedIn, tmp_path: Path
) -> None:
    phone = Phone(signed_in("technician"))
    phone.send(tone(tmp_path / "tone.webm", 4)[:14_000])
    worker(app).read_one()
    told = phone.look()
    assert told["state"] == "failed"
    assert told["problem"]["what"].startswith("monday.webm: cut off; the last 3 seconds are missing")
    assert "--damaged" not in told["problem"]["remedy"]
    assert record(app) == []
    assert phone.client.post(f"{phone.path}/again?damaged=true").status_code == 200
    worker(app).read_one()
    told = phone.look()
    assert told["state"] == "read"
    assert told["notes"][-1] == "monday.webm: cut off; the last 3 seconds are missing"
    beginning = phone.client.get(f"/api/walkrounds/{told['walkround']}/beginning").json()
    assert beginning["notes"] == told["notes"]


@pytest.mark.parametrize(
    "fault",
    [StoreError("the disk is full", "shop.sqlite", "Make room."), SpeechModelError("no weights", None)],
)
def test_what_is_not_the_recordings_fault_is_tried_again(
    app: FastAPI, sent: Phone, said: Said, fault: Exception
) -> None:
    pauses: list[float] = []
    said.faults = [fault, fault]
    for _ in range(2):
        before = time.time()
        assert worker(app).read_one()
        told = sent.look()
        assert told["state"] == "waiting"
        assert told["problem"]["what"] in ("the disk is full", "no weights")
        assert "by itself" in told["problem"]["remedy"]
        assert not worker(app).read_one()
        with app.state.desk.own.writing() as db:
            (when,) = db.execute("SELECT not_before FROM walks").fetchone()
            db.execute("UPDATE walks SET not_before = 0")
        pauses.append(when - before)
    assert pauses[1] > 1.5 * pauses[0] > 1.5
    assert worker(app).read_one()
    assert sent.look()["problem"] is None
    assert len(record(app)) == 1


def test_a_full_disk_while_the_sound_is_written_loses_nothing(app: FastAPI, sent: Phone) -> None:
    folder = app.state.desk.settings.record.with_suffix(".sound")
    folder.write_text("no folder can be made here")
    assert worker(app).read_one()
    assert sent.look()["state"] == "waiting"
    assert record(app) == []
    folder.unlink()
    sent.client.post(f"{sent.path}/again")
    assert worker(app).read_one()
    assert len(record(app)) == 1


def test_a_fault_of_the_program_does_not_stop_the_queue(
    app: FastAPI, sent: Phone, said: Said, tmp_path: Path
) -> None:
    said.faults = [ZeroDivisionError()]
    second = Phone(sent.client)
    second.send(tone(tmp_path / "tone.webm", 1.0))
    assert worker(app).read_one()
    assert worker(app).read_one()
    assert "fault in this program" in sent.look()["problem"]["what"]
    assert second.look()["state"] == "read"


def test_what_ends_the_desk_again_and_again_is_set_aside(app: FastAPI, sent: Phone) -> None:
    with app.state.desk.own.writing() as db:
        db.execute("UPDATE walks SET state = 'reading', ends = ?", [MOST_ENDS - 1])
    assert not worker(app).read_one()
    assert sent.look()["state"] == "failed"
    assert "whole desk ended" in sent.look()["problem"]["what"]
    sent.client.post(f"{sent.path}/again")
    assert worker(app).read_one()
    assert sent.look()["state"] == "read"


def test_only_one_desk_reads_a_recording(app: FastAPI, sent: Phone, said: Said) -> None:
    other_ear = Said()
    other = create(app.state.desk.settings, other_ear)
    said.gate.clear()
    with app.state.walks.running():
        assert said.began.wait(20)
        assert not worker(other).read_one()
        assert sent.look()["state"] == "reading"
        assert sent.client.delete(sent.path).status_code == 409
        said.gate.set()
        until(lambda: sent.look()["state"] == "read")
    assert (len(said.heard), len(other_ear.heard)) == (1, 0)
    assert not worker(other).read_one()


def test_stopping_is_quick_and_the_next_start_reads(app: FastAPI, sent: Phone, said: Said) -> None:
    said.gate.clear()
    with app.state.walks.running():
        assert said.began.wait(20)
        stopped_at = time.monotonic()
    assert time.monotonic() - stopped_at < 2
    assert sent.look()["state"] == "waiting"
    assert record(app) == []
    said.gate.set()
    with app.state.walks.running():
        until(lambda: sent.look()["state"] == "read")
    assert len(record(app)) == 1


def test_how_far_the_reading_is_can_be_seen(
    app: FastAPI, sent: Phone, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(worker_module, "_TELL", 0.0)
    said.gate.clear()
    with app.state.walks.running():
        until(lambda: sent.look()["progress"] == 0.5)
        assert sent.look()["state"] == "reading"
        said.gate.set()


def test_a_recording_whose_bytes_are_gone_is_told(app: FastAPI, sent: Phone) -> None:
    app.state.walks.incoming.parts.whole(sent.id).unlink()
    assert worker(app).read_one()
    assert "no longer on the disk" in sent.look()["problem"]["what"]


@pytest.fixture
def killed(app: FastAPI, sent: Phone) -> FastAPI:
    """Taken in, and killed before the journal said so."""
    keep = app.state.walks.incoming.parts
    whole = keep.whole(sent.id)
    content = whole.read_bytes()
    worker(app).read_one()
    whole.parent.mkdir(parents=True)
    whole.write_bytes(content)
    with app.state.desk.own.writing() as db:
        db.execute("UPDATE walks SET state = 'reading', walkround = NULL, settled_at = NULL")
    return app


def test_what_is_in_the_record_already_is_not_heard_again(killed: FastAPI, sent: Phone, said: Said) -> None:
    assert worker(killed).read_one()
    assert sent.look()["state"] == "read"
    assert len(said.heard) == len(record(killed)) == 1
    assert files(killed) == []


def test_leftovers_are_swept_up_at_the_start(app: FastAPI, sent: Phone) -> None:
    import os

    folder = app.state.desk.settings.uploads
    begun, gone = Phone(sent.client), Phone(sent.client)
    begun.begin()
    begun.put(0, b"one")
    begun.put(1, b"two")
    (folder / begun.id / "7.part").write_bytes(b"never acknowledged")
    (folder / begun.id / "1.part").write_bytes(b"t")
    old, young = folder / begun.id / ".old", folder / begun.id / ".young"
    for path in (old, young):
        path.write_bytes(b"half")
    os.utime(old, (0, 0))
    gone.begin()
    gone.client.delete(gone.path)
    (folder / gone.id).mkdir()
    (folder / gone.id / "0.part").write_bytes(b"x")
    app.state.walks.mend()
    assert not (folder / gone.id).exists()
    assert {p.name for p in (folder / begun.id).iterdir()} == {".young", "0.part"}
    assert (begun.look()["chunks"], begun.look()["missing"]) == (1, [])
    assert sent.look()["state"] == "waiting"
