"""Guessing passwords gets slower and slower, without shutting anybody else out."""

from __future__ import annotations

import threading

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.access.conftest import Later
from tests.desk.conftest import PASSWORD, SignedIn

from witnessmark.desk.access import waits
from witnessmark.desk.access.waits import ADDRESS, NAME, wait_after
from witnessmark.desk.app import create
from witnessmark.desk.own import Own

RIGHT = {"name": "Robin Reader", "password": PASSWORD}
WRONG = {"name": "Robin Reader", "password": "a wrong guess"}


def at(app: FastAPI, address: str) -> TestClient:
    """A visitor of that address, whose cookies are new."""
    return TestClient(app, base_url="http://localhost", follow_redirects=False, client=(address, 50000))


def guessed(client: TestClient, times: int, form: dict[str, str] = WRONG) -> list[int]:
    return [client.post("/sign-in", data=form).status_code for _ in range(times)]


def test_the_waits_grow_to_their_bound() -> None:
    assert [wait_after(count, NAME) for count in range(8)] == [0, 0, 0, 0, 1, 2, 4, 8]
    assert wait_after(1000, NAME) == 900
    assert [wait_after(count, ADDRESS) for count in (19, 20, 21, 99)] == [0, 1, 2, 300]


def test_after_some_failures_even_the_right_password_waits(
    app: FastAPI, signed_in: SignedIn, later: Later
) -> None:
    signed_in("reader")
    thief = at(app, "192.0.2.1")
    assert guessed(thief, 4) == [401] * 4
    refused = thief.post("/sign-in", data=RIGHT)
    assert refused.status_code == 429
    assert refused.headers["Retry-After"] == "1"
    assert "Wait a second, then try again." in refused.text
    later(seconds=1.1)
    assert guessed(thief, 2) == [401, 429]
    later(seconds=3.5)
    assert thief.post("/sign-in", data=RIGHT).status_code == 303
    assert guessed(at(app, "192.0.2.9"), 4) == [401] * 4


def test_the_waiting_itself_does_not_count(app: FastAPI, signed_in: SignedIn, later: Later) -> None:
    signed_in("reader")
    thief = at(app, "192.0.2.1")
    assert guessed(thief, 30)[4:] == [429] * 26
    later(seconds=1.1)
    assert thief.post("/sign-in", data=RIGHT).status_code == 303


def test_from_many_addresses_the_name_waits(app: FastAPI, signed_in: SignedIn) -> None:
    signed_in("reader")
    answers = [guessed(at(app, f"192.0.2.{number}"), 1)[0] for number in range(6)]
    assert answers == [401, 401, 401, 401, 429, 429]


def test_with_many_names_the_address_waits_and_others_do_not(app: FastAPI, signed_in: SignedIn) -> None:
    signed_in("reader")
    thief = at(app, "192.0.2.1")
    forms = [{"name": f"Name {number}", "password": "a wrong guess"} for number in range(22)]
    answers = [thief.post("/sign-in", data=form).status_code for form in forms]
    assert answers == [401] * 20 + [429] * 2
    assert thief.post("/sign-in", data=RIGHT).status_code == 429
    assert at(app, "192.0.2.2").post("/sign-in", data=RIGHT).status_code == 303


def test_an_account_of_ones_own_does_not_wash_an_address_clean(app: FastAPI, signed_in: SignedIn) -> None:
    signed_in("reader")
    thief = at(app, "192.0.2.1")
    for number in range(22):
        guessed(thief, 1, {"name": f"Name {number}", "password": "a wrong guess"})
        thief.cookies.clear()
        last = thief.post("/sign-in", data=RIGHT).status_code
    assert last == 429


def test_who_signed_in_here_before_is_not_shut_out(app: FastAPI, signed_in: SignedIn, later: Later) -> None:
    mine = signed_in("reader")
    mine.post("/sign-out", data={"form_key": mine.headers["X-Form-Key"]})
    for number in range(9):
        guessed(at(app, f"192.0.2.{number}"), 3)
    assert at(app, "192.0.2.99").post("/sign-in", data=RIGHT).status_code == 429
    assert mine.post("/sign-in", data=RIGHT, follow_redirects=False).status_code == 303
    assert guessed(mine, 6) == [401] * 4 + [429] * 2  # a stolen device guesses no faster
    later(seconds=1.1)
    assert mine.post("/sign-in", data=RIGHT, follow_redirects=False).status_code == 303


