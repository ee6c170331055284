"""A walkround that was erased is gone, and every way to it says so."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.conftest import SignedIn
from tests.desk.machines.making import LARKSPUR, visit
from tests.desk.review.talk import item
from tests.desk.walk.conftest import Said
from tests.desk.walk.sending import Phone, picture, tone

from witnessmark.record.keeping import Keeping

TALK = f"{LARKSPUR} Front tyre tread is four millimetres. The chain is dry."


def erase(app: FastAPI, walkround: str) -> None:
    with app.state.desk.record() as store:
        Keeping(store, "Ada Foreman", "the owner asked").erase(walkround)


@pytest.fixture
def gone(app: FastAPI) -> str:
    """The id of one that is confirmed, and erased."""
    return visit(app, date(2026, 5, 4), TALK)


WAYS = (
    ("GET", "/review/{id}"),
    ("GET", "/summary/{id}"),
    ("GET", "/api/walkrounds/{id}"),
    ("GET", "/api/walkrounds/{id}/live"),
    ("GET", "/api/walkrounds/{id}/clip?start=0&end=1"),
    ("GET", "/api/walkrounds/{id}/earlier?item=machine"),
    ("GET", "/api/walkrounds/{id}/beginning"),
    ("GET", f"/api/walkrounds/{{id}}/photos/{'0' * 64}"),
    ("POST", "/api/walkrounds/{id}/decisions"),
    ("POST", "/api/walkrounds/{id}/judged"),
    ("POST", "/api/walkrounds/{id}/links"),
)
BODIES = {
    "decisions": {"item": "machine", "kind": "confirm", "seen": 0},
    "judged": {"item": "machine"},
    "links": {},
}


@pytest.mark.parametrize(("method", "way"), WAYS)
def test_every_way_to_it_says_that_it_is_gone(
    app: FastAPI, gone: str, signed_in: SignedIn, method: str, way: str
) -> None:
    reviewer, body = signed_in("reviewer"), BODIES.get(way.rpartition("/")[2])
    if way.endswith("judged"):
        body = body | {"becomes": item(reviewer, gone, "machine")["entry"]}
    path = way.format(id=gone)
    before = reviewer.request(method, path, json=body).status_code
    assert before not in (410, 422, 500, 503)
    erase(app, gone)
    answer = reviewer.request(method, path, json=body)
    assert answer.status_code == 410
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert "was erased on" in answer.json()["detail"]
    assert answer.json()["remedy"]


@pytest.mark.parametrize("path", ["/review/{id}", "/summary/{id}"])
def test_a_person_gets_a_page(app: FastAPI, gone: str, signed_in: SignedIn, path: str) -> None:
    erase(app, gone)
    page = signed_in("reader").get(path.format(id=gone), headers={"Accept": "text/html"})
    assert page.status_code == 410
    assert "This walkround was erased on" in page.text
    assert "Back to the workshop" in page.text


def test_the_owners_link_says_so_and_no_more(app: FastAPI, gone: str, signed_in: SignedIn) -> None:
    reviewer = signed_in("reviewer")
    url = reviewer.post(f"/api/walkrounds/{gone}/links", json={}).json()["url"]
    stranger = TestClient(app, base_url="http://localhost")
    assert stranger.get(url).status_code == 200
    erase(app, gone)
    page = stranger.get(url)
    assert page.status_code == 410
    assert "erased what it kept of that inspection" in page.text
    assert gone not in page.text
    assert page.headers["X-Robots-Tag"] == "noindex, nofollow"
    listed = reviewer.get("/links").text
    assert "erased; the link shows nothing" in listed


def test_its_machine_is_no_longer_known(app: FastAPI, gone: str, signed_in: SignedIn) -> None:
    reader = signed_in("reader")
    assert reader.get("/api/machines/KX21WPT").status_code == 200
    erase(app, "KX21 WPT")
    assert reader.get("/api/machines/KX21WPT").status_code == 404
    for path in ("/", "/machines", "/review", "/search?q=chain"):
        page = reader.get(path)
        assert page.status_code == 200
        assert gone not in page.text


@pytest.fixture
def with_a_walk(app: FastAPI, tmp_path: Path, signed_in: SignedIn) -> Phone:
    phone = Phone(signed_in("technician"))
    phone.send(tone(tmp_path / "tone.webm"))
    app.state.walks.worker._transcriber = Said(TALK)
    assert app.state.walks.worker.read_one()
    return phone


def test_a_picture_that_comes_late_is_told(app: FastAPI, with_a_walk: Phone) -> None:
    content, walkround = picture(), with_a_walk.look()["walkround"]
    erase(app, walkround)
    path = f"{with_a_walk.path}/photos/{hashlib.sha256(content).hexdigest()}"
    answer = with_a_walk.client.put(path, content=content, headers={"Content-Type": "image/png"})
    assert answer.status_code == 410
    assert "was erased on" in answer.json()["detail"]
    assert with_a_walk.look()["state"] == "read"
