"""A customer's link: one summary, of what is confirmed, until it ends; and nothing else."""

from __future__ import annotations

import base64
import hashlib
import re
from datetime import UTC, datetime, timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.access.conftest import Later
from tests.desk.conftest import SignedIn

from helpers_walkround import decision, walkround
from witnessmark.desk.access import secret
from witnessmark.desk.own import Own
from witnessmark.record import Store
from witnessmark.review import apply
from witnessmark.types import Walkround


@pytest.fixture
def walk(app: FastAPI) -> Walkround:
    """A walkround of which the machine, the tread and the horn are confirmed, the seal is rejected."""
    one = walkround()
    with Store.open(app.state.desk.settings.record) as store:
        store.ingest(one)
        for item, kind in (
            ("machine", "confirm"),
            ("r-tread", "confirm"),
            ("f-horn", "confirm"),
            ("f-seal", "reject"),
        ):
            outcome = apply(store.walkround(one.id), [made := decision(one, item, kind)])
            store.decide(made, outcome)
    return one


def linked(client: TestClient, walk: Walkround, **wanted: object) -> str:
    answer = client.post(f"/api/walkrounds/{walk.id}/links", json=wanted)
    assert answer.status_code == 201, answer.text
    return str(answer.json()["url"])


def test_whoever_has_it_reads_the_summary(walk: Walkround, signed_in: SignedIn, stranger: TestClient) -> None:
    page = stranger.get(linked(signed_in("reviewer"), walk))
    assert page.status_code == 200
    assert "Q24 LOT" in page.text
    assert page.headers["Content-Type"].startswith("text/html")
    assert not page.headers.get_list("set-cookie")


def test_only_what_is_confirmed(walk: Walkround, signed_in: SignedIn, stranger: TestClient) -> None:
    text = stranger.get(linked(signed_in("reviewer"), walk)).text.lower()
    assert "tyre" in text
    assert "fork seal" not in text.partition('<h2 id="verdict">')[0]
    for waiting in ("worn right down", "weeping", "12.6"):
        assert waiting not in text


def test_it_shows_what_is_confirmed_when_it_is_opened(
    app: FastAPI, walk: Walkround, signed_in: SignedIn, stranger: TestClient
) -> None:
    url = linked(signed_in("reviewer"), walk)
    assert "12.6" not in stranger.get(url).text
    with Store.open(app.state.desk.settings.record) as store:
        made = decision(walk, "r-volts", "confirm")
        store.decide(made, apply(store.walkround(walk.id), [made]))
    assert "12.6" in stranger.get(url).text


def test_its_secret_is_long_and_only_its_hash_is_kept(own: Own, walk: Walkround, signed_in: SignedIn) -> None:
    reviewer = signed_in("reviewer")
    made = [linked(reviewer, walk).rpartition("/")[2] for _ in range(5)]
    assert len(set(made)) == 5
    assert all(len(base64.urlsafe_b64decode(f"{one}=")) * 8 >= 128 for one in made)
    with own.reading() as db:
        rows = str(db.execute("SELECT * FROM links").fetchall())
    assert secret.digest(made[0]) in rows
    assert made[0] not in rows


def test_expired_ended_and_unknown_are_one_page(
    walk: Walkround, signed_in: SignedIn, stranger: TestClient, later: Later
) -> None:
    reviewer = signed_in("reviewer")
    short, ended = linked(reviewer, walk, days=1), linked(reviewer, walk, days=365)
    identity = next(
        one["id"] for one in reviewer.get("/api/links").json() if one["expires_at"] > stamp(days=300)
    )
    assert reviewer.delete(f"/api/links/{identity}").status_code == 204
    later(days=1.01)
    answers = [
        stranger.get(path) for path in (short, ended, "/s/unknown", f"/s/{'x' * 43}", "/s/é", "/s/%00")
    ]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.text for answer in answers}) == 1
    assert len({str(sorted(answer.headers.items())) for answer in answers}) == 1
    assert "no summary here" in answers[0].text


def stamp(days: int) -> str:
    return (datetime.now(UTC) + timedelta(days=days)).isoformat()


def test_it_expires_by_the_servers_clock(
    walk: Walkround, signed_in: SignedIn, stranger: TestClient, later: Later
) -> None:
    url = linked(signed_in("reviewer"), walk)
    later(days=29.9)
    assert stranger.get(url, headers={"Date": stamp(days=90)}).status_code == 200
    later(days=30.1)
    assert stranger.get(url, headers={"If-Modified-Since": stamp(days=-90)}).status_code == 404