def test_a_device_of_somebody_else_helps_nobody(app: FastAPI, signed_in: SignedIn) -> None:
    signed_in("reader")
    thief = signed_in("technician")
    assert guessed(thief, 6) == [401] * 4 + [429] * 2
    thief.cookies.clear()
    thief.cookies.set("witnessmark_device", "forged")
    assert guessed(thief, 1) == [429]


@pytest.mark.parametrize("name", ["Nobody Here", "Robin Reader"])
def test_a_known_and_an_unknown_name_are_answered_alike(app: FastAPI, signed_in: SignedIn, name: str) -> None:
    signed_in("reader")
    answers = [
        at(app, "192.0.2.1").post("/sign-in", data={"name": name, "password": "a wrong guess"})
        for _ in range(5)
    ]
    assert [answer.status_code for answer in answers] == [401] * 4 + [429]
    assert {answer.text.replace(name, "NAME").count("NAME") for answer in answers} == {1}
    assert "do not go together" in answers[0].text


def test_a_restart_does_not_forget(app: FastAPI, signed_in: SignedIn) -> None:
    signed_in("reader")
    guessed(at(app, "192.0.2.1"), 4)
    again = create(app.state.desk.settings)
    assert at(again, "192.0.2.1").post("/sign-in", data=RIGHT).status_code == 429


def test_a_day_later_it_is_forgotten(app: FastAPI, own: Own, signed_in: SignedIn, later: Later) -> None:
    signed_in("reader")
    guessed(at(app, "192.0.2.1"), 4)
    later(hours=24.1)
    assert guessed(at(app, "192.0.2.1"), 4) == [401] * 4
    later(hours=49)
    assert at(app, "192.0.2.1").post("/sign-in", data=RIGHT).status_code == 303
    with own.reading() as db:
        assert db.execute("SELECT count(*) FROM waits WHERE failures > 0").fetchone() == (0,)


def test_a_clock_set_back_makes_no_wait_longer(app: FastAPI, signed_in: SignedIn, later: Later) -> None:
    signed_in("reader")
    guessed(at(app, "192.0.2.1"), 4)
    later(days=-400)
    assert at(app, "192.0.2.1").post("/sign-in", data=RIGHT).headers["Retry-After"] == "1"


def test_many_at_the_same_moment_gain_nothing(own: Own) -> None:
    counted = waits.keys("Robin Reader", "192.0.2.1", None, "pepper")
    let_through: list[int] = []

    def attempt() -> None:
        with own.writing() as db:
            if not waits.begin(db, counted):
                let_through.append(1)

    threads = [threading.Thread(target=attempt) for _ in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(let_through) == NAME.free


def test_what_was_typed_is_not_kept(app: FastAPI, own: Own) -> None:
    guessed(at(app, "192.0.2.1"), 1, {"name": "my secret password", "password": "Robin"})
    with own.reading() as db:
        rows = str(db.execute("SELECT * FROM waits").fetchall())
    assert "secret" not in rows
    assert "192.0.2.1" not in rows


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2001:db8::1", "2001:db8::2:3", True),
        ("2001:db8::1", "2001:db8:0:1::1", False),
        ("::ffff:192.0.2.1", "192.0.2.1", True),
        ("fe80::1%eth0", "fe80::2", True),
        ("192.0.2.1", "192.0.2.2", False),
    ],
)
def test_a_computer_counts_once_with_all_its_addresses(one: str, other: str, same: bool) -> None:
    """RFC 4291, 2.5.4: the last 64 bits of an IPv6 address are the computer's own to choose."""
    first, second = (waits.keys("x", address, None, "pepper")[1] for address in (one, other))
    assert (first == second) is same
