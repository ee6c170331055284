"""A desk for the walk page: it reads nothing until it may."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from tests.desk.browser.conftest import OVER_HTTP
from tests.desk.browser.walk.walking import patient_desk


@pytest.fixture
def app(tmp_path: Path) -> Iterator[FastAPI]:
    app = patient_desk(tmp_path, names=(OVER_HTTP,))
    yield app
    app.state.speech.may.set()
