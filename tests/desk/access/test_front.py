"""Names, origins, sizes and headers, before anything else is looked at."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.conftest import SignedIn

from witnessmark.desk.app import create
from witnessmark.desk.front import LARGEST_FORM
from witnessmark.desk.settings import Settings


@pytest.fixture
def client(app: FastAPI) -> TestClient:
    return TestClient(app, base_url="http://localhost")


@pytest.mark.parametrize("host", ["localhost", "localhost:8700", "127.0.0.1:1", "[::1]:8700", "LOCALHOST."])
def test_it_answers_to_its_own_names(client: TestClient, host: str) -> None:
    assert client.get("/sign-in", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "192.0.2.1", "[", "", "a b", "localhost@evil.example"]
)
def test_it_answers_to_no_other_name(client: TestClient, host: str) -> None:
    answer = client.get("/sign-in", headers={"Host": host})
    assert answer.status_code == 400
    assert "not known by that name" in answer.json()["detail"]


def test_a_person_is_told_so_on_a_page(client: TestClient) -> None:
    answer = client.get("/", headers={"Host": "evil.example", "Accept": "text/html"})
    assert answer.status_code == 400
    assert "This desk is not known by that name." in answer.text


def test_it_answers_to_the_names_it_was_given(tmp_path: Path) -> None:
    settings = Settings(record=tmp_path / "a.sqlite", host="0.0.0.0", names=("desk.workshop.internal",))
    client = TestClient(create(settings))
    assert client.get("/sign-in", headers={"Host": "Desk.Workshop.Internal:8700"}).status_code == 200
    for wrong in ("workshop.internal", "0.0.0.0", ""):
        assert client.get("/sign-in", headers={"Host": wrong}).status_code == 400


def test_it_answers_to_the_address_a_request_came_in_at(app: FastAPI) -> None:
    client = TestClient(app, base_url="http://192.0.2.7")
    assert client.get("/sign-in").status_code == 200
    assert client.get("/sign-in", headers={"Host": "192.0.2.8"}).status_code == 400


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://localhost:9999"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_another_sites_page_changes_nothing(signed_in: SignedIn, headers: dict[str, str]) -> None:
    client = signed_in("administrator")
    refused = client.post("/people/links", data={"role": "reader"}, headers=headers)
    assert refused.status_code == 403
    assert "another site" in refused.json()["detail"]
    assert client.get("/people", headers=headers).status_code == 200


def test_the_desks_own_page_does(signed_in: SignedIn) -> None:
    own = {"Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"}
    assert (
        signed_in("administrator").post("/people/links", data={"role": "reader"}, headers=own).status_code
        == 201
    )


def test_a_large_form_is_refused_before_it_is_read(client: TestClient) -> None:
    answer = client.post("/sign-in", data={"name": "x" * LARGEST_FORM, "password": "y"})
    assert answer.status_code == 413
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_a_large_form_of_untold_length_is_refused(client: TestClient) -> None:
    def parts() -> Iterator[bytes]:
        yield b"name="
        for _ in range(LARGEST_FORM // 1024 + 1):
            yield b"x" * 1024

    kind = {"Content-Type": "application/x-www-form-urlencoded"}
    answer = client.post("/sign-in", content=parts(), headers=kind)
    assert answer.status_code == 413


@pytest.mark.parametrize("path", ["/sign-in", "/static/desk.css", "/api/links", "/nowhere"])
def test_every_answer_has_the_headers(client: TestClient, path: str) -> None:
    headers = client.get(path).headers
    assert "default-src 'self'" in headers["Content-Security-Policy"]
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] in ("no-store", "no-cache")
    assert "Strict-Transport-Security" not in headers


def test_encryption_is_kept_to_but_for_this_computer(tmp_path: Path) -> None:
    settings = Settings(record=tmp_path / "a.sqlite", certificate=tmp_path / "c", names=("desk.internal",))
    app = create(settings)
    there = TestClient(app, base_url="https://desk.internal").get("/sign-in")
    assert there.headers["Strict-Transport-Security"].startswith("max-age=")
    here = TestClient(app, base_url="https://localhost").get("/sign-in")
    assert "Strict-Transport-Security" not in here.headers


@pytest.mark.parametrize(
    ("accept", "kind"), [("text/html", "text/html"), ("*/*", "application/problem+json")]
)
def test_a_fault_of_the_program_is_told_without_its_insides(app: FastAPI, accept: str, kind: str) -> None:
    @app.get("/fault")
    def fault() -> None:
        raise RuntimeError("insides")

    client = TestClient(app, base_url="http://localhost", raise_server_exceptions=False)
    answer = client.get("/fault", headers={"Accept": accept})
    assert answer.status_code == 500
    assert answer.headers["Content-Type"].startswith(kind)
    assert "Content-Security-Policy" in answer.headers
    assert "failed at this" in answer.text
    assert "insides" not in answer.text
