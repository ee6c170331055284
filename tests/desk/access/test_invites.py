"""Links that are good once, and only as long as who made them could make them now."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.access.conftest import Later
from tests.desk.conftest import PASSWORD, SignedIn

from witnessmark.desk.access import invites, journal, people, secret
from witnessmark.desk.access.people import Person, Role
from witnessmark.desk.own import Own
from witnessmark.desk.problems import Refused

NEW = {"name": "Kim Fitter", "password": "four tin buckets", "again": "four tin buckets"}


def invited(own: Own, by: Person, role: Role = Role.TECHNICIAN) -> str:
    with own.writing() as db:
        return invites.make(db, by, role)


def test_somebody_comes_in_and_the_link_is_used_up(own: Own, ada: Person, stranger: TestClient) -> None:
    path = f"/welcome/{invited(own, ada)}"
    assert "come in as technician" in stranger.get(path).text
    assert "come in as technician" in stranger.get(path).text
    assert stranger.post(path, data=NEW).headers["Location"] == "/"
    assert "Kim Fitter" in stranger.get("/me").text
    assert "technician" in stranger.get("/me").text
    for again in (stranger.get(path), stranger.post(path, data=NEW | {"name": "Robin"})):
        assert again.status_code == 404
    with own.reading() as db:
        assert [entry.what for entry in journal.latest(db)] == [
            "came in as technician with a link",
            "made a link for a new technician",
        ]


@pytest.mark.parametrize(
    ("wrong", "status"),
    [
        ({"name": ""}, 422),
        ({"name": "ada foreman"}, 409),
        ({"password": "short", "again": "short"}, 422),
        ({"again": "four tin bucket"}, 422),
    ],
)
def test_a_mistake_does_not_use_it_up(
    own: Own, ada: Person, stranger: TestClient, wrong: dict[str, str], status: int
) -> None:
    path = f"/welcome/{invited(own, ada)}"
    answer = stranger.post(path, data=NEW | wrong)
    assert answer.status_code == status
    assert 'role="alert"' in answer.text
    assert "four tin" not in answer.text
    assert stranger.post(path, data=NEW).status_code == 303


@pytest.mark.parametrize("made", ["", "x", "x" * 43, "x" * 200, "%00", "é"])
def test_an_unknown_one(stranger: TestClient, made: str) -> None:
    assert stranger.get(f"/welcome/{made}").status_code in (404, 422)
    assert stranger.post(f"/welcome/{made}", data=NEW).status_code in (404, 422)


def test_it_expires_by_the_servers_clock(own: Own, ada: Person, stranger: TestClient, later: Later) -> None:
    path = f"/welcome/{invited(own, ada)}"
    later(hours=71.9)
    assert stranger.get(path).status_code == 200
    later(hours=72.1)
    assert stranger.get(path, headers={"Date": "Mon, 01 Jan 2024 00:00:00 GMT"}).status_code == 404
    assert stranger.post(path, data=NEW).status_code == 404


def test_only_the_hash_is_kept(own: Own, ada: Person) -> None:
    made = invited(own, ada)
    assert len(made) >= 43  # 256 bits in base 64
    with own.reading() as db:
        db.execute("PRAGMA wal_checkpoint")
        rows = db.execute("SELECT * FROM invites").fetchall()
    assert made not in str(rows)
    assert secret.digest(made) in str(rows)
    for file in own.path.parent.glob(f"{own.path.name}*"):
        assert made.encode() not in file.read_bytes()


def test_a_new_password_ends_the_old_and_its_sign_ins(
    own: Own, ada: Person, signed_in: SignedIn, stranger: TestClient
) -> None:
    phone = signed_in("reader")
    with own.writing() as db:
        robin = people.named(db, "Robin Reader")
        assert robin
        first, second = invites.make_for(db, ada, robin), invites.make_for(db, ada, robin)
    assert stranger.get(f"/welcome/{first}").status_code == 404
    assert "A new password, Robin Reader" in stranger.get(f"/welcome/{second}").text
    assert phone.get("/me").status_code == 200
    used = stranger.post(f"/welcome/{second}", data=NEW | {"name": "Somebody Else"})
    assert used.status_code == 303
    assert "Robin Reader" in stranger.get("/me").text
    assert phone.get("/me").status_code == 401
    for password, status in ((PASSWORD, 401), (NEW["password"], 303)):
        form = {"name": "Robin Reader", "password": password}
        assert stranger.post("/sign-in", data=form).status_code == status


def test_it_falls_with_who_made_it(own: Own, ada: Person, stranger: TestClient) -> None:
    with own.writing() as db:
        people.add(db, "Kim", Role.ADMINISTRATOR, PASSWORD)
    path = f"/welcome/{invited(own, ada, Role.ADMINISTRATOR)}"
    with own.writing() as db:
        people.set_role(db, ada, Role.REVIEWER)
    assert stranger.post(path, data=NEW).status_code == 404


def test_it_falls_with_whom_it_is_for(own: Own, ada: Person, stranger: TestClient) -> None:
    with own.writing() as db:
        kim = people.add(db, "Kim", Role.READER, PASSWORD)
        made = invites.make_for(db, ada, kim)
        people.set_active(db, kim, False)
        with pytest.raises(Refused):
            invites.make_for(db, ada, people.anyone(db, kim.id) or kim)
    assert stranger.get(f"/welcome/{made}").status_code == 404


def test_an_administrator_sees_the_links_and_ends_one(
    own: Own, signed_in: SignedIn, stranger: TestClient
) -> None:
    boss = signed_in("administrator")
    page = boss.post("/people/links", data={"role": "reviewer"})
    assert page.status_code == 201
    link = page.text.partition('class="once" value="')[2].partition('"')[0]
    assert link.startswith("http://localhost/welcome/")
    assert "on this computer only" in page.text
    assert link not in boss.get("/people").text
    with own.reading() as db:
        (waiting,) = invites.waiting(db)
    assert stranger.get(link).status_code == 200
    boss.post(f"/people/links/{waiting.id}/end")
    assert stranger.get(link).status_code == 404
    assert boss.post(f"/people/links/{waiting.id}/end").status_code == 404


def test_the_first_administrator(own: Own, stranger: TestClient, later: Later) -> None:
    with own.writing() as db:
        old, made = invites.make_at_the_computer(db), invites.make_at_the_computer(db)
    assert stranger.get(f"/welcome/{old}").status_code == 404
    assert "The first of this workshop" in stranger.get(f"/welcome/{made}").text
    later(hours=24.1)
    assert stranger.get(f"/welcome/{made}").status_code == 404
    later()
    assert stranger.post(f"/welcome/{made}", data=NEW).status_code == 303
    assert stranger.get("/people").status_code == 200


def test_a_lost_password_of_the_only_administrator(own: Own, ada: Person, stranger: TestClient) -> None:
    with own.writing() as db:
        people.add(db, "Kim", Role.ADMINISTRATOR, PASSWORD)
        people.set_active(db, ada, False)
        made = invites.make_at_the_computer(db)
    form = {"name": "Ada foreman", "password": "four tin buckets", "again": "four tin buckets"}
    assert stranger.post(f"/welcome/{made}", data=form).status_code == 303
    assert "Ada Foreman" in stranger.get("/people").text
    with own.reading() as db:
        assert len(people.everyone(db)) == 2


USE = """
import sys
from pathlib import Path
from witnessmark.desk.access import invites
from witnessmark.desk.own import Own
from witnessmark.desk.problems import Refused
try:
    with Own(Path(sys.argv[1])).writing() as db:
        print(invites.accept(db, sys.argv[2], sys.argv[3], "four tin buckets").name)
except Refused as refused:
    print(refused.status)
"""


def test_two_programs_use_one_link_once(app: FastAPI, own: Own, ada: Person) -> None:
    made = invited(own, ada)
    names = ("Kim One", "Kim Two", "Kim Three")
    command = [sys.executable, "-c", USE, str(Path(own.path)), made]
    running = [subprocess.Popen([*command, name], stdout=subprocess.PIPE, text=True) for name in names]
    ended = sorted(process.communicate(timeout=60)[0].strip() for process in running)
    assert ended[:2] == ["404", "404"]
    assert ended[2] in names
    with own.reading() as db:
        assert len(people.everyone(db)) == 2
