"""Decisions through the API: each kind, who may, and two people at once."""

from __future__ import annotations

import json
import threading
from datetime import datetime, timedelta, tzinfo
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.conftest import SignedIn
from tests.desk.review.talk import (
    FIRST,
    TALK,
    decide,
    item,
    outcome,
    read_anew,
    record_is_sound,
    take_in,
    view,
)

from witnessmark.desk.review import deciding
from witnessmark.errors import StoreError
from witnessmark.record import Store
from witnessmark.types import Finding, Reading

TREAD = FIRST[0]


def confirmed(app: FastAPI, id: str) -> dict[str, Any]:
    return {one.item.key: one.item for one in outcome(app, id).confirmed if not hasattr(one.item, "vin")}


def test_a_confirmed_item_is_in_the_record_under_the_name_of_who_decided(
    app: FastAPI, ada: TestClient, id: str
) -> None:
    answer = decide(ada, id, TREAD)
    assert answer.status_code == 201
    body = answer.json()
    assert (body["item"]["standing"], body["item"]["seen"], body["count"]) == ("confirmed", 1, 1)
    assert TREAD not in body["queue"]
    (entered,) = outcome(app, id).confirmed
    assert (entered.item.key, entered.decision.who) == (TREAD, "Robin Reviewer")
    assert record_is_sound(app)


def test_a_correction_keeps_its_words_and_is_judged_anew(app: FastAPI, ada: TestClient, id: str) -> None:
    tread = item(ada, id, TREAD)
    wanted = {**tread["entry"], "value": 2.8, "evidence": [], "why": ["made up"], "confidence": 0.1}
    body = decide(ada, id, TREAD, "correct", becomes=wanted, why="gauge read again").json()
    kept = confirmed(app, id)[TREAD]
    assert isinstance(kept, Reading)
    assert (kept.value, kept.unit, kept.why, kept.doubts) == (2.8, "mm", (), ())
    assert kept.evidence[0].text == "Front tyre tread is nought point eight millimetres"
    assert body["item"]["grade"] == "sound"
    (line,) = body["item"]["trail"]
    assert line["changes"] == [{"field": "value", "before": "0.8 mm", "after": "2.8 mm"}]
    assert line["why"] == "gauge read again"
    # and the page shows the same for everybody afterwards
    assert item(ada, id, TREAD)["says"] == "front tyre: tread depth 2.8 mm"


def test_a_rejection_needs_a_reason(app: FastAPI, ada: TestClient, id: str) -> None:
    refused = decide(ada, id, TREAD, "reject", why="  ")
    assert refused.status_code == 422
    assert "reason" in refused.json()["detail"]
    assert decide(ada, id, TREAD, "reject", why="misheard").status_code == 201
    (out,) = outcome(app, id).rejected
    assert out.decision.why == "misheard"


def test_an_added_item_rests_on_the_words_selected(app: FastAPI, ada: TestClient, id: str) -> None:
    at = TALK.index("Dipped beam works")
    piece = {"text": "anything", "char_start": at, "char_end": at + len("Dipped beam works")}
    becomes = {"component": "tail_light", "condition": "sound", "state": "present", "evidence": [piece]}
    assert decide(ada, id, "added-1", "add", becomes=becomes).status_code == 201
    added = confirmed(app, id)["added-1"]
    assert isinstance(added, Finding)
    (heard,) = added.evidence
    assert heard.text == "Dipped beam works"
    words = {word.text: word for word in outcome(app, id).walkround.transcript.words}
    assert (heard.start, heard.end) == (words["Dipped"].start, words["Dipped"].end + 0.8)
    assert record_is_sound(app)


@pytest.mark.parametrize(("start", "end"), [(5, 5), (9, 3), (-4, 5), (0, 100_000)])
def test_words_that_are_not_in_the_talk_are_refused(ada: TestClient, id: str, start: int, end: int) -> None:
    piece = {"text": "x", "char_start": start, "char_end": end}
    becomes = {"component": "horn", "condition": "sound", "state": "present", "evidence": [piece]}
    assert decide(ada, id, "added-1", "add", becomes=becomes).status_code == 422


