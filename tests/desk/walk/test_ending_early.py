"""A walk whose phone does not come back is ended with what has come; what is missing is told, never lost."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from fastapi import FastAPI
from tests.desk.conftest import SignedIn
from tests.desk.walk.conftest import TALK, Said
from tests.desk.walk.sending import Phone, tone
from tests.desk.walk.test_chunks import another, files
from tests.desk.walk.test_reading import worker
from tests.helpers_disk import full_disk

from witnessmark.capture import capture
from witnessmark.intake import sound_file

SIZE = 4_000


@pytest.fixture
def phone(signed_in: SignedIn) -> Phone:
    return Phone(signed_in("technician"), on="2026-05-04")


@pytest.fixture
def content(tmp_path: Path) -> bytes:
    return tone(tmp_path / "tone.webm", 8.0)


def pieces(content: bytes) -> list[bytes]:
    return [content[at : at + SIZE] for at in range(0, len(content), SIZE)]


def left_open(phone: Phone, content: bytes) -> int:
    """All but the last third comes; how many chunks that is."""
    here = pieces(content)
    kept = len(here) * 2 // 3
    assert phone.begin().status_code == 201
    for number in range(kept):
        assert phone.put(number, here[number]).status_code == 201
    return kept


def end_early(phone: Phone, role: str, signed_in: SignedIn) -> dict[str, object]:
    answer = signed_in(role).post(f"{phone.path}/end-early")
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.mark.parametrize("role", ["technician", "reviewer", "administrator"])
def test_what_has_come_is_read_though_it_is_cut_off(
    app: FastAPI, phone: Phone, content: bytes, signed_in: SignedIn, said: Said, role: str
) -> None:
    kept = left_open(phone, content)
    assert phone.look()["last_at"]
    ended = end_early(phone, role, signed_in)
    assert (ended["state"], ended["chunks"], ended["last_at"]) == ("waiting", kept, None)
    assert worker(app).read_one()
    told = phone.look()
    assert told["state"] == "read", told
    sound = capture(sound_file(app.state.desk.settings.record, told["walkround"]))
    assert 3.0 < sound.recording.duration < 7.5
    began = phone.client.get(f"/api/walkrounds/{told['walkround']}/beginning").json()
    note, *more = began["notes"][-2:]
    assert f"Robin {role.title()} ended this at the desk" in f"{note} {more}"
    assert f"the first {kept} parts" in f"{note} {more}"
    page = signed_in("reviewer").get(f"/review/{told['walkround']}").text
    assert "What was said after that is missing here" in page
    assert files(app) == []


def test_what_came_after_a_gap_is_left_out_and_told(app: FastAPI, phone: Phone, content: bytes) -> None:
    here = pieces(content)
    phone.begin()
    for number in (0, 1, 2, 3, 4, 6, 7):
        phone.put(number, here[number])
    ended = phone.client.post(f"{phone.path}/end-early").json()
    assert ended["chunks"] == 5
    assert ended["notes"][-1] == "Part 6 never came; of the parts after it, 2 had come and are left out."
    whole = app.state.walks.incoming.parts.whole(phone.id)
    assert whole.read_bytes() == b"".join(here[:5])


def test_again_it_changes_nothing_and_an_ended_one_stays(phone: Phone, content: bytes) -> None:
    left_open(phone, content)
    first = phone.client.post(f"{phone.path}/end-early").json()
    assert phone.client.post(f"{phone.path}/end-early").json() == first
    other = Phone(phone.client)
    other.send(content)
    whole = other.look()
    assert other.client.post(f"{other.path}/end-early").json() == whole
    assert not any("ended this" in note for note in whole["notes"])


def test_without_a_beginning_there_is_nothing_to_read(phone: Phone) -> None:
    phone.begin()
    answer = phone.client.post(f"{phone.path}/end-early")
    assert answer.status_code == 409
    assert "nothing of its beginning" in answer.json()["detail"]
    phone.put(1, b"two")
    assert phone.client.post(f"{phone.path}/end-early").status_code == 409
    assert phone.look()["state"] == "coming"


def test_a_dropped_one_and_an_unknown_one(phone: Phone, content: bytes) -> None:
    left_open(phone, content)
    phone.client.delete(phone.path)
    assert phone.client.post(f"{phone.path}/end-early").status_code == 410
    assert phone.client.post(f"/api/walks/{uuid4()}/end-early").status_code == 404


def test_another_technician_ends_nothing(phone: Phone, content: bytes, signed_in: SignedIn) -> None:
    left_open(phone, content)
    assert another(signed_in).post(f"{phone.path}/end-early").status_code == 404
    assert phone.look()["state"] == "coming"


def test_a_full_disk_leaves_it_open(app: FastAPI, phone: Phone, content: bytes) -> None:
    kept = left_open(phone, content)
    with full_disk():
        assert phone.client.post(f"{phone.path}/end-early").status_code in (503, 507)
    assert phone.look()["state"] == "coming"
    assert len(files(app)) == kept
    assert phone.client.post(f"{phone.path}/end-early").status_code == 200


def test_a_phone_that_comes_back_is_told_and_sends_it_whole(
    app: FastAPI, phone: Phone, content: bytes, said: Said
) -> None:
    kept = left_open(phone, content)
    phone.client.post(f"{phone.path}/end-early")
    assert worker(app).read_one()
    first = phone.look()["walkround"]
    assert phone.begin().status_code == 200
    answer = phone.put(kept, pieces(content)[kept])
    assert answer.status_code == 410
    assert f"with the first {kept} parts" in answer.json()["detail"]
    assert "Send all of it as a new walk" in answer.json()["remedy"]
    late = Phone(phone.client, on="2026-05-04", whole_of=phone.id)
    said.text = f"{TALK} The chain is dry."
    late.send(content)
    assert late.begin().status_code == 200
    assert worker(app).read_one()
    told = late.look()
    assert told["state"] == "read"
    assert told["walkround"] != first
    (note,) = [one for one in told["notes"] if "came before as a walk of its own" in one]
    assert first in note
    assert f"the first {kept} parts" in note
    assert phone.look()["notes"][-1] == "All of it has come since, as a walk of its own."


def test_all_of_it_may_come_while_its_beginning_is_being_read(
    app: FastAPI, phone: Phone, content: bytes
) -> None:
    left_open(phone, content)
    phone.client.post(f"{phone.path}/end-early")
    late = Phone(phone.client, whole_of=phone.id)
    late.begin()
    assert worker(app).read_one()
    assert phone.look()["state"] == "read"
    assert "All of it has come since, as a walk of its own." in phone.look()["notes"]


@pytest.mark.parametrize("state", ["coming", "dropped", "somebody else's", "unknown"])
def test_what_was_not_ended_early_is_no_beginning(
    phone: Phone, content: bytes, signed_in: SignedIn, state: str
) -> None:
    left_open(phone, content)
    if state == "dropped":
        phone.client.delete(phone.path)
    elif state != "coming":
        phone.client.post(f"{phone.path}/end-early")
    client = signed_in("reviewer") if state == "somebody else's" else phone.client
    late = Phone(client, whole_of=str(uuid4()) if state == "unknown" else phone.id)
    late.begin()
    assert not any("came before" in note for note in late.look()["notes"])
    assert not any("All of it" in note for note in phone.look()["notes"])


def test_when_the_last_part_came_is_told(app: FastAPI, phone: Phone, content: bytes) -> None:
    phone.begin()
    assert phone.look()["last_at"] is None
    phone.put(0, pieces(content)[0])
    folder = app.state.walks.incoming.parts.of(phone.id)
    os.utime(folder, (1_000_000_000, 1_000_000_000))
    assert datetime.fromisoformat(phone.look()["last_at"]).year == 2001
    before = datetime.now(UTC)
    phone.put(2, pieces(content)[2])
    assert (
        before < datetime.fromisoformat(phone.look()["last_at"]) <= datetime.now(UTC) + timedelta(seconds=2)
    )
