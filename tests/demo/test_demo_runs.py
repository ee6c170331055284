"""``witnessmark demo`` with the smallest model: the whole way, every day."""

from __future__ import annotations

from pathlib import Path

import pytest

from helpers_cli import Run

pytestmark = pytest.mark.speech


def test_the_demo_goes_through_to_the_page(run: Run, tmp_path: Path) -> None:
    done = run("demo", "--folder", tmp_path, "--model", "tiny.en")
    assert done.status == 0
    (page,) = tmp_path.glob("*.html")
    assert page.read_text("utf-8").startswith("<!DOCTYPE html>")