def test_what_is_put_back_waits_last_and_undone_leaves_both_in_the_trail(
    app: FastAPI, ada: TestClient, id: str
) -> None:
    assert decide(ada, id, TREAD, "postpone").json()["queue"][-1] == TREAD
    decide(ada, id, FIRST[1])
    undone = decide(ada, id, FIRST[1], "postpone", seen=1, why="undone by the reviewer").json()
    assert FIRST[1] in undone["queue"]
    assert [line["did"] for line in undone["item"]["trail"]] == ["confirmed", "undone"]
    assert outcome(app, id).confirmed == ()


def test_the_machine_is_an_item_of_its_own(app: FastAPI, ada: TestClient, id: str) -> None:
    machine = {"registration": "KX21 WPU", "vin": None, "odometer": {"value": 11300, "unit": "mi"}}
    body = decide(ada, id, "machine", "correct", becomes=machine).json()
    assert body["item"]["says"] == "machine: registration KX21 WPU; VIN not said; odometer 11,300 mi"
    assert outcome(app, id).machine.registration == "KX21 WPU"
    assert view(ada, id)["title"] == "KX21 WPU"


def test_an_identity_that_cannot_be_filed_is_not_confirmed(app: FastAPI, ada: TestClient) -> None:
    id = take_in(app, "The horn works.")
    refused = decide(ada, id, "machine")
    assert refused.status_code == 422
    assert "neither registration nor VIN" in refused.json()["detail"]
    assert view(ada, id)["items"][0]["doubts"]


def test_a_grade_of_ones_own_needs_a_reason_and_stands_beside_the_rules(ada: TestClient, id: str) -> None:
    key = "mirror.left.loose"
    assert decide(ada, id, key, grade="major").status_code == 422
    body = decide(ada, id, key, grade="major", why="it swings into the rider's view").json()
    assert (body["item"]["grade"], body["item"]["verdicts"][0]["basis"]) == (
        "major",
        "judgement of the reviewer",
    )
    assert [one["grade"] for one in body["item"]["verdicts"]] == ["major", "minor"]
    assert body["item"]["trail"][0]["grade"] == "major"


@pytest.mark.parametrize("role", ["reader", "technician"])
def test_who_may_not_decide_decides_nothing(app: FastAPI, signed_in: SignedIn, id: str, role: str) -> None:
    client = signed_in(role)
    assert decide(client, id, TREAD).status_code == 403
    entry = item(client, id, TREAD)["entry"]
    asked = client.post(f"/api/walkrounds/{id}/judged", json={"item": TREAD, "becomes": entry})
    assert asked.status_code == 403
    assert outcome(app, id).walkround.decisions == ()


def test_a_decision_from_another_site_is_refused(app: FastAPI, ada: TestClient, id: str) -> None:
    ada.headers["X-Form-Key"] = "guessed"
    assert decide(ada, id, TREAD).status_code == 403
    assert outcome(app, id).walkround.decisions == ()


def test_nobody_decides_in_anothers_name_or_time(app: FastAPI, ada: TestClient, id: str) -> None:
    body = {"item": TREAD, "kind": "confirm", "seen": 0, "who": "Bo", "when": "2020-01-01T00:00:00Z"}
    assert ada.post(f"/api/walkrounds/{id}/decisions", json=body).status_code == 422
    assert outcome(app, id).walkround.decisions == ()


def adding(**becomes: Any) -> dict[str, Any]:
    return {"item": "added-1", "kind": "add", "becomes": becomes}


def identity(**becomes: Any) -> dict[str, Any]:
    return {"item": "machine", "kind": "correct", "becomes": becomes}


