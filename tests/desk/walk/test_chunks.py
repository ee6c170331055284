"""Recordings come in piece by piece: in any order, twice, wrong, too large, on a full disk."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from tests.desk.conftest import SignedIn
from tests.desk.walk.sending import Phone, digest
from tests.helpers_disk import full_disk

from witnessmark.desk.walk import incoming


def files(app: FastAPI) -> list[str]:
    """Everything that lies in the folder of uploads, but for locks."""
    folder: Path = app.state.desk.settings.uploads
    names = [p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()]
    return sorted(name for name in names if not name.endswith(".lock"))


@pytest.fixture
def phone(signed_in: SignedIn) -> Phone:
    return Phone(signed_in("technician"))


def test_a_recording_begins_once(phone: Phone) -> None:
    first = phone.begin()
    assert first.status_code == 201
    assert first.headers["Location"] == phone.path
    again = phone.begin()
    assert again.status_code == 200
    assert again.json() == first.json()
    assert again.json()["state"] == "coming"
    assert again.json()["jurisdiction"] == "GB"
    phone.details["name"] = "tuesday"
    assert phone.begin().status_code == 409
    assert phone.look()["name"] == "monday"


def test_chunks_come_in_any_order_and_any_number_of_times(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    assert phone.put(2, b"three").status_code == 201
    assert (phone.look()["chunks"], phone.look()["missing"]) == (0, [0, 1])
    assert phone.put(0, b"one").status_code == 201
    assert phone.put(0, b"one").status_code == 200
    assert phone.put(1, b"two").status_code == 201
    told = phone.look()
    assert (told["chunks"], told["missing"], told["bytes"]) == (3, [], 11)
    ended = phone.end(3, hashlib.sha256(b"onetwothree").hexdigest())
    assert ended.status_code == 200
    assert ended.json()["state"] == "waiting"
    assert files(app) == [f"{phone.id}/whole/monday.webm"]
    assert (
        app.state.desk.settings.uploads / phone.id / "whole" / "monday.webm"
    ).read_bytes() == b"onetwothree"
    again = phone.end(3, hashlib.sha256(b"onetwothree").hexdigest())
    assert again.json() == ended.json()
    assert phone.put(0, b"one").status_code == 200
    assert phone.end(2).status_code == 409


def test_other_bytes_under_the_same_number_change_nothing(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    phone.put(0, b"one")
    answer = phone.put(0, b"another")
    assert answer.status_code == 409
    assert "stays" in answer.json()["detail"]
    assert (app.state.desk.settings.uploads / phone.id / "0.part").read_bytes() == b"one"
    assert files(app) == [f"{phone.id}/0.part"]


def test_a_wrong_hash_keeps_nothing(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    assert phone.put(0, b"one", digest(b"two")).status_code == 422
    assert phone.look()["bytes"] == 0
    assert files(app) == []
    phone.put(0, b"one")
    assert phone.put(0, b"one", digest(b"two")).status_code == 422


@pytest.mark.parametrize(
    "header",
    ["", "sha-256", "sha-256=abc", "sha-256=:AAAA:", "sha-512=:AAAA:", "=", "sha-256=:\u00e9:", "md5=:A:"],
)
def test_a_digest_that_cannot_be_read_is_told(phone: Phone, header: str) -> None:
    phone.begin()
    answer = phone.client.put(
        f"{phone.path}/chunks/0", content=b"x", headers={b"Content-Digest": header.encode("latin-1")}
    )
    assert answer.status_code == 400
    assert "sha-256=:" in answer.json()["remedy"]


def test_further_digests_do_not_disturb(phone: Phone) -> None:
    phone.begin()
    assert phone.put(0, b"one", f"sha-512=:AAAA:, {digest(b'one')}").status_code == 201


def test_the_end_waits_for_all_chunks(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    phone.put(0, b"one")
    phone.put(3, b"four")
    answer = phone.end(4)
    assert answer.status_code == 409
    assert answer.json()["missing"] == [1, 2]
    assert phone.end(3).json()["missing"] == [1, 2]
    phone.put(1, b"two")
    phone.put(2, b"three")
    few = phone.end(3)
    assert few.status_code == 409
    assert "number 3" in few.json()["detail"]
    assert phone.look()["state"] == "coming"
    assert phone.end(4).status_code == 200


def test_a_whole_of_another_hash_is_not_queued(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    phone.put(0, b"one")
    assert phone.end(1, "0" * 64).status_code == 422
    assert phone.look()["state"] == "coming"
    assert files(app) == [f"{phone.id}/0.part"]
    assert phone.end(1).status_code == 200


def test_after_the_end_nothing_more_comes(phone: Phone) -> None:
    phone.begin()
    phone.put(0, b"one")
    phone.end(1)
    answer = phone.put(1, b"two")
    assert answer.status_code == 410
    assert answer.json()["detail"].endswith("ended at the desk with the first part.")


def test_a_chunk_whose_file_is_lost_is_asked_for_again(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    phone.put(0, b"one")
    phone.put(1, b"two")
    (app.state.desk.settings.uploads / phone.id / "1.part").unlink()
    answer = phone.end(2)
    assert answer.status_code == 409
    assert answer.json()["missing"] == [1]
    assert phone.put(1, b"two").status_code == 201
    assert phone.end(2).status_code == 200


def test_nobody_sees_the_recordings_of_others(signed_in: SignedIn) -> None:
    mine = Phone(signed_in("technician"))
    mine.begin()
    mine.put(0, b"one")
    with_role = {role: Phone(signed_in(role)) for role in ("reviewer", "administrator")}
    other = Phone(mine.client)
    other.client = another(signed_in)
    other.id, other.details = mine.id, mine.details
    for answer in (
        other.client.get(mine.path), other.begin(), other.put(0, b"one"), other.put(1, b"x"), other.end(1),
        other.client.post(f"{mine.path}/again"), other.client.delete(mine.path),
        other.client.put(f"{mine.path}/photos/{'0' * 64}", content=b"x"),
    ):  # fmt: skip
        assert answer.status_code == 404
        assert answer.json()["detail"] == "there is no such recording."
    assert other.client.get("/api/walks").json() == []
    for phone in with_role.values():
        assert [one["id"] for one in phone.client.get("/api/walks").json()] == [mine.id]
        assert phone.client.get(mine.path).status_code == 200
    assert mine.look()["chunks"] == 1


def another(signed_in: SignedIn) -> Any:
    """A second technician."""
    from fastapi.testclient import TestClient
    from tests.desk.conftest import PASSWORD, key_of

    from witnessmark.desk.access import people
    from witnessmark.desk.access.people import Role

    app = signed_in("technician").app
    with app.state.desk.own.writing() as db:
        people.add(db, "Kim Second", Role.TECHNICIAN, PASSWORD)
    client = TestClient(app, base_url="http://localhost")
    client.post("/sign-in", data={"name": "Kim Second", "password": PASSWORD})
    client.headers["X-Form-Key"] = key_of(client)
    return client


def test_a_reader_records_nothing(signed_in: SignedIn) -> None:
    assert Phone(signed_in("reader")).begin().status_code == 403


def test_an_unknown_recording_is_told(phone: Phone) -> None:
    assert phone.put(0, b"x").status_code == 404
    assert phone.end(1).status_code == 404
    assert phone.client.get(phone.path).status_code == 404
    assert phone.client.delete(phone.path).status_code == 404


def test_own_recordings_come_newest_first(signed_in: SignedIn) -> None:
    client = signed_in("technician")
    phones = [Phone(client) for _ in range(3)]
    for phone in phones:
        phone.begin()
    listed = [one["id"] for one in client.get("/api/walks").json()]
    assert listed == [phone.id for phone in reversed(phones)]


@pytest.mark.parametrize(("country", "noted"), [("GB", False), ("us-md", False), ("ZZ", True)])
def test_a_country_without_limits_is_told(signed_in: SignedIn, country: str, noted: bool) -> None:
    phone = Phone(signed_in("technician"), jurisdiction=country)
    phone.details["started_at"] = datetime.now(UTC).isoformat()
    phone.begin()
    assert phone.look()["notes"] == ([f"No limits are known for {country}."] if noted else [])


def test_too_many_that_never_end_are_refused(signed_in: SignedIn, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(incoming, "MOST_COMING", 2)
    client = signed_in("technician")
    phones = [Phone(client) for _ in range(3)]
    assert [phone.begin().status_code for phone in phones] == [201, 201, 429]
    assert phones[0].begin().status_code == 200
    client.delete(phones[0].path)
    assert phones[2].begin().status_code == 201


class Endless:
    """A body that is generated as it is sent, and counts how far anybody read."""

    def __init__(self, size: int) -> None:
        self.size, self.given = size, 0

    def __iter__(self) -> Any:
        block = bytes(50_000)
        while self.given < self.size:
            self.given += len(block)
            yield block


def test_a_large_body_is_refused_before_it_is_read(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    headers = {"Content-Digest": digest(b""), "Content-Length": str(2 << 30)}
    answer = phone.client.put(f"{phone.path}/chunks/0", content=b"", headers=headers)
    assert answer.status_code == 413
    body = Endless(2 << 30)
    answer = phone.client.put(
        f"{phone.path}/chunks/0", content=iter(body), headers={"Content-Digest": digest(b"")}
    )
    assert answer.status_code == 413
    assert files(app) == []


def test_a_recording_may_not_grow_too_large(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    for number in range(4):
        assert phone.put(number, bytes(99_000)).status_code == 201
    answer = phone.put(4, bytes(5_000))
    assert answer.status_code == 413
    assert "4,000 bytes" in answer.json()["detail"]
    assert phone.put(4, bytes(4_000)).status_code == 201
    assert len(files(app)) == 5


@pytest.mark.parametrize("kind", ["application/x-www-form-urlencoded", "multipart/form-data; boundary=x"])
def test_a_form_is_no_recording(phone: Phone, kind: str) -> None:
    phone.begin()
    answer = phone.client.put(
        f"{phone.path}/chunks/0",
        content=b"a=b",
        headers={"Content-Type": kind, "Content-Digest": digest(b"a=b")},
    )
    assert answer.status_code == 415


def test_a_full_disk_keeps_nothing_by_halves(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    phone.put(0, bytes(50_000))
    before = files(app)
    with full_disk():
        answer = phone.put(1, bytes(50_000))
    assert answer.status_code == 507, answer.text
    assert "nothing of this was kept" in answer.json()["detail"]
    with full_disk():
        ended = phone.end(1)
    assert ended.status_code == 507, ended.text
    assert files(app) == before
    assert phone.look()["state"] == "coming"
    assert phone.put(1, bytes(50_000)).status_code == 201
    assert phone.end(2).status_code == 200


def test_bytes_that_the_journal_could_not_note_do_not_stay(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    with full_disk():
        answer = phone.put(0, b"small enough for the file, not for the journal")
    assert answer.status_code in (503, 507)
    assert files(app) == []
    assert phone.put(0, b"other").status_code == 201


def test_an_end_that_the_journal_could_not_note_leaves_the_chunks(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    phone.put(0, b"one")
    with full_disk():
        assert phone.end(1).status_code in (503, 507)
    assert files(app) == [f"{phone.id}/0.part"]
    assert phone.end(1).status_code == 200


@pytest.mark.parametrize(
    "kind", ["text/html", "application/x-msdownload", "audio/x-mpegurl", "image/svg+xml", "x"]
)
def test_what_is_no_recording_by_its_own_word_is_refused(signed_in: SignedIn, kind: str) -> None:
    answer = Phone(signed_in("technician"), media_type=kind, name="walk.exe").begin()
    assert answer.status_code == 415
    assert "wav" in answer.json()["remedy"]


def test_a_name_never_leaves_its_folder(app: FastAPI, signed_in: SignedIn) -> None:
    for name in (
        "../../etc/passwd",
        "..",
        "a/b\\c.webm",
        ".hidden",
        "x" * 200,
        "",
        "Überholt 3 (2).webm",
        "CON",
    ):
        phone = Phone(signed_in("technician"), name=name)
        assert phone.begin().status_code == 201
        phone.put(0, name.encode() + b"1")
        assert phone.end(1).status_code == 200
        (whole,) = (app.state.desk.settings.uploads / phone.id / "whole").iterdir()
        assert whole.suffix == ".webm"
        assert not whole.name.startswith(".")


def test_dropping_takes_the_bytes_and_cannot_be_undone(app: FastAPI, phone: Phone) -> None:
    phone.begin()
    phone.put(0, b"one")
    answer = phone.client.delete(phone.path)
    assert answer.json()["state"] == "dropped"
    assert phone.client.delete(phone.path).status_code == 200
    assert files(app) == []
    assert phone.put(0, b"one").status_code == 410
    assert phone.end(1).status_code == 410
    assert phone.client.get("/api/walks").json() == []