@pytest.mark.parametrize("days", [0, -1, 366, 1e9, "x", None, True, 1.5])
def test_the_days_are_bounded(walk: Walkround, signed_in: SignedIn, days: object) -> None:
    answer = signed_in("reviewer").post(f"/api/walkrounds/{walk.id}/links", json={"days": days})
    assert answer.status_code == 422 or (days is True and answer.status_code == 201)


@pytest.mark.parametrize("which", ["latest", "w-000000000000", "x", "w-", "%00"])
def test_only_the_whole_id_of_a_walkround(walk: Walkround, signed_in: SignedIn, which: str) -> None:
    assert signed_in("reviewer").post(f"/api/walkrounds/{which}/links", json={}).status_code == 404


def test_it_opens_nothing_else(walk: Walkround, signed_in: SignedIn, stranger: TestClient) -> None:
    url = linked(signed_in("reviewer"), walk)
    stranger.get(url)
    token = url.rpartition("/")[2]
    for path in ("/", "/links", f"/api/walkrounds/{walk.id}", "/api/links"):
        for headers in ({}, {"Authorization": f"Bearer {token}"}):
            assert stranger.get(path, headers=headers).status_code in (401, 404)
    assert stranger.get(f"{url}/").status_code in (307, 404)
    assert stranger.post(url).status_code == 405


def test_its_headers_keep_it_to_itself(walk: Walkround, signed_in: SignedIn, stranger: TestClient) -> None:
    page = stranger.get(linked(signed_in("reviewer"), walk))
    policy = page.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert policy.endswith("sandbox")
    assert "unsafe" not in policy
    assert page.headers["Referrer-Policy"] == "no-referrer"
    assert "noindex" in page.headers["X-Robots-Tag"]
    assert page.headers["Cache-Control"] == "no-store"
    (style,) = re.findall(r"<style>(.*?)</style>", page.text, re.S)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in policy
    assert not re.search(r"\sstyle=", page.text)  # the policy would not let it through


def test_a_walkround_of_another_record_is_the_same_page(
    own: Own, walk: Walkround, signed_in: SignedIn, stranger: TestClient
) -> None:
    url = linked(signed_in("reviewer"), walk)
    with own.writing() as db:
        db.execute("UPDATE links SET walkround = 'w-000000000000'")
    assert stranger.get(url).text == stranger.get("/s/unknown").text


def test_the_page_for_reviewers(walk: Walkround, signed_in: SignedIn, stranger: TestClient) -> None:
    reviewer = signed_in("reviewer")
    page = reviewer.post("/links", data={"walkround": walk.id, "days": 3})
    assert page.status_code == 201
    url = page.text.partition('class="once" value="')[2].partition('"')[0]
    assert stranger.get(url).status_code == 200
    listed = reviewer.get("/links").text
    assert "Q24 LOT" in listed
    assert "1 ×, last" in listed
    assert url.rpartition("/")[2] not in listed
    (link,) = reviewer.get("/api/links").json()
    assert (link["walkround"], link["by"], link["opened"]) == (walk.id, "Robin Reviewer", 1)
    assert reviewer.post(f"/links/{link['id']}/end", follow_redirects=False).status_code == 303
    assert stranger.get(url).status_code == 404
    assert reviewer.delete(f"/api/links/{link['id']}").status_code == 404


def test_readers_and_technicians_give_nothing_away(walk: Walkround, signed_in: SignedIn) -> None:
    for role in ("reader", "technician"):
        assert signed_in(role).post(f"/api/walkrounds/{walk.id}/links", json={}).status_code == 403


def test_the_page_offers_the_walkround_it_was_asked_for(
    app: FastAPI, walk: Walkround, signed_in: SignedIn
) -> None:
    undecided = walkround("other.wav")
    with Store.open(app.state.desk.settings.record) as store:
        store.ingest(undecided)
    reviewer = signed_in("reviewer")
    assert undecided.id not in reviewer.get("/links").text
    chosen = reviewer.get("/links", params={"walkround": undecided.id}).text
    assert f'value="{undecided.id}" selected' in chosen
    assert "selected" not in reviewer.get("/links", params={"walkround": "none"}).text
