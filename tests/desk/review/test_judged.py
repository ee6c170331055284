"""What would be judged is shown before a correction is sent, and keeps nothing."""

from __future__ import annotations

from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.review.talk import FIRST, decide, item, outcome

TREAD = FIRST[0]


def judged(client: TestClient, id: str, key: str, becomes: dict[str, Any], **more: Any) -> Any:
    return client.post(f"/api/walkrounds/{id}/judged", json={"item": key, "becomes": becomes, **more})


def test_a_value_is_judged_before_it_is_kept(app: FastAPI, ada: TestClient, id: str) -> None:
    answer = judged(ada, id, TREAD, {**item(ada, id, TREAD)["entry"], "value": 1.8})
    assert answer.status_code == 200
    body = answer.json()
    assert body["says"] == "front tyre: tread depth 1.8 mm"
    assert body["changes"] == [{"field": "value", "before": "0.8 mm", "after": "1.8 mm"}]
    assert body["verdicts"][0]["grade"] != "dangerous"
    assert outcome(app, id).walkround.decisions == ()
    # what it foretold is what is judged once it is kept
    kept = decide(ada, id, TREAD, "correct", becomes={**item(ada, id, TREAD)["entry"], "value": 1.8}).json()
    assert kept["item"]["verdicts"] == body["verdicts"]


def test_another_machine_may_judge_other_items_otherwise(ada: TestClient, id: str) -> None:
    other = {"registration": "AB12CDE", "vin": None, "odometer": {"value": 11000, "unit": "mi"}}
    body = judged(ada, id, "machine", other).json()
    changed = {one["key"]: (one["before"], one["after"]) for one in body["others"]}
    assert changed, "the card of the first machine no longer applies"
    decide(ada, id, "machine", "correct", becomes=other)
    for key, (_, after) in changed.items():
        assert item(ada, id, key)["word"] == after


def test_a_new_item_is_judged_too(ada: TestClient, id: str) -> None:
    new = {"component": "brake_hose", "end": "front", "condition": "leak", "state": "present"}
    body = judged(ada, id, "added-1", new).json()
    assert body["verdicts"][0]["grade"] == "major"
    assert body["changes"] == []


def test_a_grade_of_ones_own_is_shown_beside_that_of_the_rules(ada: TestClient, id: str) -> None:
    entry = item(ada, id, TREAD)["entry"]
    assert judged(ada, id, TREAD, entry, grade="minor").status_code == 422
    body = judged(ada, id, TREAD, entry, grade="minor", why="the tyre comes off today").json()
    assert [one["grade"] for one in body["verdicts"]] == ["minor", "dangerous"]


def test_what_does_not_fit_is_said(ada: TestClient, id: str) -> None:
    answer = judged(ada, id, TREAD, {**item(ada, id, TREAD)["entry"], "unit": "psi"})
    assert answer.status_code == 422
    assert "cannot be measured in psi" in answer.json()["detail"]


@pytest.mark.parametrize("value", [321, -1e9, 1.7e308])
def test_a_figure_that_nobody_can_have_measured_is_refused(
    app: FastAPI, ada: TestClient, id: str, value: float
) -> None:
    becomes = {**item(ada, id, TREAD)["entry"], "value": value}
    for answer in (judged(ada, id, TREAD, becomes), decide(ada, id, TREAD, "correct", becomes=becomes)):
        assert answer.status_code == 422
        assert "cannot be" in answer.text or "too large" in answer.text
    with app.state.desk.record() as store:
        assert store.walkround(id).decisions == ()
