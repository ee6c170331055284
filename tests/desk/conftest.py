"""A desk in a folder of its own, and people signed in at it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from fastapi import FastAPI
from fastapi.testclient import TestClient

from witnessmark.desk.access import passwords, people
from witnessmark.desk.access.people import Role
from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings

PASSWORD = "seven brass washers"
SignedIn = Callable[[str], TestClient]
_QUICK = PasswordHasher.from_parameters(CHEAPEST)


@pytest.fixture(autouse=True)
def quick_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashes as slow as they have to be are for people; ``access/test_passwords.py`` looks at those."""
    monkeypatch.setattr(passwords, "_hasher", lambda: _QUICK)


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
