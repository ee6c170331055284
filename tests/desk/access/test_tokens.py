"""Programs with a token: in somebody's name, never above them, and without cookies or form keys."""

from __future__ import annotations

from datetime import timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.access.conftest import Later
from tests.desk.conftest import PASSWORD, SignedIn

from witnessmark.desk.access import invites, people, secret, tokens
from witnessmark.desk.access.people import Person, Role
from witnessmark.desk.own import Own
from witnessmark.desk.problems import Refused


def program(app: FastAPI, token: str, scheme: str = "Bearer") -> TestClient:
    return TestClient(
        app,
        base_url="http://localhost",
        headers={"Authorization": f"{scheme} {token}"},
        follow_redirects=False,
    )


def made(own: Own, owner: Person, role: Role = Role.REVIEWER, days: int = 30) -> str:
    with own.writing() as db:
        return tokens.make(db, owner, "a script", role, days)


def test_it_opens_the_api_and_needs_no_form_key(app: FastAPI, own: Own, ada: Person) -> None:
    client = program(app, made(own, ada))
    assert client.get("/api/links").json() == []
    assert client.delete("/api/links/none").status_code == 404
    assert program(app, made(own, ada), "bearer").get("/api/links").status_code == 200


@pytest.mark.parametrize("wrong", ["", "x", "x" * 43, "é", "\x7f"])
def test_a_wrong_one_opens_nothing_even_with_a_cookie(app: FastAPI, signed_in: SignedIn, wrong: str) -> None:
    client = signed_in("administrator")
    assert client.get("/api/links").status_code == 200
    header = {"Authorization": b"Bearer " + wrong.encode()}
    assert client.get("/api/links", headers=header).status_code == 401


def test_with_a_token_the_cookie_counts_for_nothing(app: FastAPI, own: Own, signed_in: SignedIn) -> None:
    boss = signed_in("administrator")
    with own.writing() as db:
        robin = people.named(db, "Robin Administrator")
        assert robin
        reader = tokens.make(db, robin, "a script", Role.READER, 1)
    assert boss.get("/api/links", headers={"Authorization": f"Bearer {reader}"}).status_code == 403


def test_another_scheme_is_none_of_ours(signed_in: SignedIn) -> None:
    client = signed_in("administrator")
    assert client.get("/api/links", headers={"Authorization": "Basic eDp5"}).status_code == 200


def test_its_role_is_never_above_the_owners(app: FastAPI, own: Own, ada: Person) -> None:
    token = made(own, ada)
    with own.writing() as db:
        people.add(db, "Kim", Role.ADMINISTRATOR, PASSWORD)
        people.set_role(db, ada, Role.READER)
        reader = people.anyone(db, ada.id)
        assert reader
        for role in set(Role) - {Role.READER}:
            with pytest.raises(Refused) as told:
                tokens.make(db, reader, "more", role, 1)
            assert told.value.status == 403
    assert program(app, token).get("/api/links").status_code == 403


def test_it_looks_after_no_people_and_makes_no_tokens(app: FastAPI, own: Own, ada: Person) -> None:
    client = program(app, made(own, ada, Role.ADMINISTRATOR))
    assert client.get("/api/links").status_code == 200
    assert client.get("/people").status_code == 403
    assert client.post("/people/links", data={"role": "administrator"}).status_code == 403
    assert client.post("/me/tokens", data={"name": "x", "role": "reader", "days": 1}).status_code == 403
    form = {"old": PASSWORD, "new": "four tin buckets", "again": "four tin buckets"}
    assert client.post("/me/password", data=form).status_code == 403


def test_it_falls_with_its_owner(app: FastAPI, own: Own, ada: Person) -> None:
    with own.writing() as db:
        kim = people.add(db, "Kim", Role.REVIEWER, PASSWORD)
    client = program(app, made(own, kim))
    assert client.get("/api/links").status_code == 200
    with own.writing() as db:
        people.set_active(db, kim, False)
    assert client.get("/api/links").status_code == 401


def test_it_does_not_come_back_with_its_owner(
    app: FastAPI, own: Own, ada: Person, signed_in: SignedIn
) -> None:
    boss = signed_in("administrator")
    client = program(app, made(own, ada))
    page = boss.post(f"/people/{ada.id}/leave").text
    assert "Ada Foreman comes in no more. 1 token of theirs for programs ended with it." in page
    boss.post(f"/people/{ada.id}/return")
    assert client.get("/api/links").status_code == 401


@pytest.mark.parametrize(
    ("role", "ends"), [("reader", True), ("technician", True), ("reviewer", False), ("administrator", False)]
)
def test_it_ends_with_a_role_that_is_taken_away(
    app: FastAPI, own: Own, signed_in: SignedIn, role: str, ends: bool
) -> None:
    with own.writing() as db:
        kim = people.add(db, "Kim Fitter", Role.REVIEWER, PASSWORD)
    clients = [program(app, made(own, kim, each)) for each in (Role.REVIEWER, Role.READER)]
    boss = signed_in("administrator")
    assert "2 tokens for programs" in boss.get("/people").text
    page = boss.post(f"/people/{kim.id}/role", data={"role": role}).text
    assert [client.get("/api/machines").status_code for client in clients] == [401 if ends else 200] * 2
    if ends:
        assert "2 tokens of theirs for programs ended with it." in page
        assert "who was a reviewer, and 2 API tokens ended" in page
    elif role != "reviewer":
        assert "2 tokens of theirs for programs still work." in page


