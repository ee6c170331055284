"""What the record has of the same part is shown beside an item."""

from __future__ import annotations

from datetime import date
from typing import Any

from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.review.talk import FIRST, decide, take_in, view

BEFORE = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. Nine thousand miles on the clock. Front tyre tread "
    "is two point five millimetres. The front tyre is cracked."
)


def earlier(client: TestClient, id: str, key: str) -> dict[str, Any]:
    answer = client.get(f"/api/walkrounds/{id}/earlier", params={"item": key})
    assert answer.status_code == 200
    return dict(answer.json())


def confirm_all(client: TestClient, id: str) -> None:
    for key in view(client, id)["queue"]:
        assert decide(client, id, key).status_code == 201


def test_last_readings_stand_with_their_distance_and_the_limit(
    app: FastAPI, ada: TestClient, id: str
) -> None:
    confirm_all(ada, take_in(app, BEFORE, date(2025, 5, 1)))
    past = earlier(ada, id, FIRST[0])
    assert [(one["value"], one["distance"], one["says"]) for one in past["points"]] == [
        (2.5, 9000.0, "2.5 mm")
    ]
    assert (past["now"], past["unit"], past["clock"], past["now_distance"]) == (0.8, "mm", "mi", 11000.0)
    assert past["limit"]["low"] == 1.0
    assert [one["says"] for one in past["others"]] == ["front tyre: cracked"]


def test_a_jump_of_the_odometer_is_seen_against_what_was_confirmed(
    app: FastAPI, ada: TestClient, id: str
) -> None:
    confirm_all(ada, take_in(app, BEFORE, date(2025, 5, 1)))
    past = earlier(ada, id, "machine")
    assert [one["value"] for one in past["points"]] == [9000.0]
    assert past["now"] == 11000.0


def test_nothing_unconfirmed_is_shown_as_history(app: FastAPI, ada: TestClient, id: str) -> None:
    take_in(app, BEFORE, date(2025, 5, 1))
    past = earlier(ada, id, FIRST[0])
    assert past["points"] == []
    assert "nothing earlier" in past["note"]


def test_a_corrected_identity_has_its_own_history(app: FastAPI, ada: TestClient, id: str) -> None:
    confirm_all(ada, take_in(app, BEFORE, date(2025, 5, 1)))
    other = {"registration": "AB12CDE", "vin": None, "odometer": None}
    decide(ada, id, "machine", "correct", becomes=other)
    assert earlier(ada, id, FIRST[0])["points"] == []


def test_a_machine_without_a_name_has_no_history(app: FastAPI, ada: TestClient) -> None:
    id = take_in(app, "The horn works.")
    assert "not named" in earlier(ada, id, "horn.sound")["note"]


def test_an_item_that_is_not_there_is_not_found(ada: TestClient, id: str) -> None:
    assert ada.get(f"/api/walkrounds/{id}/earlier?item=wing").status_code == 404
