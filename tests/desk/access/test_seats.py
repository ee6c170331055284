"""Cookies: forged, old, ended, of another desk; and that none is taken over from before sign-in."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from itsdangerous import URLSafeTimedSerializer
from tests.desk.conftest import PASSWORD, SignedIn

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role
from witnessmark.desk.access.seats import LASTS
from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings

SEAT = "witnessmark_seat"


def opens(app: FastAPI, cookie: str) -> bool:
    client = TestClient(app, base_url="http://localhost", cookies={SEAT: cookie})
    return client.get("/me").status_code == 200


def test_a_cookie_opens_only_as_it_was_made(app: FastAPI, signed_in: SignedIn) -> None:
    cookie = signed_in("reader").cookies[SEAT]
    content, made, signature = cookie.rsplit(".", 2)
    assert opens(app, cookie)
    for wrong in (
        "",
        "x",
        content,
        f"{content}.{made}.",
        f"{content}.{made}.{signature[::-1]}",
        f"{content}.AAAAAA.{signature}",
        f"WyJ4Il0.{made}.{signature}",
        f"{cookie}.{cookie}",
    ):
        assert not opens(app, wrong), wrong


@pytest.mark.parametrize("content", [[], "x", None, 7, {"a": 1}, ["id"], ["id", "0", "n"], [1, 2, 3, 4]])
def test_a_signed_cookie_of_another_shape_opens_nothing(app: FastAPI, content: object) -> None:
    key = app.state.desk.seats.key
    assert not opens(app, str(URLSafeTimedSerializer(key, salt=SEAT).dumps(content)))


def test_a_cookie_of_another_desk_or_purpose_opens_nothing(
    app: FastAPI, signed_in: SignedIn, tmp_path: Path
) -> None:
    client = signed_in("reader")
    other = create(Settings(record=tmp_path / "other.sqlite"))
    assert not opens(other, client.cookies[SEAT])
    assert not opens(app, client.cookies["witnessmark_device"])


def test_a_working_day_later_it_is_over(
    app: FastAPI, signed_in: SignedIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    cookie, now = signed_in("reader").cookies[SEAT], time.time()
    for later, still in ((LASTS - 60, True), (LASTS + 60, False), (-3600, False)):
        monkeypatch.setattr(time, "time", lambda later=later: now + later)
        assert opens(app, cookie) is still


def test_a_cookie_given_before_sign_in_is_not_taken_over(app: FastAPI, signed_in: SignedIn) -> None:
    planted = signed_in("reader").cookies[SEAT]
    signed_in("reviewer")
    client = TestClient(app, base_url="http://localhost", cookies={SEAT: planted})
    client.post("/sign-in", data={"name": "Robin Reviewer", "password": PASSWORD}, follow_redirects=False)
    fresh = [cookie.value for cookie in client.cookies.jar if cookie.name == SEAT]
    assert planted in fresh  # the test's own; the desk set another beside it
    (own,) = set(fresh) - {planted}
    assert (
        "Robin Reviewer"
        in TestClient(app, base_url="http://localhost", cookies={SEAT: str(own)}).get("/me").text
    )
    assert (
        "Robin Reader"
        in TestClient(app, base_url="http://localhost", cookies={SEAT: planted}).get("/me").text
    )


def test_two_sign_ins_never_share_a_cookie(signed_in: SignedIn) -> None:
    first, second = signed_in("reader"), signed_in("reader")
    assert first.cookies[SEAT] != second.cookies[SEAT]
    assert first.headers["X-Form-Key"] != second.headers["X-Form-Key"]


def test_the_attributes_of_the_cookies(app: FastAPI, signed_in: SignedIn, tmp_path: Path) -> None:
    signed_in("reader")
    client = TestClient(app, base_url="http://localhost", follow_redirects=False)
    answer = client.post("/sign-in", data={"name": "Robin Reader", "password": PASSWORD})
    for line in answer.headers.get_list("set-cookie"):
        assert {"HttpOnly", "SameSite=strict", "Path=/"} <= set(line.split("; "))
        assert "Secure" not in line
    secure = create(Settings(record=tmp_path / "s.sqlite", certificate=tmp_path / "c"))
    with secure.state.desk.own.writing() as db:
        people.add(db, "Kim", Role.READER, PASSWORD)
    client = TestClient(secure, base_url="https://localhost", follow_redirects=False)
    lines = client.post("/sign-in", data={"name": "Kim", "password": PASSWORD}).headers.get_list("set-cookie")
    assert len(lines) == 2
    assert all(line.startswith("__Host-") and "Secure" in line for line in lines)


def test_the_file_of_the_desk_is_for_its_owner_only(app: FastAPI) -> None:
    assert app.state.desk.own.path.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    ("to", "leads"),
    [
        ("/review?x=1", "/review?x=1"),
        ("//evil.example", "/"),
        ("/\\evil.example", "/"),
        ("https://evil.example", "/"),
        ("javascript:alert(1)", "/"),
        ("", "/"),
    ],
)
def test_sign_in_leads_nowhere_else(app: FastAPI, signed_in: SignedIn, to: str, leads: str) -> None:
    signed_in("reader")
    client = TestClient(app, base_url="http://localhost", follow_redirects=False)
    form = {"name": "Robin Reader", "password": PASSWORD, "to": to}
    assert client.post("/sign-in", data=form).headers["Location"] == leads


def test_a_restart_or_a_second_desk_of_the_same_record_knows_the_seat(
    app: FastAPI, signed_in: SignedIn
) -> None:
    cookie = signed_in("reader").cookies[SEAT]
    assert opens(create(app.state.desk.settings), cookie)
