"""Programs send whole recordings; and the machine that was chosen is never more than a proposal."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from markupsafe import escape
from tests.desk.conftest import SignedIn
from tests.desk.walk.conftest import TALK, Said
from tests.desk.walk.making import take_in_text
from tests.desk.walk.sending import Phone, digest, tone
from tests.desk.walk.test_chunks import files
from tests.helpers_disk import full_disk

from witnessmark.errors import StoreError


@pytest.fixture
def client(signed_in: SignedIn) -> TestClient:
    return signed_in("technician")


def send(client: TestClient, content: bytes, query: str = "name=monday.webm", **headers: str) -> Any:
    return client.post(f"/api/recordings?{query}", content=content, headers=headers)


def test_a_whole_recording_is_queued_and_read(app: FastAPI, client: TestClient, tmp_path: Path) -> None:
    content = tone(tmp_path / "a.webm")
    answer = send(
        client,
        content,
        "name=monday.webm&jurisdiction=us-md&on=2026-05-02",
        **{"Content-Digest": digest(content)},
    )
    assert answer.status_code == 201
    told = client.get(answer.headers["Location"]).json()
    assert told == answer.json()
    assert (told["state"], told["jurisdiction"], told["on"]) == ("waiting", "US-MD", "2026-05-02")
    assert app.state.walks.worker.read_one()
    with app.state.desk.record() as store:
        walkround = store.walkround(client.get(answer.headers["Location"]).json()["walkround"])
    assert walkround.on == date(2026, 5, 2)
    assert walkround.draft.jurisdiction == "US-MD"
    assert files(app) == []


@pytest.mark.parametrize(
    ("name", "kind"), [("a", "audio/ogg"), ("a.opus", ""), ("A.OPUS", "application/octet-stream")]
)
def test_its_kind_is_told_by_type_or_by_name(
    client: TestClient, tmp_path: Path, name: str, kind: str
) -> None:
    content = tone(tmp_path / "a.ogg", 1)
    assert send(client, content, f"name={name}", **{"Content-Type": kind}).status_code == 201


def test_faults_are_told_and_nothing_stays(app: FastAPI, client: TestClient, tmp_path: Path) -> None:
    content = tone(tmp_path / "a.webm", 1)
    assert send(client, content, "name=walk.exe").status_code == 415
    assert send(client, content, "").status_code == 422
    assert send(client, content, "name=a.webm&on=soon").status_code == 422
    assert send(client, content, "name=a.webm&on=2999-01-01").status_code == 422
    assert send(client, content, "name=a.webm&jurisdiction=Atlantis").status_code == 422
    assert send(client, b"").status_code == 422
    odd = client.post("/api/recordings?name=a.exe", content=content, headers={b"Content-Type": b"\xe9; \xe9"})
    assert odd.status_code == 415
    assert send(client, content, **{"Content-Digest": digest(b"")}).status_code == 422
    assert send(client, bytes(400_001)).status_code == 413
    assert send(client, b"", **{"Content-Length": str(2 << 30)}).status_code == 413
    with full_disk():
        assert send(client, content).status_code == 507
    assert files(app) == []
    assert client.get("/api/walks").json() == []


def test_a_recording_larger_than_a_chunk_may_be(app: FastAPI, client: TestClient) -> None:
    assert send(client, bytes(350_000)).status_code == 201


def test_a_program_that_got_no_answer_leaves_nothing_behind(
    app: FastAPI, client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*arguments: object) -> None:
        raise StoreError("the desk's own file cannot be used", None, None)

    monkeypatch.setattr(app.state.walks.ending, "end", fails)
    assert send(client, tone(tmp_path / "a.webm", 1)).status_code == 503
    assert files(app) == []
    assert client.get("/api/walks").json() == []


Begin = Callable[[str | None, str], Any]


@pytest.fixture
def beginning(app: FastAPI, client: TestClient, said: Said, tmp_path: Path) -> Begin:
    """How the API tells of a talk before which a machine was chosen."""

    def begin(chosen: str | None, text: str) -> Any:
        said.text = text
        phone = Phone(client, machine=chosen)
        phone.send(tone(tmp_path / "a.webm", 1))
        assert app.state.walks.worker.read_one()
        return client.get(f"/api/walkrounds/{phone.look()['walkround']}/beginning").json()

    return begin


def test_a_chosen_machine_is_proposed_with_its_doubt(app: FastAPI, beginning: Begin) -> None:
    found = beginning("AB12 CDE", TALK)
    assert found["machine"] == "AB12 CDE"
    assert found["who"] == "Robin Technician"
    assert found["proposal"]["registration"] == "AB12 CDE"
    assert [doubt["kind"] for doubt in found["proposal"]["doubts"]] == ["chosen_at_start"]
    with app.state.desk.record() as store:
        (row,) = store.walkrounds()
        walkround = store.walkround(row.id)
    assert walkround.draft.machine.registration is None
    assert (row.registration, row.identity_confirmed) == (None, False)


def test_the_reviewer_is_told_of_a_chosen_machine(client: TestClient, beginning: Begin) -> None:
    told = beginning("AB12 CDE", TALK)
    (walk,) = client.get("/api/walks").json()
    path = f"/api/walkrounds/{walk['walkround']}"
    for view in (client.get(path).json(), client.get(f"{path}/live?after=1").json()):
        (machine,) = (item for item in view["items"] if item["key"] == "machine")
        assert machine["doubts"][0] == "AB12 CDE was chosen at the start; the talk names no machine."
        assert machine["entry"]["registration"] is None
    page = client.get(f"/review/{walk['walkround']}", headers={"Accept": "text/html"}).text
    (note,) = told["notes"]
    assert f"<li>{escape(note)}</li>" in page


def test_a_chosen_vin_is_proposed_as_one(beginning: Begin) -> None:
    found = beginning("1M8GDM9AXKP042788", TALK)
    assert found["proposal"]["vin"] == "1M8GDM9AXKP042788"
    assert found["proposal"]["registration"] is None


def test_a_machine_that_is_said_counts(beginning: Begin) -> None:
    text = f"This is registration AB12 CDE. {TALK}"
    same = beginning("ab12cde", text)
    assert (same["proposal"], same["doubt"]) == (None, None)


def test_another_machine_than_was_chosen_is_doubted(beginning: Begin) -> None:
    text = f"This is registration AB12 CDE. {TALK}"
    other = beginning("XY99 ZZZ", text)
    assert other["proposal"] is None
    assert other["doubt"].replace(" ", "") == "XY99ZZZwaschosenatthestart;thetalknamesAB12CDE."


def test_nothing_chosen_proposes_nothing(beginning: Begin) -> None:
    found = beginning(None, TALK)
    assert (found["machine"], found["proposal"], found["doubt"]) == (None, None, None)


def test_a_walkround_from_elsewhere_has_no_beginning_here(app: FastAPI, client: TestClient) -> None:
    made = take_in_text(app, TALK, date(2026, 5, 4), "GB")
    assert client.get(f"/api/walkrounds/{made}/beginning").status_code == 404
    assert client.get("/api/walkrounds/w-0/beginning").status_code == 404
