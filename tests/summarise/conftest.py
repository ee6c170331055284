"""A record with a reviewed walkround, for the commands that write papers."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.summarise.reviewed import TALK, store_of

SECOND = "Registration Kilo X-ray two one Whiskey Papa Tango. The horn does not work."


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """A record with one walkround, every item confirmed."""
    return store_of(tmp_path / "record.sqlite", TALK)
