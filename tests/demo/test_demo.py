"""``witnessmark demo`` end to end, from the sound, with the model that users have."""

from __future__ import annotations

from pathlib import Path

import pytest

from helpers_cli import Run
from witnessmark.cli.demo import scenes
from witnessmark.cli.demo_reviewer import WHO
from witnessmark.record import Store
from witnessmark.review import apply
from witnessmark.types import DecisionKind

pytestmark = pytest.mark.full
STAGES = ("capture", "transcribe", "extract", "assess", "queue", "review", "record")


def test_the_demo_makes_a_record_and_a_page_and_adds_nothing_twice(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    first = run("demo", "--folder", folder)
    assert first.status == 0
    assert all(f"\n  {stage} " in first.out for stage in STAGES)
    assert (folder / "KX21WPT-2026-05-21.html").read_text("utf-8").startswith("<!DOCTYPE html>")
    with Store.open(folder / "record.sqlite") as record:
        once = [record.walkround(row.id) for row in record.walkrounds()]
        visits = record.history("KX21 WPT").visits
        assert record.check() == []
    assert len(once) == len(visits) == len(scenes()) >= 3
    made = [decision for walkround in once for decision in walkround.decisions]
    assert {decision.who for decision in made} == {WHO}
    assert {DecisionKind.CONFIRM, DecisionKind.CORRECT, DecisionKind.REJECT} <= {d.kind for d in made}
    assert all(apply(walkround).complete for walkround in once)

    second = run("demo", "--folder", folder)
    assert second.status == 0
    assert second.out.count("was taken in before") == len(once)
    with Store.open(folder / "record.sqlite") as record:
        assert [record.walkround(row.id) for row in record.walkrounds()] == once
    assert len(list((folder / "record.sound").iterdir())) == len(once)
    assert len(list(folder.glob("*.html"))) == 1