BAD: tuple[dict[str, Any], ...] = (
    {"item": "no.such.item"},
    {"item": ""},
    {"item": "a\x00b"},
    {"item": "x" * 121},
    {"item": TREAD, "kind": "erase"},
    {"item": TREAD, "seen": -1},
    {"item": TREAD, "seen": 10**30},
    {"item": TREAD, "why": "x" * 501},
    {"item": TREAD, "why": "bell \x07"},
    {"item": TREAD, "why": "\ud800"},
    {"item": TREAD, "kind": "correct"},
    {"item": TREAD, "kind": "correct", "becomes": {"registration": "KX21WPT"}},
    {"item": TREAD, "becomes": {"component": "horn", "condition": "sound", "state": "present"}},
    adding(component="wing", condition="sound", state="present"),
    adding(component="horn", condition="sad", state="present"),
    adding(component="horn", end="rear", condition="sound", state="present"),
    adding(component="chain", quantity="slack", value=30, unit="psi"),
    adding(component="chain", quantity="slack", value=1e300, unit="mm"),
    adding(component="chain", quantity="slack", value=10**400, unit="mm"),
    adding(component="chain", quantity="slack", value="x" * 2000),
    identity(registration=None, vin=" "),
    identity(registration="A\u202eB"),
    identity(registration="A", odometer={"value": -3, "unit": "mi"}),
)  # fmt: skip


