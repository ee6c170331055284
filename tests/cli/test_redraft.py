"""``witnessmark store redraft`` shows what would be read otherwise, and touches nothing decided."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from helpers_cli import Run
from witnessmark.record import Keeping, Store
from witnessmark.review import apply
from witnessmark.types import Decision, DecisionKind, Reading, Walkround

from .conftest import walkround


def as_it_was_read() -> Walkround:
    """The talk as a program with fewer words would have drafted it: no horn, and another figure."""
    now = walkround()
    findings = []
    for item in now.draft.findings:
        if item.component == "horn":
            continue
        if isinstance(item, Reading) and item.component == "brake_pads":
            item = item.model_copy(update={"value": 5.0})
        findings.append(item)
    draft = now.draft.model_copy(update={"findings": tuple(findings)})
    return now.model_copy(update={"assessment": now.assessment.model_copy(update={"draft": draft})})


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "record.sqlite"
    with Store.open(path) as record:
        record.ingest(as_it_was_read())
    return path


def decide(path: Path, item: str) -> None:
    with Store.open(path) as record:
        now = record.walkround("latest")
        made = Decision(
            walkround=now.id, item=item, kind=DecisionKind.CONFIRM, who="Ada", when=datetime.now(UTC)
        )
        record.decide(made, apply(now, [made]))


PADS = "brake_pads.rear.thickness"


def test_what_would_change_is_shown_and_nothing_is_replaced(run: Run, old: Path) -> None:
    ran = run("store", "redraft", "--store", old, "--who", "Ben")
    assert ran.status == 0
    assert "horn.sound: not read → " in ran.out
    assert f"{PADS}: " in ran.out
    assert ran.out.endswith("1 of 1 walkrounds are read otherwise.\n")
    with Store.open(old) as record:
        assert record.walkround("latest") == as_it_was_read()


def test_replaced_drafts_are_those_of_today_and_stand_in_the_trail(run: Run, old: Path) -> None:
    run("store", "redraft", "--store", old, "--who", "Ben", "--replace")
    with Store.open(old) as record:
        assert record.walkround("latest").assessment == walkround().assessment
        assert record.check() == []
        assert [found.item for found in record.search("horn")] == ["horn.sound"]
    decide(old, "horn.sound")
    assert json.loads(run("store", "redraft", "--store", old, "--who", "Ben", "--json").out) == []
    assert run("store", "check", "--store", old).status == 0


def test_what_was_decided_stays_as_it_was(run: Run, old: Path) -> None:
    decide(old, PADS)
    before = _of(old)
    (told,) = json.loads(run("store", "redraft", "--store", old, "--who", "Ben", "--replace", "--json").out)
    assert {one["item"]: one["decided"] for one in told["changes"]} == {PADS: True, "horn.sound": False}
    assert _of(old) == before
    with Store.open(old) as record:
        now = record.walkround("latest")
        assert [item.value for item in now.draft.findings if item.key == PADS] == [5.0]
        assert "horn.sound" in {item.key for item in now.draft.findings}
        assert record.check() == []


def _of(path: Path) -> object:
    with Store.open(path) as record, record.reading() as db:
        return db.execute("SELECT * FROM confirmed_readings").fetchall()


def test_the_record_itself_refuses_a_change_of_what_was_decided(old: Path) -> None:
    decide(old, PADS)
    with Store.open(old) as record:
        now = record.walkround("latest")
        with pytest.raises(ValueError, match="was decided on and would change"):
            Keeping(record, "Ben").redraft(now.id, walkround().assessment)
        other = now.draft.model_copy(update={"text": "another talk"})
        with pytest.raises(ValueError, match="another talk"):
            Keeping(record, "Ben").redraft(now.id, now.assessment.model_copy(update={"draft": other}))
        assert record.walkround("latest") == now
