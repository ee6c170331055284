"""The page of the workshop, and its API."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from witnessmark.desk.app import create
from witnessmark.desk.machines import reckoned, routes
from witnessmark.desk.settings import Settings
from witnessmark.record.keeping import Keeping

from .making import HOSTILE, TODAY, decide, visit


def shop(client: TestClient, period: str = "all") -> dict[str, Any]:
    answer = client.get(f"/api/workshop?period={period}")
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def test_what_waits_the_dangerous_first(reader: TestClient) -> None:
    told = [(one["machine"], one["items"], one["dangerous"]) for one in shop(reader)["waiting"]]
    assert told == [("AB12CDE", 4, 1), ("LM56NOP", 1, 0)]
    page = reader.get("/").text
    assert page.index("AB12CDE") < page.index("LM56NOP")
    assert "1 dangerous" in page


def test_what_is_overdue_by_the_last_visits(reader: TestClient) -> None:
    told = [(one["kind"], one["machine"], one["what"]) for one in shop(reader)["overdue"]]
    assert told == [
        ("limit", "KX21WPT", "rear tyre: tread depth 0.9 mm; limit at least 1 mm, law"),
        ("inspection", "KX21WPT", "for the front brake disc; or at 15,700 mi"),
    ]


def test_open_work_of_all_machines_the_longest_wanted_first(reader: TestClient) -> None:
    told = [(one["machine"], one["work"]["says"], one["work"]["since"]) for one in shop(reader)["wanted"]]
    assert told[0] == ("KX21WPT", "rear brake fluid: replace", "2024-04-18")
    assert [since for _, _, since in told] == sorted(since for _, _, since in told)


@pytest.mark.parametrize(
    ("period", "first"), [("month", ("drive chain: dry", 1)), ("all", ("drive chain: dry", 3))]
)
def test_what_was_found_most_in_a_period(reader: TestClient, period: str, first: tuple[str, int]) -> None:
    found = shop(reader, period)["found"]
    assert (found[0]["says"], found[0]["times"]) == first
    assert found[-1]["together"] == 100
    assert sum(one["share"] for one in found) == pytest.approx(100, abs=0.5)


def test_a_period_nobody_knows_is_refused(reader: TestClient) -> None:
    assert reader.get("/api/workshop?period=week").status_code == 422


def test_the_days_of_a_year_count_and_the_one_before_does_not(app: FastAPI, reader: TestClient) -> None:
    before = shop(reader, "year")["found"]
    visit(
        app,
        TODAY - timedelta(days=365),
        "Registration Alpha Zulu one one Bravo Charlie Delta. The horn is dead.",
    )
    visit(
        app,
        TODAY - timedelta(days=366),
        "Registration Alpha Zulu one one Bravo Charlie Delta. The frame is cracked.",
    )
    told = {one["says"] for one in shop(reader, "year")["found"]} - {one["says"] for one in before}
    assert told == {"horn: not working"}


def test_a_decision_shows_at_once(app: FastAPI, reader: TestClient) -> None:
    """What is kept of each machine must not outlive a decision on it."""
    assert "rear brake fluid: replace" in [one["work"]["says"] for one in shop(reader)["wanted"]]
    visit(
        app,
        date(2026, 11, 24),
        "Registration Kilo X-ray two one Whiskey Papa Tango. I've replaced the rear brake fluid.",
    )
    assert "rear brake fluid: replace" not in [one["work"]["says"] for one in shop(reader)["wanted"]]
    (made,) = [one for one in shop(reader)["waiting"] if one["machine"] == "LM56NOP"]
    with app.state.desk.record() as store:
        decide(store, made["walkround"], ["mirror.left.loose"])
    assert [one["machine"] for one in shop(reader)["waiting"]] == ["AB12CDE"]


def test_a_name_taken_out_of_the_talk_is_nowhere_afterwards(app: FastAPI, reader: TestClient) -> None:
    assert "That tyre needs replacing" in reader.get("/").text
    with app.state.desk.record() as store:
        last = store.history("KX21WPT").visits[-1]
        Keeping(store, "Ben Deputy").redact(last.walkround, "replacing")
    for path in ("/", "/machine/KX21WPT", "/search?q=tyre", "/api/workshop"):
        assert "needs replacing" not in reader.get(path).text
    assert "That tyre needs ·········" in reader.get("/").text


def test_what_was_not_gone_through_in_time_is_said(
    reader: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as now:
        now.setattr(reckoned, "PATIENCE", -1.0)
        now.setattr(reckoned.Reckoned, "_go_on", lambda *_: None)
        found = shop(reader)
        assert (found["not_reckoned"], found["wanted"]) == (2, [])
        assert "2 machines have not been gone through yet" in reader.get("/").text


def test_the_rest_is_gone_through_behind_the_page(
    reader: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reckoned, "PATIENCE", -1.0)
    assert shop(reader)["not_reckoned"] == 2
    until = time.monotonic() + 60
    while shop(reader)["not_reckoned"] and time.monotonic() < until:
        time.sleep(0.05)
    assert shop(reader)["wanted"]


def test_nothing_is_worked_out_twice(reader: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    shop(reader)
    monkeypatch.setattr(reckoned, "know", lambda *_: pytest.fail("gone through again"))
    assert shop(reader)["wanted"]


def test_what_is_due_on_a_day_is_late_from_then_on(
    reader: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """KX21WPT was to be looked at by 17 December 2025; no machine is gone through anew for another day."""

    def on(day: date) -> list[str]:
        class Day(date):
            @classmethod
            def today(cls) -> date:
                return day

        monkeypatch.setattr(routes, "date", Day)
        return [one["kind"] for one in shop(reader)["overdue"] if one["machine"] == "KX21WPT"]

    assert on(date(2025, 12, 17)) == ["limit"]
    monkeypatch.setattr(reckoned, "know", lambda *_: pytest.fail("gone through again"))
    assert on(date(2025, 12, 18)) == ["limit", "inspection"]


def test_recordings_on_their_way_are_told_of(app: FastAPI, signed_in: Callable[[str], TestClient]) -> None:
    technician, reviewer = signed_in("technician"), signed_in("reviewer")
    start = {
        "machine": HOSTILE, "jurisdiction": None, "on": None, "media_type": "audio/webm", "name": "talk.webm",
        "started_at": "2026-11-25T09:00:00Z", "sent_at": "2026-11-25T09:00:00Z",
    }  # fmt: skip
    answer = technician.put(f"/api/walks/{uuid4()}", json=start)
    assert answer.status_code == 201, answer.text
    for client in (technician, reviewer):
        page = client.get("/").text
        assert "On their way in" in page
        assert "still recorded or sent, by Robin Technician" in page
        assert "<script>alert" not in page
    assert "On their way in" not in signed_in("reader").get("/").text


@pytest.fixture
def blank(tmp_path: Path) -> FastAPI:
    return create(Settings(record=tmp_path / "blank.sqlite", live=False))


class TestEmpty:
    """A record in which nothing is yet."""

    @pytest.fixture
    def app(self, blank: FastAPI) -> FastAPI:
        return blank

    @pytest.mark.parametrize(
        ("role", "told"),
        [
            ("administrator", "Let people in"),
            ("technician", "Record a walk"),
            ("reader", "A technician records a walk"),
        ],
    )
    def test_the_first_visitor_is_told_how_to_begin(
        self, signed_in: Callable[[str], TestClient], role: str, told: str
    ) -> None:
        page = signed_in(role).get("/").text
        assert "How to begin" in page
        assert told in page

    def test_the_other_pages_say_that_there_is_nothing_yet(self, reader: TestClient) -> None:
        assert "There is no machine yet" in reader.get("/machines").text
        assert "Nothing has all of these words" in reader.get("/search?q=chain").text
        assert shop(reader)["found"] == []
