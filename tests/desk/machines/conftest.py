"""A desk with a rich record, made once and copied for each test."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from witnessmark.desk.app import create
from witnessmark.desk.machines import routes
from witnessmark.desk.settings import Settings

from .making import TODAY, fill


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    fill(create(Settings(record=folder / "shop.sqlite", jurisdiction="GB", live=False)))
    return folder


@pytest.fixture
def app(filled: Path, tmp_path: Path) -> FastAPI:
    shutil.copytree(filled, tmp_path / "rich")
    return create(Settings(record=tmp_path / "rich" / "shop.sqlite", jurisdiction="GB", live=False))


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    class Day(date):
        @classmethod
        def today(cls) -> date:
            return TODAY

    monkeypatch.setattr(routes, "date", Day)


@pytest.fixture
def reader(signed_in: Callable[[str], TestClient]) -> TestClient:
    """Somebody who may only look."""
    client = signed_in("reader")
    client.headers["Accept"] = "text/html"
    return client
