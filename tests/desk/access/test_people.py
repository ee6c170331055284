"""Administrators look after the people; nobody loses the last of them; everything is noted."""

from __future__ import annotations

import sqlite3
import threading

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.conftest import PASSWORD, SignedIn, key_of

from witnessmark.desk.access import journal, people
from witnessmark.desk.access.people import Person, Role
from witnessmark.desk.own import Own
from witnessmark.desk.problems import Refused
from witnessmark.errors import StoreError


def told(own: Own) -> list[tuple[str, str]]:
    with own.reading() as db:
        return [(entry.who, entry.what) for entry in journal.latest(db)]


def person(own: Own, name: str) -> Person:
    with own.reading() as db:
        found = people.named(db, name)
    assert found
    return found


def test_the_page_lists_everybody(signed_in: SignedIn) -> None:
    signed_in("reader")
    page = signed_in("administrator").get("/people").text
    assert "Robin Reader" in page
    assert "Robin Administrator" in page


def test_a_role_changes_at_once_and_is_noted(own: Own, signed_in: SignedIn) -> None:
    reader, boss = signed_in("reader"), signed_in("administrator")
    assert reader.get("/links").status_code == 403
    robin = person(own, "Robin Reader")
    boss.post(f"/people/{robin.id}/role", data={"role": "reviewer"})
    assert reader.get("/links").status_code == 200
    boss.post(f"/people/{robin.id}/role", data={"role": "reviewer"})
    assert told(own) == [("Robin Administrator", "made Robin Reader a reviewer who was a reader")]


def test_who_is_let_in_no_more_is_out_on_every_device(
    app: FastAPI, own: Own, signed_in: SignedIn, stranger: TestClient
) -> None:
    phone, desktop, boss = signed_in("technician"), signed_in("technician"), signed_in("administrator")
    robin = person(own, "Robin Technician")
    boss.post(f"/people/{robin.id}/leave")
    assert {phone.get("/me").status_code, desktop.get("/me").status_code} == {401}
    form = {"name": "Robin Technician", "password": PASSWORD}
    assert stranger.post("/sign-in", data=form).status_code == 401
    boss.post(f"/people/{robin.id}/return")
    assert phone.get("/me").status_code == 401
    assert stranger.post("/sign-in", data=form).status_code == 303
    assert told(own) == [
        ("Robin Administrator", "let Robin Technician in again"),
        ("Robin Administrator", "let Robin Technician in no more"),
    ]


@pytest.mark.parametrize(("path", "form"), [("role", {"role": "reader"}), ("leave", {})])
def test_the_last_administrator_stays(own: Own, signed_in: SignedIn, path: str, form: dict[str, str]) -> None:
    boss = signed_in("administrator")
    me = person(own, "Robin Administrator")
    refused = boss.post(f"/people/{me.id}/{path}", data=form)
    assert refused.status_code == 409
    assert "only administrator" in refused.json()["detail"]
    assert person(own, "Robin Administrator") == me
    with own.writing() as db:
        people.add(db, "Kim", Role.ADMINISTRATOR, PASSWORD)
    assert boss.post(f"/people/{me.id}/{path}", data=form, follow_redirects=False).status_code == 303


def test_an_administrator_who_may_not_come_in_does_not_count(own: Own, ada: Person) -> None:
    with own.writing() as db:
        kim = people.add(db, "Kim", Role.ADMINISTRATOR, PASSWORD)
        people.set_active(db, kim, False)
    with pytest.raises(Refused, match="only administrator"), own.writing() as db:
        people.set_role(db, ada, Role.READER)