@pytest.mark.parametrize("bad", BAD)
def test_what_does_not_fit_is_refused_with_words_and_changes_nothing(
    app: FastAPI, ada: TestClient, id: str, bad: dict[str, Any]
) -> None:
    body = json.dumps({"kind": "confirm", "seen": 0, **bad})
    answer = ada.post(
        f"/api/walkrounds/{id}/decisions", content=body, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code == 422
    assert answer.json()["detail"]
    assert outcome(app, id).walkround.decisions == ()


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_in_json_is_refused(app: FastAPI, ada: TestClient, id: str, number: str) -> None:
    body = (
        '{"item": "added-1", "kind": "add", "seen": 0, "becomes": {"component": "chain", '
        f'"quantity": "slack", "value": {number}, "unit": "mm", "confidence": {number}}}}}'
    )
    answer = ada.post(
        f"/api/walkrounds/{id}/decisions", content=body, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code == 422
    assert outcome(app, id).walkround.decisions == ()


def test_two_people_at_once_never_overwrite_each_other(
    app: FastAPI, ada: TestClient, bo: TestClient, id: str
) -> None:
    tread = item(ada, id, TREAD)
    assert decide(bo, id, TREAD, "correct", becomes={**tread["entry"], "value": 1.8}).status_code == 201
    late = decide(ada, id, TREAD)
    assert late.status_code == 409
    problem = late.json()
    assert "Robin Administrator decided on this item meanwhile: corrected." in problem["detail"]
    assert problem["standing"]["says"] == "front tyre: tread depth 1.8 mm"
    assert problem["standing"]["seen"] == 1
    assert confirmed(app, id)[TREAD].value == 1.8
    # having seen it, she may decide otherwise
    assert decide(ada, id, TREAD, "reject", seen=1, why="not this tyre").status_code == 201
    assert [d.who for d in outcome(app, id).walkround.decisions] == ["Robin Administrator", "Robin Reviewer"]


def test_the_same_decision_sent_twice_counts_once(app: FastAPI, ada: TestClient, id: str) -> None:
    first = decide(ada, id, TREAD, "reject", why="misheard")
    again = decide(ada, id, TREAD, "reject", why="misheard")
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json()["item"] == first.json()["item"]
    assert len(outcome(app, id).walkround.decisions) == 1


def test_the_same_correction_and_addition_sent_twice_count_once(
    app: FastAPI, ada: TestClient, id: str
) -> None:
    becomes = {**item(ada, id, TREAD)["entry"], "value": 1.9}
    added = {"component": "clutch", "condition": "sound", "state": "present"}
    for code in (201, 200):
        assert decide(ada, id, TREAD, "correct", becomes=becomes).status_code == code
        assert decide(ada, id, "added-7", "add", becomes=added).status_code == code
    assert len(outcome(app, id).walkround.decisions) == 2


def test_another_decision_by_the_same_person_in_a_second_tab_is_not_taken_for_the_first(
    app: FastAPI, ada: TestClient, id: str
) -> None:
    decide(ada, id, TREAD)
    assert decide(ada, id, TREAD, "reject", why="misheard").status_code == 409
    assert len(outcome(app, id).walkround.decisions) == 1


def test_the_same_by_another_person_is_not_the_same(ada: TestClient, bo: TestClient, id: str) -> None:
    decide(ada, id, TREAD)
    assert decide(bo, id, TREAD).status_code == 409


def test_more_decisions_than_there_are_is_refused(ada: TestClient, id: str) -> None:
    assert decide(ada, id, TREAD, seen=3).status_code == 409


def test_many_at_once_on_one_item_leave_one_decision(
    app: FastAPI, ada: TestClient, bo: TestClient, id: str
) -> None:
    codes: list[int] = []

    def go(client: TestClient) -> None:
        codes.append(decide(client, id, TREAD).status_code)

    threads = [threading.Thread(target=go, args=[client]) for client in (ada, bo) * 4]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert codes.count(201) == 1
    assert set(codes) <= {200, 201, 409}
    assert len(outcome(app, id).walkround.decisions) == 1
    assert record_is_sound(app)


def test_overtaken_between_reading_and_writing_is_told_with_how_it_stands(
    app: FastAPI, ada: TestClient, bo: TestClient, id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep = Store.decide

    def late(store: Store, *args: Any) -> None:
        monkeypatch.setattr(Store, "decide", keep)
        decide(bo, id, TREAD, "reject", why="misheard")
        keep(store, *args)

    monkeypatch.setattr(Store, "decide", late)
    answer = decide(ada, id, TREAD)
    assert answer.status_code == 409
    assert answer.json()["standing"]["standing"] == "rejected"


def test_a_full_disk_is_said_and_nothing_is_kept(
    app: FastAPI, ada: TestClient, id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*args: Any) -> None:
        raise StoreError("the disk is full", "shop.sqlite", "Free some space.")

    monkeypatch.setattr(Store, "decide", full)
    answer = decide(ada, id, TREAD)
    assert answer.status_code == 503
    assert "disk is full" in answer.json()["detail"]
    monkeypatch.undo()
    assert decide(ada, id, TREAD).status_code == 201
    assert len(outcome(app, id).walkround.decisions) == 1


def test_a_reason_that_cannot_be_kept_for_offering_loses_no_decision(
    app: FastAPI, ada: TestClient, id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full() -> None:
        raise StoreError("the disk is full")

    monkeypatch.setattr(app.state.desk.own, "writing", full)
    assert decide(ada, id, TREAD, "reject", why="misheard").status_code == 201
    assert len(outcome(app, id).rejected) == 1


def test_nobody_confirms_what_was_read_anew_since_he_looked(app: FastAPI, ada: TestClient, id: str) -> None:
    seen = item(ada, id, TREAD)["says"]
    read_anew(app, id, TREAD, 1.8)
    late = decide(ada, id, TREAD, reads=seen)
    assert late.status_code == 409
    assert late.json()["standing"]["says"] == "front tyre: tread depth 1.8 mm"
    assert "read anew" in late.json()["detail"]
    assert outcome(app, id).confirmed == ()
    assert decide(ada, id, TREAD, reads=late.json()["standing"]["says"]).status_code == 201
    # sent twice it still counts once, though the item reads the same or not
    assert decide(ada, id, TREAD, reads=seen).status_code == 200


def test_a_clock_that_was_set_back_changes_no_order(
    app: FastAPI, ada: TestClient, id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was decided last counts, whatever the times say."""

    class Earlier(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> datetime:
            return super().now(tz) - timedelta(hours=5)

    assert decide(ada, id, TREAD, "reject", why="misheard").status_code == 201
    monkeypatch.setattr(deciding, "datetime", Earlier)
    becomes = {**item(ada, id, TREAD)["entry"], "value": 1.8}
    assert decide(ada, id, TREAD, "correct", becomes=becomes, seen=1).status_code == 201
    first, last = outcome(app, id).walkround.decisions
    assert (first.kind, last.kind) == ("reject", "correct")
    assert last.when < first.when
    assert [one.item.value for one in outcome(app, id).confirmed] == [1.8]
    assert item(ada, id, TREAD)["says"].endswith("1.8 mm")
