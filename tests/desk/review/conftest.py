"""A walkround that waits."""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.conftest import SignedIn
from tests.desk.review.talk import take_in


@pytest.fixture
def id(app: FastAPI) -> str:
    return take_in(app)


@pytest.fixture
def ada(signed_in: SignedIn) -> TestClient:
    return signed_in("reviewer")


@pytest.fixture
def bo(signed_in: SignedIn) -> TestClient:
    """Somebody else who may decide."""
    return signed_in("administrator")
