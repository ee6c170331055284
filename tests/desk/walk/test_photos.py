"""Photographs come with a recording and go to the record with it."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from fastapi import FastAPI
from httpx import Response
from tests.desk.conftest import SignedIn
from tests.desk.walk.sending import Phone, picture, tone
from tests.desk.walk.test_chunks import files
from tests.helpers_disk import full_disk

from witnessmark.desk.walk import photos


@pytest.fixture
def phone(signed_in: SignedIn) -> Phone:
    phone = Phone(signed_in("technician"))
    phone.begin()
    return phone


def put(phone: Phone, content: bytes, at: str = "?at=1.5", told: str | None = None) -> Response:
    sha256 = told or hashlib.sha256(content).hexdigest()
    return phone.client.put(f"{phone.path}/photos/{sha256}{at}", content=content)


def test_a_photograph_goes_with_its_recording_into_the_record(
    app: FastAPI, phone: Phone, tmp_path: Path
) -> None:
    early, late = picture("PNG"), picture("JPEG", 90)
    first = put(phone, early)
    assert first.status_code == 201
    assert first.json()["media_type"] == "image/png"
    assert first.json()["at"] == 1.5
    assert put(phone, early).status_code == 200
    sha256 = hashlib.sha256(early).hexdigest()
    assert phone.look()["photos"] == [sha256]
    phone.put(0, tone(tmp_path / "a.webm"))
    phone.end(1)
    assert app.state.walks.worker.read_one()
    told = phone.look()
    assert (told["state"], told["photos"]) == ("read", [])
    assert put(phone, late, "").status_code == 201
    assert put(phone, late, "").status_code == 200
    with app.state.desk.record() as store:
        kept = store.photos(told["walkround"])
    assert {(one.sha256, one.seconds, one.who) for one in kept} == {
        (sha256, 1.5, "Robin Technician"),
        (hashlib.sha256(late).hexdigest(), None, "Robin Technician"),
    }
    shown = phone.client.get(f"/api/walkrounds/{told['walkround']}/photos/{sha256}")
    assert shown.content == early
    assert shown.headers["Content-Type"] == "image/png"
    assert shown.headers["X-Content-Type-Options"] == "nosniff"
    assert files(app) == []


@pytest.mark.parametrize(
    "content",
    [
        b"MZ" + bytes(100), b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"", b"GIF89a" + bytes(20),
        b"\xff\xd8", b"%PDF-1.7",
    ],
)  # fmt: skip
def test_what_is_no_picture_is_refused(app: FastAPI, phone: Phone, content: bytes) -> None:
    answer = put(phone, content)
    assert answer.status_code == 415
    assert "JPEG" in answer.json()["remedy"]
    assert files(app) == []


def test_other_faults_are_told(app: FastAPI, phone: Phone) -> None:
    content = picture()
    assert put(phone, content, told="0" * 64).status_code == 422
    assert put(phone, content, told="x").status_code == 422
    for at in ("?at=-1", "?at=nan", "?at=inf", "?at=soon"):
        assert put(phone, content, at).status_code == 422
    assert put(phone, content + bytes(20_000)).status_code == 413
    with full_disk():
        assert put(phone, content + bytes(15_000)).status_code == 507
    assert files(app) == []
    phone.client.delete(phone.path)
    assert put(phone, content).status_code == 410


def test_pictures_without_end_are_refused(phone: Phone, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photos, "MOST", 2)
    assert [put(phone, picture(shade=n)).status_code for n in range(3)] == [201, 201, 409]


def test_a_picture_that_comes_while_the_record_takes_the_others_is_not_left_behind(
    app: FastAPI, phone: Phone, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    early, late = picture(), picture(shade=200)
    put(phone, early)
    phone.put(0, tone(tmp_path / "a.webm"))
    phone.end(1)
    plain, came = photos.hand_over, []

    def and_then_another(*arguments: object) -> None:
        plain(*arguments)
        if not came:
            came.append(put(phone, late).status_code)

    monkeypatch.setattr(photos, "hand_over", and_then_another)
    assert app.state.walks.worker.read_one()
    assert came == [201]
    with app.state.desk.record() as store:
        kept = store.photos(phone.look()["walkround"])
    assert {one.sha256 for one in kept} == {hashlib.sha256(one).hexdigest() for one in (early, late)}
