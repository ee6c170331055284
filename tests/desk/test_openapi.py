"""The API is as it describes itself: whatever is sent, nothing ends in a fault, and answers fit."""

from __future__ import annotations

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.strategies import one_of
from schemathesis import Case, GenerationMode
from schemathesis.checks import content_type_conformance, not_a_server_error, response_schema_conformance
from schemathesis.schemas import APIOperation
from tests.desk.conftest import PASSWORD

from helpers_walkround import walkround
from witnessmark.desk.access import people, tokens
from witnessmark.desk.access.people import Role
from witnessmark.record import Store

CHECKS = [not_a_server_error, content_type_conformance, response_schema_conformance]
EXAMPLES = 20
"""Of each operation; what is tried follows from the description alone, so that it is the same every time."""


@pytest.fixture
def token(app: FastAPI) -> str:
    """That of an administrator, on a desk with one walkround."""
    desk = app.state.desk
    with Store.open(desk.settings.record) as store:
        store.ingest(walkround())
    with desk.own.writing() as db:
        owner = people.add(db, "Ada Foreman", Role.ADMINISTRATOR, PASSWORD)
        return tokens.make(db, owner, "tests", Role.ADMINISTRATOR, 1)


def test_it_declares_both_ways_in(app: FastAPI) -> None:
    described = app.openapi()
    ways = described["components"]["securitySchemes"]
    assert ways["token"] == ways["token"] | {"type": "http", "scheme": "bearer"}
    assert (ways["seat"]["in"], ways["seat"]["name"]) == ("cookie", "witnessmark_seat")
    assert described["security"] == [{"token": []}, {"seat": [], "formKey": []}]


def test_it_describes_the_api_only(app: FastAPI) -> None:
    described = app.openapi()["paths"]
    assert described
    assert all(path.startswith("/api/") for path in described)
    for operations in described.values():
        for operation in operations.values():
            assert operation["description"]
            assert "application/problem+json" in operation["responses"]["default"]["content"]


def test_nothing_that_fits_or_does_not_fit_ends_in_a_fault(app: FastAPI, token: str) -> None:
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", app, headers={"Host": "localhost"})
    headers = {"Authorization": f"Bearer {token}", "Host": "localhost"}
    operations = [found.ok() for found in schema.get_all_operations()]
    assert len(operations) == sum(map(len, app.openapi()["paths"].values()))
    assert [fault for operation in operations if (fault := fault_of(operation, headers))] == []


def fault_of(operation: APIOperation, headers: dict[str, str]) -> str | None:
    """What went wrong in one of some requests to it."""

    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
        report_multiple_bugs=False,
    )
    @given(case=one_of(operation.as_strategy(generation_mode=mode) for mode in GenerationMode))
    def attempt(case: Case) -> None:
        case.validate_response(case.call(headers=headers), checks=CHECKS)

    try:
        attempt()
    except Exception as fault:
        return f"{operation.label}: {type(fault).__name__}: {fault}"
    return None
