"""A clock that can be set, and people made without pages."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.conftest import PASSWORD

from witnessmark.desk.access import people, secret, waits
from witnessmark.desk.access.people import Person, Role
from witnessmark.desk.own import Own

Later = Callable[..., None]


@pytest.fixture
def own(app: FastAPI) -> Own:
    return app.state.desk.own


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> Later:
    """Sets the server's clock so much ahead (or back)."""
    real: Callable[[], datetime] = secret.now
    seconds: Callable[[], float] = waits.now

    def ahead(**by: float) -> None:
        monkeypatch.setattr(secret, "now", lambda: real() + timedelta(**by))
        monkeypatch.setattr(waits, "now", lambda: seconds() + timedelta(**by).total_seconds())

    return ahead


@pytest.fixture
def ada(own: Own) -> Person:
    """An administrator."""
    with own.writing() as db:
        return people.add(db, "Ada Foreman", Role.ADMINISTRATOR, PASSWORD)


@pytest.fixture
def stranger(app: FastAPI) -> TestClient:
    """Nobody signed in."""
    return TestClient(app, base_url="http://localhost", follow_redirects=False)
