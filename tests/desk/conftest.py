"""A desk in a folder of its own, and people signed in at it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role
from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings

PASSWORD = "seven brass washers"
SignedIn = Callable[[str], TestClient]


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    return create(Settings(record=tmp_path / "shop.sqlite", jurisdiction="GB", live=False))


@pytest.fixture
def signed_in(app: FastAPI) -> SignedIn:
    """A client with somebody of that role signed in, its form key in every request."""

    def make(role: str) -> TestClient:
        name = f"Robin {role.title()}"
        with app.state.desk.own.writing() as db:
            if not db.execute("SELECT 1 FROM people WHERE name = ?", [name]).fetchone():
                people.add(db, name, Role(role), PASSWORD)
        client = TestClient(app, base_url="http://localhost")
        answer = client.post("/sign-in", data={"name": name, "password": PASSWORD}, follow_redirects=False)
        assert answer.status_code == 303
        client.headers["X-Form-Key"] = key_of(client)
        return client

    return make


def key_of(client: TestClient) -> str:
    """The form key as the page's head carries it."""
    page = client.get("/sign-in").text
    return page.partition('name="form-key" content="')[2].partition('"')[0]
