"""Nothing opens without sign-in, without the role, or without the form key: every route there is, each tried.

Routes that others add are found here by themselves. Those that are meant to be open are listed.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.conftest import SignedIn

from witnessmark.desk.access.guard import SAFE
from witnessmark.desk.access.people import ALLOWED, May, Person, Role

OPEN = {
    ("GET", "/sign-in"),
    ("POST", "/sign-in"),
    ("POST", "/sign-out"),
    ("GET", "/welcome/{secret}"),
    ("POST", "/welcome/{secret}"),
    ("GET", "/s/{secret}"),
    ("GET", "/api/openapi.json"),
    ("GET", "/static"),
    ("GET", "/walk-worker.js"),
}
"""What anybody may ask for: each checks a secret of its own, or holds none."""
VALUES = {"walk": "00000000-0000-4000-8000-000000000000", "n": "0", "sha256": "0" * 64}


class Way(NamedTuple):
    """One method of one route."""

    method: str
    path: str
    needs: May | None

    @property
    def url(self) -> str:
        return re.sub(r"\{(\w+)[^}]*\}", lambda found: VALUES.get(found[1], "x"), self.path)


def ways(app: FastAPI) -> Iterator[Way]:
    """All routes, however deep they are included."""
    waiting: list[tuple[str, Any]] = [("", route) for route in app.routes]
    while waiting:
        before, route = waiting.pop()
        if hasattr(route, "original_router"):
            deeper = before + getattr(getattr(route, "include_context", None), "prefix", "")
            waiting += [(deeper, one) for one in route.original_router.routes]
            continue
        for method in getattr(route, "methods", None) or {"GET"}:
            if method not in ("HEAD", "OPTIONS"):
                yield Way(method, before + route.path, _needs(getattr(route, "dependant", None)))


def _needs(dependant: Any) -> May | None:
    for one in dependant.dependencies if dependant else ():
        kept = inspect.getclosurevars(one.call).nonlocals if inspect.isfunction(one.call) else {}
        if isinstance(kept.get("what"), May):
            return kept["what"]
    return None


def guarded(app: FastAPI) -> list[Way]:
    return sorted(way for way in ways(app) if (way.method, way.path) not in OPEN)


def test_the_routes_are_found(app: FastAPI) -> None:
    found = {(way.method, way.path) for way in ways(app)}
    assert found >= OPEN
    assert ("POST", "/people/{id}/role") in found
    assert ("POST", "/api/walkrounds/{id}/links") in found


def test_every_route_says_what_it_needs(app: FastAPI) -> None:
    assert [way for way in guarded(app) if way.needs is None] == []


def test_a_page_leads_to_sign_in_and_a_program_is_refused(app: FastAPI) -> None:
    client = TestClient(app, base_url="http://localhost", follow_redirects=False)
    for way in guarded(app):
        program = client.request(way.method, way.url)
        assert program.status_code == 401, way
        assert program.headers["WWW-Authenticate"] == "Bearer", way
        person = client.request(way.method, way.url, headers={"Accept": "text/html"})
        if way.method == "GET" and not way.path.startswith("/api"):
            assert person.headers["Location"].startswith("/sign-in?to=/"), way
        else:
            assert person.status_code == 401, way


@pytest.mark.parametrize("role", list(Role))
def test_a_role_opens_what_it_allows_and_nothing_else(app: FastAPI, signed_in: SignedIn, role: Role) -> None:
    client = signed_in(role)
    for way in guarded(app):
        if way.needs not in ALLOWED[role]:
            answer = client.request(way.method, way.url)
            assert answer.status_code == 403, way
            assert f"{role.one} may not" in answer.text, way


def test_no_change_without_the_form_key(app: FastAPI, signed_in: SignedIn) -> None:
    client = signed_in("administrator")
    del client.headers["X-Form-Key"]
    for way in guarded(app):
        if way.method not in SAFE:
            for key in ("", "0" * 64, "é"):
                answer = client.request(way.method, way.url, headers={"X-Form-Key": key.encode()})
                assert answer.status_code == 403, way
                assert "out of date" in answer.text, way


def test_another_persons_form_key_does_not_do(signed_in: SignedIn) -> None:
    mine, theirs = signed_in("administrator"), signed_in("reviewer")
    mine.headers["X-Form-Key"] = theirs.headers["X-Form-Key"]
    assert mine.post("/people/links", data={"role": "reader"}).status_code == 403


def test_roles_are_a_ladder() -> None:
    person = Person(id="1", name="Kim", role=Role.TECHNICIAN)
    assert person.may(May.RECORD)
    assert not person.may(May.REVIEW)
    assert ALLOWED[Role.READER] < ALLOWED[Role.TECHNICIAN] < ALLOWED[Role.REVIEWER]
    assert ALLOWED[Role.REVIEWER] < ALLOWED[Role.ADMINISTRATOR]
