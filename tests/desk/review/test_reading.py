"""What a reviewer is shown."""

from __future__ import annotations

import io

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image
from tests.desk.conftest import SignedIn
from tests.desk.review.talk import DAY, FIRST, TALK, decide, item, take_in, take_in_as_printed, view

from witnessmark.review import queue


def test_what_waits_is_listed_the_longest_waiting_first(app: FastAPI, ada: TestClient, id: str) -> None:
    older = take_in(
        app, "Registration Kilo X-ray two one Whiskey Papa Tango. The horn works.", DAY.replace(day=2)
    )
    rows = ada.get("/api/walkrounds").json()["rows"]
    assert [row["id"] for row in rows] == [older, id]
    assert (rows[1]["waiting"], rows[1]["dangerous"], rows[1]["doubtful"]) == (16, 1, 4)
    assert rows[1]["registration"] == "KX21WPT"
    page = ada.get("/review").text
    assert page.index(older) < page.index(id)


def test_what_is_decided_is_no_longer_listed(app: FastAPI, ada: TestClient) -> None:
    id = take_in(app, "The horn works.")
    decide(ada, id, "horn.sound")
    assert decide(ada, id, "machine", "reject", why="not said").status_code == 201
    assert ada.get("/api/walkrounds").json()["rows"] == []
    assert "Nothing waits" in ada.get("/review").text


def test_the_dangerous_and_the_doubtful_come_first(app: FastAPI, ada: TestClient, id: str) -> None:
    shown = view(ada, id)
    assert tuple(shown["queue"][:2]) == FIRST
    with app.state.desk.record() as store:
        assert tuple(shown["queue"]) == queue(store.walkround(id))


def test_an_item_is_shown_with_its_words_its_verdict_and_its_doubts(ada: TestClient, id: str) -> None:
    tread = item(ada, id, "tyre.front.tread_depth")
    assert tread["says"] == "front tyre: tread depth 0.8 mm"
    assert (tread["grade"], tread["word"]) == ("dangerous", "dangerous")
    assert tread["verdicts"][0]["basis"] == "law"
    assert tread["verdicts"][0]["limit"] == "at least 1 mm"
    assert tread["verdicts"][0]["sure"] == "read at second hand"
    (piece,) = tread["evidence"]
    assert TALK[piece["char_start"] : piece["char_end"]] == piece["text"]
    assert piece["start"] < piece["end"]
    rear = item(ada, id, "tyre.rear.tread_depth")
    assert rear["doubts"] == ["The speaker corrected himself."]
    assert rear["said_first"] == "3"


def test_the_page_carries_the_same_values_and_no_way_out_of_them(app: FastAPI, ada: TestClient) -> None:
    id = take_in(app, "The horn works </script><script>alert(1)</script> and is loud.")
    page = ada.get(f"/review/{id}").text
    assert "<script>alert" not in page
    assert "\\u003c/script>" in page


def test_what_was_never_mentioned_is_named(ada: TestClient, id: str) -> None:
    assert "brake fluid" in view(ada, id)["never_mentioned"]


@pytest.mark.parametrize("role", ["reader", "technician", "reviewer", "administrator"])
def test_everybody_in_the_workshop_may_look(signed_in: SignedIn, id: str, role: str) -> None:
    client = signed_in(role)
    for path in ("/review", f"/review/{id}", "/api/walkrounds", f"/api/walkrounds/{id}", "/api/words"):
        assert client.get(path).status_code == 200
    assert client.get(f"/api/walkrounds/{id}/clip?start=1&end=2").status_code == 200


def test_a_stranger_sees_nothing(app: FastAPI, id: str) -> None:
    stranger = TestClient(app, base_url="http://localhost")
    for path in ("walkrounds", f"walkrounds/{id}", f"walkrounds/{id}/clip?start=1&end=2", "words"):
        assert stranger.get(f"/api/{path}").status_code == 401
    assert (
        stranger.get(f"/review/{id}", headers={"Accept": "text/html"}, follow_redirects=False).status_code
        == 303
    )


@pytest.mark.parametrize("id", ["w-000000000000", "latest", "..%2f..", "%00", "x" * 81])
def test_what_is_not_there_is_not_found(ada: TestClient, id: str) -> None:
    for rest in ("", "/clip?start=1&end=2", "/earlier?item=machine", "/live"):
        assert ada.get(f"/api/walkrounds/{id}{rest}").status_code in (404, 422)
    assert ada.get(f"/review/{id}").status_code in (404, 422)


def test_whoever_looks_again_is_told_only_what_changed(ada: TestClient, bo: TestClient, id: str) -> None:
    assert ada.get(f"/api/walkrounds/{id}/live?after=0").json() == {"count": 0}
    decide(bo, id, FIRST[0])
    live = ada.get(f"/api/walkrounds/{id}/live?after=0").json()
    assert live["count"] == 1
    assert FIRST[0] not in live["queue"]
    assert [(line["who"], line["did"]) for line in live["trail"]] == [("Robin Administrator", "confirmed")]


def test_the_words_to_choose_from_have_what_people_say(ada: TestClient) -> None:
    words = ada.get("/api/words").json()
    pads = next(one for one in words["components"] if one["id"] == "brake_pads")
    assert pads["takes_end"]
    assert any(said != pads["name"] for said in pads["said"])
    slack = next(one for one in words["quantities"] if one["id"] == "slack")
    assert slack["unit"] == "mm"
    assert "in" in slack["units"]
    assert "psi" not in slack["units"]
    assert words["reasons"]


def test_a_reason_once_given_is_offered_again(ada: TestClient, id: str) -> None:
    decide(ada, id, FIRST[0], "reject", why="gauge was broken")
    assert ada.get("/api/words").json()["reasons"][0] == "gauge was broken"


def test_a_photograph_is_shown_and_no_other_walkrounds(app: FastAPI, ada: TestClient, id: str) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (8, 8), "navy").save(picture, "PNG")
    with app.state.desk.record() as store:
        kept = store.add_photo(id, picture.getvalue(), "Robin", 3.0)
    assert [one["seconds"] for one in view(ada, id)["photos"]] == [3.0]
    answer = ada.get(f"/api/walkrounds/{id}/photos/{kept.sha256}")
    assert (answer.headers["content-type"], answer.content) == ("image/png", picture.getvalue())
    other = take_in(app, "The horn works.")
    assert ada.get(f"/api/walkrounds/{other}/photos/{kept.sha256}").status_code == 404


def test_what_was_first_printed_and_how_sure_of_it_is_shown(app: FastAPI, ada: TestClient) -> None:
    shown = view(ada, take_in_as_printed(app))
    assert [(one["text"], one["first"], one["probability"]) for one in shown["printed"]] == [
        ("pads", "beds", 0.9),
        ("worn.", None, 0.31),
    ]
    assert shown["sound"] is False
