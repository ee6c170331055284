"""Signing in, staying in, and what comes to those who do not."""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.conftest import PASSWORD, SignedIn


def test_a_wrong_password_is_told_and_opens_nothing(app: FastAPI, signed_in: SignedIn) -> None:
    signed_in("reader")
    client = TestClient(app, base_url="http://localhost")
    answer = client.post("/sign-in", data={"name": "Robin Reader", "password": "not " + PASSWORD})
    assert answer.status_code == 401
    assert "do not go together" in answer.text
    assert not answer.cookies


def test_a_form_key_belongs_to_a_sign_in(signed_in: SignedIn) -> None:
    keys = {signed_in(role).headers["X-Form-Key"] for role in ("reader", "reviewer")}
    assert len(keys) == 2
    assert all(len(key) == 64 for key in keys)


def test_signing_out_takes_the_key_and_not_a_strangers_word(signed_in: SignedIn) -> None:
    client = signed_in("reader")
    client.post("/sign-out", data={"form_key": "0" * 64})
    assert "witnessmark_seat" in client.cookies
    client.post("/sign-out", data={"form_key": client.headers["X-Form-Key"]})
    assert "witnessmark_seat" not in client.cookies