def test_two_at_once_do_not_both_leave(own: Own, ada: Person) -> None:
    with own.writing() as db:
        kim = people.add(db, "Kim", Role.ADMINISTRATOR, PASSWORD)
    refused: list[Refused] = []
    both = threading.Barrier(2)

    def leave(one: Person) -> None:
        theirs = Own(own.path)
        both.wait()
        try:
            with theirs.writing() as db:
                people.set_active(db, one, False)
        except Refused as told_:
            refused.append(told_)

    threads = [threading.Thread(target=leave, args=[one]) for one in (ada, kim)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(refused) == 1
    with own.reading() as db:
        assert people.administrators(db) == 1


def test_nobody_of_that_id(signed_in: SignedIn) -> None:
    boss = signed_in("administrator")
    for path, form in (("role", {"role": "reader"}), ("leave", {}), ("return", {}), ("link", {})):
        assert boss.post(f"/people/nobody/{path}", data=form).status_code == 404
    assert boss.post("/people/nobody/role", data={"role": "king"}).status_code == 422


@pytest.mark.parametrize("name", ["", "  ", "x" * 81, "a\u202eb", "a\x00b"])
def test_a_name_is_something_one_can_read(own: Own, name: str) -> None:
    with pytest.raises(Refused), own.writing() as db:
        people.add(db, name, Role.READER, PASSWORD)


@pytest.mark.parametrize("name", ["Ada Foreman", "ada  foreman", " ADA FOREMAN "])
def test_a_name_is_taken_however_it_is_written(own: Own, ada: Person, name: str) -> None:
    with pytest.raises(Refused) as told_, own.writing() as db:
        people.add(db, name, Role.READER, PASSWORD)
    assert told_.value.status == 409


def test_the_journal_only_grows(own: Own) -> None:
    with own.writing() as db:
        journal.note(db, "Ada Foreman", "did this")
    for wrong in ("UPDATE access_journal SET who = 'Kim'", "DELETE FROM access_journal"):
        with pytest.raises((sqlite3.DatabaseError, StoreError), match="only grows"), own.writing() as db:
            db.execute(wrong)
    assert told(own) == [("Ada Foreman", "did this")]


def test_the_page_shows_names_as_text(own: Own, signed_in: SignedIn) -> None:
    with own.writing() as db:
        people.add(db, "<script>alert(1)</script>", Role.READER, PASSWORD)
    page = signed_in("administrator").get("/people").text
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_ones_own_password(own: Own, signed_in: SignedIn, stranger: TestClient) -> None:
    here, elsewhere = signed_in("reader"), signed_in("reader")
    new = {"new": "four tin buckets", "again": "four tin buckets"}
    assert here.post("/me/password", data={"old": "not that one", **new}).status_code == 403
    assert here.post("/me/password", data={"old": PASSWORD, **new, "again": "five"}).status_code == 422
    assert here.post("/me/password", data={"old": PASSWORD, "new": "x", "again": "x"}).status_code == 422
    assert elsewhere.get("/me").status_code == 200
    done = here.post("/me/password", data={"old": PASSWORD, **new})
    assert "The password is changed" in done.text
    assert here.get("/me").status_code == 200
    assert elsewhere.get("/me").status_code == 401
    form = {"name": "Robin Reader", "password": PASSWORD}
    assert stranger.post("/sign-in", data=form).status_code == 401
    assert stranger.post("/sign-in", data=form | {"password": new["new"]}).status_code == 303
    assert told(own) == [("Robin Reader", "chose a new password")]


def test_a_new_password_makes_a_new_form_key(signed_in: SignedIn) -> None:
    here = signed_in("reader")
    before = here.headers["X-Form-Key"]
    here.post("/me/password", data={"old": PASSWORD, "new": "four tin buckets", "again": "four tin buckets"})
    assert key_of(here) != before


def test_the_old_password_cannot_be_guessed_at_ones_own_page(signed_in: SignedIn) -> None:
    here = signed_in("reader")
    form = {"old": "a wrong guess", "new": "four tin buckets", "again": "four tin buckets"}
    answers = [here.post("/me/password", data=form).status_code for _ in range(6)]
    assert answers[:5] == [403, 403, 403, 403, 429] or answers[4:] == [429, 429]
    assert here.post("/me/password", data=form | {"old": PASSWORD}).status_code == 429