@pytest.mark.parametrize("ends", [True, False])
def test_with_a_new_password_it_ends_or_is_said_to_work(
    app: FastAPI, own: Own, signed_in: SignedIn, ends: bool
) -> None:
    mine = signed_in("reviewer")
    with own.reading() as db:
        robin = people.named(db, "Robin Reviewer")
    assert robin
    client = program(app, made(own, robin))
    assert "End my 1 token for programs too" in mine.get("/me").text
    form = {"old": PASSWORD, "new": "four tin buckets", "again": "four tin buckets"}
    page = mine.post("/me/password", data=form | ({"end_tokens": "true"} if ends else {})).text
    assert client.get("/api/links").status_code == (401 if ends else 200)
    assert ("has ended, and 1 token for programs." in page) == ends
    assert ("1 token still works: see below." in page) != ends


def test_a_refused_password_ends_nothing(app: FastAPI, own: Own, signed_in: SignedIn) -> None:
    mine = signed_in("reviewer")
    with own.reading() as db:
        robin = people.named(db, "Robin Reviewer")
    assert robin
    client = program(app, made(own, robin))
    for form in (
        {"old": "not that one", "new": "four tin buckets", "again": "four tin buckets"},
        {"old": PASSWORD, "new": "four tin buckets", "again": "five tin buckets"},
        {"old": PASSWORD, "new": "x", "again": "x"},
    ):
        mine.post("/me/password", data=form | {"end_tokens": "true"})
    assert client.get("/api/links").status_code == 200


def test_a_new_password_by_a_link_ends_it(app: FastAPI, own: Own, ada: Person, stranger: TestClient) -> None:
    with own.writing() as db:
        kim = people.add(db, "Kim Fitter", Role.REVIEWER, PASSWORD)
        link = invites.make_for(db, ada, kim)
    client = program(app, made(own, kim))
    assert "every token of yours for programs" in stranger.get(f"/welcome/{link}").text
    form = {"password": "four tin buckets", "again": "four tin buckets"}
    assert stranger.post(f"/welcome/{link}", data=form).status_code == 303
    assert client.get("/api/links").status_code == 401


def test_it_expires_by_the_servers_clock(app: FastAPI, own: Own, ada: Person, later: Later) -> None:
    client = program(app, made(own, ada, days=30))
    later(days=29.9)
    assert client.get("/api/links").status_code == 200
    later(days=30.1)
    assert client.get("/api/links").status_code == 401


def test_its_use_is_seen_but_not_written_each_time(app: FastAPI, own: Own, ada: Person, later: Later) -> None:
    client = program(app, made(own, ada))

    def used() -> object:
        with own.reading() as db:
            return tokens.of(db, ada)[0].used_at

    assert used() is None
    client.get("/api/links")
    first = used()
    assert first is not None
    later(seconds=30)
    client.get("/api/links")
    assert used() == first
    later(seconds=90)
    client.get("/api/links")
    assert used() == secret.now()


def test_only_the_hash_is_kept(own: Own, ada: Person) -> None:
    token = made(own, ada)
    with own.reading() as db:
        rows = str(db.execute("SELECT * FROM tokens").fetchall())
    assert token not in rows
    assert secret.digest(token) in rows


@pytest.mark.parametrize(("name", "days"), [("", 1), ("x" * 81, 1), ("x", 0), ("x", 366), ("x", -1)])
def test_bounds(own: Own, ada: Person, name: str, days: int) -> None:
    with pytest.raises(Refused), own.writing() as db:
        tokens.make(db, ada, name, Role.READER, days)


def test_no_more_than_some(own: Own, ada: Person) -> None:
    for _ in range(tokens.MOST):
        made(own, ada)
    with pytest.raises(Refused) as told:
        made(own, ada)
    assert told.value.status == 409


def test_the_page_shows_a_token_once_and_ends_it(app: FastAPI, own: Own, signed_in: SignedIn) -> None:
    mine, other = signed_in("reviewer"), signed_in("reader")
    page = mine.post("/me/tokens", data={"name": "night script", "role": "reviewer", "days": 7})
    token = page.text.partition('class="once" value="')[2].partition('"')[0]
    assert page.status_code == 201
    assert len(token) == 43
    assert token not in mine.get("/me").text
    assert "night script" in mine.get("/me").text
    client = program(app, token)
    assert client.get("/api/links").status_code == 200
    with own.reading() as db:
        robin = people.named(db, "Robin Reviewer")
        assert robin
        (kept,) = tokens.of(db, robin)
    assert kept.expires_at - secret.now() <= timedelta(days=7)
    assert other.post(f"/me/tokens/{kept.id}/end").status_code == 404
    assert client.get("/api/links").status_code == 200
    mine.post(f"/me/tokens/{kept.id}/end")
    assert client.get("/api/links").status_code == 401


def test_a_mistake_is_told_on_the_page(signed_in: SignedIn) -> None:
    mine = signed_in("reader")
    form = {"name": "x", "role": "reviewer", "days": 7}
    answer = mine.post("/me/tokens", data=form, headers={"Accept": "text/html"})
    assert answer.status_code == 403
    assert "A reader cannot make a token of a reviewer." in answer.text
